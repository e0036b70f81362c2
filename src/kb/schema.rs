//! The shapes of the knowledge base, as written in TOML and as packed.
//!
//! One struct per table. Unknown keys are refused. Every figure carries the id of its source
//! (`sources/`) and, where it has one, the page, table or entry in `at`.
//! Units stand in the key: `_c` degrees Celsius, `_percent` percent by weight of the whole,
//! `_g_ml` grams per millilitre, `_months`, `_minutes`.

use super::number::Number;
use super::role::Roles;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

/// A single figure.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    pub value: Number,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A range, both ends included. One end may be open.
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

/// A temperature that a material stands, and for how long.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Bears {
    pub value: Number,
    #[serde(default)]
    pub minutes: Option<Number>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// What a percentage of use is a percentage of.
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, Default)]
#[serde(rename_all = "kebab-case")]
pub enum Base {
    #[default]
    Formula,
    OilPhase,
    WaterPhase,
}

/// A usual level of use. `product` is a product kind or a scope word of `products.toml`; "any" fits all.
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
    pub of: Base,
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

/// One part of a blend, solution or extract: the id of another entry and its share in percent by weight.
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

/// The highest share of a product that is published for skin. It fits a product as a `Limit` of law does.
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
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Yields {
    pub of: SmolStr,
    pub moles: Number,
}

/// How much dissolves: grams in 100 g of the solvent.
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

#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Charge {
    Anionic,
    Cationic,
    Nonionic,
    Amphoteric,
}

#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq)]
pub enum EmulsionKind {
    #[serde(rename = "o/w")]
    OilInWater,
    #[serde(rename = "w/o")]
    WaterInOil,
    #[serde(rename = "both")]
    Both,
}

/// pH, by what it means for the material.
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

/// For the charge balance: the charge of the fully protonated form, and of the strong counter-ions that come with one mole.
/// The steps themselves are in `pka`. Sodium benzoate: protonated 0, strong +1. Lactic acid: 0, 0. Arginine: +2, 0.
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
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Groups {
    /// Groups in a gram of the pure material.
    pub mmol_g: Range,
    /// Between these pKa they let go of their proton. Free alkali counts as groups with a pKa of 14 that have done so.
    pub pka: Range,
    /// The share of them that has given its proton to a base as the material is sold: 0 an acid, or the hydrochloride of an amine;
    /// 1 the salt of an acid, or a free amine.
    pub neutralised: Range,
}

/// Reach against each group of microbes: 0 none, 1 weak, 2 fair, 3 strong, at the usual level.
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

/// A lowest level that protected, in percent of the formula (or, `of = "water-phase"`, of its water phase).
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Effective {
    pub percent: Number,
    #[serde(default)]
    pub of: Base,
    /// `true`: counts the active (undissociated) form only.
    #[serde(default)]
    pub active_form: bool,
    #[serde(default)]
    pub when: Option<SmolStr>,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

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
    /// In words: what it needs beside it.
    #[serde(default)]
    pub needs: Option<SmolStr>,
}

/// One material. The file name is its id; the folder its family.
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
    #[serde(default)]
    pub loose_names: Vec<SmolStr>,
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
    pub groups: Vec<Groups>,
    #[serde(default)]
    pub yields: Vec<Yields>,

    /// Customarily added below this.
    #[serde(default)]
    pub add_below_c: Option<Box<Figure>>,
    #[serde(default)]
    pub bears_c: Option<Box<Bears>>,
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
    #[serde(default)]
    pub standin: Vec<SmolStr>,
    /// One or two sentences for the card.
    #[serde(default)]
    pub note: Option<SmolStr>,
}

/// How far a row of law was read.
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, Default)]
#[serde(rename_all = "kebab-case")]
pub enum Check {
    #[default]
    Ok,
    /// Seen in a dated or second-hand text: shown, at most a warning.
    Recheck,
}

