//! The long lists of substances that a law prohibits.

use super::law::ReviewStatus;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// The family of the substances that stand in `prohibited/` only.
pub const PROHIBITED: &str = "prohibited";

/// A long list of a law: substances prohibited in cosmetics, one line each.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedFile {
    pub group: Vec<ProhibitedGroup>,
}

/// Substances that the same markets prohibit in the same way. The keys that a [`Ban`] has mean what they mean there.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedGroup {
    pub r#in: Vec<ProhibitedIn>,
    #[serde(default)]
    pub purpose: Option<SmolStr>,
    #[serde(default)]
    pub in_scope: Vec<SmolStr>,
    /// What holds outside `in_scope`, as a warning.
    #[serde(default)]
    pub elsewhere: Option<SmolStr>,
    #[serde(default)]
    pub unless: Option<SmolStr>,
    #[serde(default)]
    pub from: Option<SmolStr>,
    #[serde(default)]
    pub sell_through: Option<SmolStr>,
    pub substances: Vec<ProhibitedSubstance>,
}

/// A market, and where its law has the list.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedIn {
    pub market: SmolStr,
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    /// The act or annex; the number of the entry is put behind it.
    pub at: SmolStr,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedSubstance {
    pub id: SmolStr,
    /// Number of its entry, or several ("617 and 1540"), or in words how it came in.
    pub entry: SmolStr,
    /// The first is shown.
    pub names: Vec<SmolStr>,
    pub cas: Vec<SmolStr>,
}
