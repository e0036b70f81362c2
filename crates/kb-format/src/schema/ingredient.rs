//! What an ingredient file may say.

use super::acid_base::{AcidBase, AcidGroups};
use super::figure::{Figure, Range, UseBasis};
use super::preservative::Preservative;
use crate::number::Number;
use crate::role::Roles;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// One material. The file name is its id; the folder its family.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct Ingredient {
    pub id: SmolStr,
    /// Filled from the folder.
    #[serde(default)]
    pub family: SmolStr,
    /// INCI name, EU spelling. Absent for blends (their parts have it) and for what has none.
    #[serde(default)]
    pub inci: Option<SmolStr>,
    /// US spelling where it differs.
    #[serde(default)]
    pub inci_us: Option<SmolStr>,
    /// Everyday names; each belongs to one material only. The first is shown.
    #[serde(default)]
    pub names: Vec<SmolStr>,
    /// Names that several materials share ("vitamin E"): never resolved, always asked about.
    #[serde(default, rename = "loose_names")]
    pub ambiguous_names: Vec<SmolStr>,
    #[serde(default)]
    pub cas: Vec<SmolStr>,
    #[serde(default)]
    pub ec: Vec<SmolStr>,
    /// Colour Index number.
    #[serde(default)]
    pub ci: Option<SmolStr>,
    #[serde(default)]
    pub roles: Roles,
    /// Where it usually goes, likeliest first.
    #[serde(default)]
    pub phase: Vec<PhaseKind>,
    #[serde(default)]
    pub dissolves: Option<Dissolves>,
    #[serde(default)]
    pub solubility: Vec<Solubility>,

    /// A blend, solution or extract: parts that sum to 100.
    #[serde(default)]
    pub composition: Vec<Part>,
    /// Constituents that law or label look at; they need not sum to anything.
    #[serde(default)]
    pub constituents: Vec<Constituent>,
    /// Id of what a strength in the name is made up with ("lactic acid 80 %"): usually water.
    #[serde(default)]
    pub carrier: Option<SmolStr>,
    /// A strength in the name is by "w/w" (the default), "w/v" or "v/v".
    #[serde(default)]
    pub strength: Option<SmolStr>,
    /// Strengths in which it is sold, in percent.
    #[serde(default)]
    pub sold_as_percent: Vec<Number>,

    #[serde(default)]
    pub molar_mass: Option<Box<Figure>>,
    #[serde(default)]
    pub pka: Vec<Figure>,
    /// Without a charge and without `pka`: neutral by its chemistry (an alcohol, a sulfate, a quaternary salt).
    #[serde(default)]
    pub acid_base: Option<AcidBase>,
    /// Where `acid_base` cannot be told.
    #[serde(default)]
    pub groups: Vec<AcidGroups>,
    #[serde(default, rename = "yields")]
    pub counts_as: Vec<CountsAs>,

    /// Customarily added below this.
    #[serde(default)]
    pub add_below_c: Option<Box<Figure>>,
    #[serde(default)]
    pub bears_c: Option<Box<MaxTemperature>>,
    #[serde(default)]
    pub melts_c: Option<Box<Range>>,
    #[serde(default)]
    pub density_g_ml: Option<Box<Figure>>,
    /// Of the loose powder as a spoon or cup takes it up, with the air between its grains.
    #[serde(default)]
    pub bulk_density_g_ml: Option<Box<Figure>>,

    #[serde(default)]
    pub r#use: Vec<UseLevel>,
    #[serde(default)]
    pub ph: Ph,
    #[serde(default)]
    pub preservative: Option<Box<Preservative>>,

    #[serde(default)]
    pub charge: Option<Charge>,
    #[serde(default)]
    pub emulsion: Option<EmulsionKind>,
    #[serde(default)]
    pub hlb: Option<Box<Figure>>,
    /// Required HLB for oil in water.
    #[serde(default)]
    pub required_hlb: Option<Box<Figure>>,
    /// Share of active matter, percent (surfactants as sold).
    #[serde(default)]
    pub active_percent: Option<Box<Figure>>,
    /// Electrolyte that it tolerates, percent of the formula as sodium chloride.
    #[serde(default)]
    pub bears_salt_percent: Option<Box<Figure>>,

    #[serde(default)]
    pub iodine_value: Option<Box<Range>>,
    #[serde(default)]
    pub saponification_value: Option<Box<Range>>,
    #[serde(default)]
    pub polyunsaturated_percent: Option<Box<Range>>,
    /// Norrish constant for water activity.
    #[serde(default)]
    pub norrish_k: Option<Box<Figure>>,
    #[serde(default)]
    pub shelf_life_months: Option<Box<Figure>>,
    /// Highest share in a leave-on product on skin that sees the sun.
    #[serde(default)]
    pub phototoxic_max_percent: Option<Box<Figure>>,

    /// What skin bears of it, by kind of product.
    #[serde(default)]
    pub skin_max: Vec<SkinMaximum>,

    /// Words of a fixed list: sun, pregnancy, dust, caustic, hot, nut, eye, child, flammable, gas, stains, sensitizer.
    #[serde(default)]
    pub cautions: Vec<SmolStr>,
    /// Ids of what could stand in for it, nearest first.
    #[serde(default, rename = "standin")]
    pub substitutes: Vec<SmolStr>,
    /// One or two sentences for the card.
    #[serde(default)]
    pub note: Option<SmolStr>,
}