/// A limit on the sum of its substances. It applies to a product that has every word of `scope` ("a|b": either) and none of `not_scope`;
/// an empty `scope` is every product. Where several rows apply, each is judged and the lowest decides.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    pub id: SmolStr,
    pub substances: Vec<SmolStr>,
    /// Applies where the material serves this purpose ("preservative", "uv-filter", "colourant", "fragrance"); absent: always.
    #[serde(default)]
    pub purpose: Option<SmolStr>,
    #[serde(default)]
    pub scope: Vec<SmolStr>,
    #[serde(default)]
    pub not_scope: Vec<SmolStr>,
    /// Absent where only the pH is limited.
    #[serde(default)]
    pub max_percent: Option<Number>,
    /// Id of the substance it is counted as.
    #[serde(default)]
    pub r#as: Option<SmolStr>,
    /// The pH of the product as used must lie within these.
    #[serde(default)]
    pub ph_min: Option<Number>,
    #[serde(default)]
    pub ph_max: Option<Number>,
    #[serde(default)]
    pub conditions: Option<SmolStr>,
    /// First day on which a new product must follow it (YYYY-MM-DD).
    #[serde(default)]
    pub from: Option<SmolStr>,
    /// Last day of sale for products already there.
    #[serde(default)]
    pub sell_through: Option<SmolStr>,
    /// The older value, in words, so that it can be recognised.
    #[serde(default)]
    pub superseded: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A substance that may not be used at all, or (`in_scope`) not in these products, or (`only_scope`) in these alone.
/// Both lists read as `Limit::scope`: a product is meant that has every word, "a|b" being either.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Ban {
    pub id: SmolStr,
    pub substances: Vec<SmolStr>,
    #[serde(default)]
    pub purpose: Option<SmolStr>,
    #[serde(default)]
    pub in_scope: Vec<SmolStr>,
    #[serde(default)]
    pub only_scope: Vec<SmolStr>,
    /// What must be shown of the raw material to let it pass. A formula cannot show it, so the finding is a warning.
    #[serde(default)]
    pub unless: Option<SmolStr>,
    /// Unavoidable traces below this share (percent of the product) do not count.
    #[serde(default)]
    pub trace_percent: Option<Number>,
    #[serde(default)]
    pub conditions: Option<SmolStr>,
    #[serde(default)]
    pub from: Option<SmolStr>,
    /// Last day of sale for products already there.
    #[serde(default)]
    pub sell_through: Option<SmolStr>,
    #[serde(default)]
    pub superseded: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A fragrance allergen that the label must name above a share of the product.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Allergen {
    pub id: SmolStr,
    /// The sum of these counts (group rules).
    pub substances: Vec<SmolStr>,
    /// The name that the label prints.
    pub name: SmolStr,
    pub leave_on_percent: Number,
    pub rinse_off_percent: Number,
    #[serde(default)]
    pub from: Option<SmolStr>,
    #[serde(default)]
    pub sell_through: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A colourant by area of use. An area that is absent is not stated.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Colour {
    pub id: SmolStr,
    pub substances: Vec<SmolStr>,
    #[serde(default)]
    pub eye: Option<bool>,
    #[serde(default)]
    pub lip: Option<bool>,
    #[serde(default)]
    pub external: Option<bool>,
    /// Only rinse-off.
    #[serde(default)]
    pub rinse_off_only: bool,
    /// Only from certified batches (US).
    #[serde(default)]
    pub certified: bool,
    #[serde(default)]
    pub max_percent: Option<Number>,
    #[serde(default)]
    pub conditions: Option<SmolStr>,
    /// The older rule, in words, so that it can be recognised.
    #[serde(default)]
    pub superseded: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// Words that the label must carry.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Warning {
    pub id: SmolStr,
    /// Empty: asked of every product in scope.
    #[serde(default)]
    pub substances: Vec<SmolStr>,
    #[serde(default)]
    pub scope: Vec<SmolStr>,
    #[serde(default)]
    pub not_scope: Vec<SmolStr>,
    /// Only above this share.
    #[serde(default)]
    pub above_percent: Option<Number>,
    #[serde(default)]
    pub r#as: Option<SmolStr>,
    pub text: SmolStr,
    /// What decides and cannot be read from the formula ("only if usable by children under 3").
    #[serde(default)]
    pub conditions: Option<SmolStr>,
    #[serde(default)]
    pub from: Option<SmolStr>,
    /// Last day of sale for labels in the older wording.
    #[serde(default)]
    pub sell_through: Option<SmolStr>,
    #[serde(default)]
    pub superseded: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A substance or a claim that makes the product a medicine in this market.
/// Claims alone: the claim does. Substances alone: the substance does. Both: a product that makes one of the claims
/// must hold its active within `low_percent` to `high_percent`; the substance without the claim makes no medicine.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Medicine {
    pub id: SmolStr,
    #[serde(default)]
    pub substances: Vec<SmolStr>,
    #[serde(default)]
    pub claims: Vec<SmolStr>,
    /// Permitted range for the medicine, in percent.
    #[serde(default)]
    pub low_percent: Option<Number>,
    #[serde(default)]
    pub high_percent: Option<Number>,
    pub text: SmolStr,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// What the market asks before a sale, of the label as a whole, or of a raw material.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Duty {
    pub id: SmolStr,
    /// One of [`DUTY_KINDS`].
    pub kind: SmolStr,
    /// Empty: asked of every product. Else only of a product that holds one of them
    /// ("material": what the supplier's certificate must show).
    #[serde(default)]
    pub substances: Vec<SmolStr>,
    pub text: SmolStr,
    #[serde(default)]
    pub from: Option<SmolStr>,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

pub const DUTY_KINDS: [&str; 8] = [
    "responsible",
    "assessment",
    "notification",
    "label",
    "records",
    "testing",
    "reporting",
    "material",
];

/// One market's law.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct LawFile {
    /// EU, UK, US, CA.
    pub market: SmolStr,
    pub title: SmolStr,
    /// Date of the text that is followed; every report prints it.
    pub as_of: SmolStr,
    /// Ingredients at this share (percent) or below may stand in any order at the end of the label's list.
    pub free_order_percent: Number,
    /// `true`: exactly at the share counts as below.
    pub free_order_inclusive: bool,
    /// Acts and annexes whose rows are all here.
    #[serde(default)]
    pub covers: Vec<SmolStr>,
    /// Acts, annexes and parts of them that are not here, or not whole, and what is missing.
    #[serde(default)]
    pub not_covered: Vec<SmolStr>,
    #[serde(default)]
    pub limit: Vec<Limit>,
    #[serde(default)]
    pub ban: Vec<Ban>,
    #[serde(default)]
    pub allergen: Vec<Allergen>,
    #[serde(default)]
    pub colour: Vec<Colour>,
    #[serde(default)]
    pub warning: Vec<Warning>,
    #[serde(default)]
    pub medicine: Vec<Medicine>,
    #[serde(default)]
    pub duty: Vec<Duty>,
}

/// The family of the substances that stand in `prohibited/` only.
pub const PROHIBITED: &str = "prohibited";

/// A long list of a law: substances prohibited in cosmetics, one line each.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedFile {
    pub group: Vec<ProhibitedGroup>,
}

