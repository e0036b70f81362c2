//! What is known of a preservative.

use super::figure::UseBasis;
use crate::number::Number;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Preservative {
    pub kind: PreservativeKind,
    #[serde(default)]
    pub spectrum: Option<Spectrum>,
    #[serde(default)]
    pub effective: Vec<Effective>,
    #[serde(default)]
    pub partition: Vec<Partition>,
    #[serde(default)]
    pub binding: Vec<Binding>,
    /// Ids of what inactivates it.
    #[serde(default)]
    pub inactivated_by: Vec<SmolStr>,
    /// In words: what it needs in addition.
    #[serde(default)]
    pub needs: Option<SmolStr>,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum PreservativeKind {
    /// Works by its undissociated form; `pka` decides.
    WeakAcid,
    /// Works inside a pH window (`ph.works`).
    Window,
    /// Helps another; protects nothing alone.
    Booster,
}

/// Reach against each group of microbes: 0 none, 1 weak, 2 fair, 3 strong, at the usual level.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Spectrum {
    pub gram_positive: u8,
    pub gram_negative: u8,
    pub yeast: u8,
    pub mould: u8,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// Oil-water partition coefficient (volume basis) for one kind of oil.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Partition {
    /// "mineral" or "vegetable", or the id of one oil.
    pub oil: SmolStr,
    pub k: Number,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// Binding by a nonionic: R = 1 + k S, S in percent w/v.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Binding {
    /// Id of the surfactant, or "nonionic" for the class.
    pub by: SmolStr,
    pub k: Number,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// What a study showed of a preservative at a level.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, Default, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Shows {
    /// A product passed a challenge test, or the microbes died.
    #[default]
    Protects,
    /// The microbes of `against` did not grow: what is free must reach this, and that alone protects nothing.
    Inhibits,
    /// Growth was slowed: no level to go by.
    Slows,
}

/// A lowest level that protected, in percent of the formula (or, `of = "water-phase"`, of its water phase).
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Effective {
    pub percent: Number,
    #[serde(default)]
    pub of: UseBasis,
    /// `true`: counts the active (undissociated) form only.
    #[serde(default)]
    pub active_form: bool,
    #[serde(default)]
    pub shows: Shows,
    /// Groups of microbes, as `spectrum` names them; empty: all that the study took.
    #[serde(default)]
    pub against: Vec<SmolStr>,
    /// Partners that were in it: the level counts only together with all of them.
    #[serde(default)]
    pub with: Vec<SmolStr>,
    #[serde(default)]
    pub when: Option<SmolStr>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}
