//! The other files: sources, pairs, products, thresholds, vocabulary.

use super::figure::Range;
use crate::number::Number;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// The four kinds of source, strongest first.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    Law,
    Published,
    Practice,
    /// One figure that was not looked up.
    #[serde(rename = "memory")]
    Unsourced,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub id: SmolStr,
    pub kind: SourceKind,
    pub title: SmolStr,
    #[serde(default)]
    pub edition: Option<SmolStr>,
    #[serde(default)]
    pub date: Option<SmolStr>,
    /// Where it can be read: journal with volume and pages, act, web address.
    #[serde(default)]
    pub r#where: Option<SmolStr>,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct SourcesFile {
    #[serde(default)]
    pub source: Vec<Source>,
}

/// Two sides that must not meet. A side is a list of ids, or of "role:NAME", "charge:NAME", "family:NAME".
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    pub id: SmolStr,
    pub a: Vec<SmolStr>,
    pub b: Vec<SmolStr>,
    /// The code of the rule that reads it ("incompatible", "benzene-risk", "nitrosamine-risk").
    #[serde(default = "incompatible")]
    pub rule: SmolStr,
    #[serde(default)]
    pub ph_above: Option<Number>,
    #[serde(default)]
    pub ph_below: Option<Number>,
    /// Only when both are at or above these shares, percent.
    #[serde(default)]
    pub a_min_percent: Option<Number>,
    #[serde(default)]
    pub b_min_percent: Option<Number>,
    /// Members that are made to bear it.
    #[serde(default)]
    pub except: Vec<SmolStr>,
    pub why: SmolStr,
    pub instead: SmolStr,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

fn incompatible() -> SmolStr {
    "incompatible".into()
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct PairsFile {
    #[serde(default)]
    pub pair: Vec<Pair>,
}

/// Daily amount on skin and what stays.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Exposure {
    #[serde(default)]
    pub g_per_day: Option<Number>,
    #[serde(default)]
    pub mg_per_kg_day: Option<Number>,
    #[serde(default)]
    pub retention: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A kind of product: the words that law and rules read.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Product {
    pub name: SmolStr,
    #[serde(default)]
    pub names: Vec<SmolStr>,
    /// Scope words: leave-on, rinse-off, face, body, hand, hair, scalp, eye, lip, nail, underarm, mucous, oral, spray, propellant, powder, ...
    pub scope: Vec<SmolStr>,
    #[serde(default)]
    pub exposure: Option<Exposure>,
    #[serde(default)]
    pub usual_ph: Option<Range>,
    /// Water-free, yet used with wet hands or in the shower.
    #[serde(default)]
    pub wet_use: bool,
    /// Carries a pH of its own accord outside the skin's (hair perm, soap).
    #[serde(default)]
    pub ph_is_its_own: bool,
}

/// `products.toml`: the fixed list of scope words, then the kinds.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct ProductsFile {
    #[serde(default)]
    pub scope_words: Vec<SmolStr>,
    #[serde(default)]
    pub product: Vec<Product>,
}

/// A number that a rule compares with. One place, one source each.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Threshold {
    pub id: SmolStr,
    pub value: Number,
    pub unit: SmolStr,
    /// What it decides, in a few words.
    pub what: SmolStr,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct ThresholdsFile {
    #[serde(default)]
    pub threshold: Vec<Threshold>,
}

/// `common.toml`: ids by how commonly makers keep the material.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct Common {
    /// What most recipes are made of.
    #[serde(default)]
    pub staple: Vec<SmolStr>,
    /// In nearly every maker's cupboard.
    #[serde(default)]
    pub everyday: Vec<SmolStr>,
    /// In many.
    #[serde(default)]
    pub common: Vec<SmolStr>,
}

/// `vocabulary.toml`: the words that `cautions` and fields may use. Those of `roles` are [`crate::role::Role`].
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct Vocabulary {
    /// Words that may stand before or after a name and change nothing ("organic", "refined", "powder").
    pub qualifiers: Vec<SmolStr>,
    pub cautions: Vec<SmolStr>,
    pub purposes: Vec<SmolStr>,
    pub markets: Vec<SmolStr>,
}
