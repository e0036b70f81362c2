//! What a material does to a pH.

use super::figure::Range;
use serde::{Deserialize, Serialize};

/// For the charge balance: the charge of the fully protonated form, and of the strong counter-ions that come with one mole.
/// The steps themselves are in `pka`. Sodium benzoate: protonated 0, strong +1. Lactic acid: 0, 0. Arginine: +2, 0.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct AcidBase {
    #[serde(default)]
    pub protonated_charge: i8,
    #[serde(default)]
    pub strong_charge: i8,
}

/// Acid groups of what is no single substance with steps of its own (a gum, a polymer, a surfactant of many chains), each figure as
/// a range: what the material may do to a pH, and what it cannot. Kinds of group that differ stand apart.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct AcidGroups {
    /// Groups in a gram of the pure material.
    pub mmol_g: Range,
    /// Between these pKa they let go of their proton. Free alkali counts as groups with a pKa of 14 that have done so.
    pub pka: Range,
    /// The share of them that has given its proton to a base as the material is sold: 0 an acid, or the hydrochloride of an amine;
    /// 1 the salt of an acid, or a free amine.
    pub neutralised: Range,
}
