//! Figures and ranges, each with its source.

use crate::number::Number;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// A single figure.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    pub value: Number,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A range, both ends included. One end may be open.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Range {
    #[serde(default)]
    pub low: Option<Number>,
    #[serde(default)]
    pub high: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
    /// Why the range is what it is, in a few words ("active form only").
    #[serde(default)]
    pub why: Option<SmolStr>,
}

/// What a percentage of use is a percentage of.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, Default)]
#[serde(rename_all = "kebab-case")]
pub enum UseBasis {
    #[default]
    Formula,
    OilPhase,
    WaterPhase,
}
