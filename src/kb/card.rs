//! The card of an ingredient: all that is known of it, with the law of some markets, as one plain value.
//!
//! Hover, the `ingredient` command and its JSON are made only from this value, so that they say the same. The public
//! fields are the keys of the JSON; what is not known is absent.

mod build;
mod law;
mod law_words;
pub mod show;
mod sources;
mod words;

use super::Market;
use super::number::Number;
use super::role::Roles;
use serde::Serialize;
use smol_str::SmolStr;
use std::collections::BTreeMap;

pub use law::{CardAllergen, CardBan, CardColour, CardLimit, CardMedicine, CardWarning};

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct Card {
    pub version: u8,
    pub id: SmolStr,
    /// The name to show.
    pub name: String,
    pub family: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inci: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inci_us: Option<SmolStr>,
    /// Everyday names.
    pub names: Vec<SmolStr>,
    /// Names that other materials go by too.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loose_names: Vec<SmolStr>,
    pub cas: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ec: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ci: Option<SmolStr>,
    pub roles: Roles,
    pub phase: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dissolves: Option<&'static str>,
    pub solubility: Vec<CardSolubility>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub add_below_c: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bears_c: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bears_minutes: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub melts_c: Option<Span>,
    pub r#use: Vec<CardUse>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph: Option<CardPh>,
    pub pka: Vec<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub molar_mass: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hlb: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub required_hlb: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub iodine_value: Option<Span>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density_g_ml: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub active_percent: Option<Number>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sold_as_percent: Vec<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub charge: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub emulsion: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shelf_life_months: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub preservative: Option<CardPreservative>,
    pub composition: Vec<CardPart>,
    pub constituents: Vec<CardConstituent>,
    /// The markets whose law is shown, with the date of the text.
    pub law: Vec<CardLaw>,
    pub limits: Vec<CardLimit>,
    /// Limits that were left out because they are about other kinds of product.
    #[serde(skip)]
    pub limits_for_others: usize,
    /// Markets that ban it outright.
    pub banned_in: Vec<Market>,
    /// Bans with their entry, and those for some products only.
    pub bans: Vec<CardBan>,
    pub colours: Vec<CardColour>,
    pub allergens: Vec<CardAllergen>,
    pub warnings: Vec<CardWarning>,
    pub medicines: Vec<CardMedicine>,
    pub cautions: Vec<SmolStr>,
    pub standin: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<SmolStr>,
    /// Which source each figure rests on.
    pub basis: BTreeMap<&'static str, SmolStr>,
    pub sources: Vec<CardSource>,
    /// An ingredient of the maker's own: its file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub own_file: Option<String>,
}

/// Low and high, either of them open.
pub type Span = [Option<Number>; 2];

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardUse {
    pub product: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<Number>,
    /// Of the formula, or of one phase of it.
    pub of: &'static str,
    /// The high end is a published safety maximum.
    pub safety: bool,
    pub source: SmolStr,
}

#[derive(Serialize, Clone, Debug, PartialEq, Default)]
pub struct CardPh {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gives: Option<Span>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bears: Option<Span>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub works: Option<Span>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<SmolStr>,
    pub source: SmolStr,
}

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardSolubility {
    pub r#in: SmolStr,
    pub g_per_100g: Number,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_c: Option<Number>,
    pub source: SmolStr,
}

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardPreservative {
    pub kind: &'static str,
    /// Reach against each group: none, weak, fair, strong.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spectrum: Option<BTreeMap<&'static str, &'static str>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needs: Option<SmolStr>,
}

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardPart {
    pub id: SmolStr,
    pub inci: String,
    /// Exact, as a decimal string.
    pub percent: String,
}

#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardConstituent {
    pub id: SmolStr,
    pub name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub usual: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high: Option<Number>,
    pub source: SmolStr,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardLaw {
    pub market: Market,
    pub title: SmolStr,
    pub as_of: SmolStr,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardSource {
    pub id: SmolStr,
    pub kind: &'static str,
    pub title: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub r#where: Option<SmolStr>,
    /// The pages, tables and entries that were used.
    pub at: Vec<SmolStr>,
}

impl Card {
    /// The name to show.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The kind of a source that the card names.
    pub fn kind_of(&self, source: &str) -> &'static str {
        self.sources
            .iter()
            .find(|s| s.id == source)
            .map_or("memory", |s| s.kind)
    }
}