/// Substances that the same markets prohibit in the same way. The keys that a [`Ban`] has mean what they mean there.
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
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct ProhibitedIn {
    pub market: SmolStr,
    #[serde(default)]
    pub check: Check,
    pub source: SmolStr,
    /// The act or annex; the number of the entry is put behind it.
    pub at: SmolStr,
}

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

/// The four kinds of source, strongest first.
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    Law,
    Published,
    Practice,
    Memory,
}

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

/// Two sides that must not meet. A side is a list of ids, or of "role:NAME", "charge:NAME", "family:NAME".
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

/// Daily amount on skin and what stays.
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

#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct SourcesFile {
    #[serde(default)]
    pub source: Vec<Source>,
}

#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct PairsFile {
    #[serde(default)]
    pub pair: Vec<Pair>,
}

/// `products.toml`: the fixed list of scope words, then the kinds.
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct ProductsFile {
    #[serde(default)]
    pub scope_words: Vec<SmolStr>,
    #[serde(default)]
    pub product: Vec<Product>,
}

/// A number that a rule compares with. One place, one source each.
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

#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct ThresholdsFile {
    #[serde(default)]
    pub threshold: Vec<Threshold>,
}

/// `common.toml`: ids by how commonly makers keep the material.
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

/// `vocabulary.toml`: the words that `cautions` and fields may use. Those of `roles` are [`super::role::Role`].
#[derive(Serialize, Deserialize, Clone, Debug, PartialEq, Default)]
#[serde(deny_unknown_fields)]
pub struct Vocabulary {
    /// Words that may stand before or after a name and change nothing ("organic", "refined", "powder").
    pub qualifiers: Vec<SmolStr>,
    pub cautions: Vec<SmolStr>,
    pub purposes: Vec<SmolStr>,
    pub markets: Vec<SmolStr>,
}