/// One part of a blend, solution or extract: the id of another entry and its share in percent by weight.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Part {
    pub of: SmolStr,
    pub percent: Number,
    /// A wax built in place, a process aid: counts in the sum but is not itself on the label.
    #[serde(default)]
    pub hidden: bool,
}

/// A constituent of a natural material: low, usual and high share in percent by weight.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Constituent {
    pub of: SmolStr,
    #[serde(default)]
    pub low: Option<Number>,
    #[serde(default)]
    pub usual: Option<Number>,
    #[serde(default)]
    pub high: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A usual level of use. `product` is a product kind or a scope word of `products.toml`; "any" fits all.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct UseLevel {
    #[serde(default = "any")]
    pub product: SmolStr,
    #[serde(default)]
    pub low: Option<Number>,
    #[serde(default)]
    pub high: Option<Number>,
    #[serde(default)]
    pub of: UseBasis,
    /// `high` is a published safety maximum, not only a custom.
    #[serde(default)]
    pub safety: bool,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

fn any() -> SmolStr {
    "any".into()
}

/// The highest share of a product that is published for skin. It fits a product as a `Limit` of law does.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct SkinMaximum {
    #[serde(default)]
    pub scope: Vec<SmolStr>,
    #[serde(default)]
    pub not_scope: Vec<SmolStr>,
    /// 0: not for skin at all.
    pub percent: Number,
    /// What it does otherwise, behind "it": "sensitizes", "poisons the liver".
    #[serde(default)]
    pub why: Option<SmolStr>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// What a material is counted as where the law says 'as acid', 'as zinc': `moles` of `of` from one mole of this.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct CountsAs {
    pub of: SmolStr,
    pub moles: Number,
}

/// How much dissolves: grams in 100 g of the solvent.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Solubility {
    /// Id of the solvent: "water", "ethanol", "glycerin", or "oil" for vegetable oil.
    pub r#in: SmolStr,
    pub g_per_100g: Number,
    #[serde(default)]
    pub at_c: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Dissolves {
    Water,
    Oil,
    /// Water and oil both, in useful amounts.
    Both,
    Alcohol,
    /// Swells or forms a stable dispersion.
    Disperses,
    Insoluble,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum PhaseKind {
    Water,
    Oil,
    CoolDown,
    Surfactant,
    Powder,
    Any,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Charge {
    Anionic,
    Cationic,
    Nonionic,
    Amphoteric,
}

#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
pub enum EmulsionKind {
    #[serde(rename = "o/w")]
    OilInWater,
    #[serde(rename = "w/o")]
    WaterInOil,
    #[serde(rename = "both")]
    Both,
}

/// A temperature that a material stands, and for how long.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct MaxTemperature {
    pub value: Number,
    #[serde(default)]
    pub minutes: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// pH, by what it means for the material.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct Ph {
    /// pH that its usual solution or dispersion gives.
    #[serde(default)]
    pub gives: Option<Box<Range>>,
    /// pH in which it lasts.
    #[serde(default)]
    pub bears: Option<Box<Range>>,
    /// pH in which it does its work (preserves, thickens, exfoliates).
    #[serde(default)]
    pub works: Option<Box<Range>>,
}
