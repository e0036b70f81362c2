//! The law of one market, table by table.

use crate::number::Number;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::collections::BTreeMap;

/// One market's law.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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

/// How far a row of law was read.
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, Default)]
#[serde(rename_all = "kebab-case")]
pub enum ReviewStatus {
    #[default]
    Ok,
    /// Seen in a dated or second-hand text: shown, at most a warning.
    #[serde(rename = "recheck")]
    NeedsReview,
}

/// A limit on the sum of its substances. It applies to a product that has every word of `scope` ("a|b": either) and none of `not_scope`;
/// an empty `scope` is every product. Where several rows apply, each is judged and the lowest decides.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A substance that may not be used at all, or (`in_scope`) not in these products, or (`only_scope`) in these alone.
/// Both lists read as `Limit::scope`: a product is meant that has every word, "a|b" being either.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A fragrance allergen that the label must name above a share of the product.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A colourant by area of use. An area that is absent is not stated.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// Words that the label must carry.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// The official wording in other languages, by code ("fr"): copied from the law's own text, never translated.
    #[serde(default)]
    pub text_in: BTreeMap<SmolStr, SmolStr>,
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// A substance or a claim that makes the product a medicine in this market.
/// Claims alone: the claim does. Substances alone: the substance does. Both: a product that makes one of the claims
/// must hold its active within `low_percent` to `high_percent`; the substance without the claim makes no medicine.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
    pub source: SmolStr,
    #[serde(default)]
    pub at: Option<SmolStr>,
}

/// What the market asks before a sale, of the label as a whole, or of a raw material.
#[cfg_attr(test, derive(schemars::JsonSchema))]
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
    /// Of a report: days in which it is due, from the day after somebody hears of it.
    #[serde(default)]
    pub within_days: Option<u16>,
    /// The days are working days, Monday to Friday.
    #[serde(default)]
    pub working_days: bool,
    #[serde(default)]
    pub from: Option<SmolStr>,
    #[serde(default, rename = "check")]
    pub review: ReviewStatus,
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

/// What every row of a law has.
pub trait LawRow {
    fn id(&self) -> &SmolStr;
    fn substances(&self) -> &[SmolStr];
    fn source(&self) -> &SmolStr;

    /// First day on which a new product must follow it, YYYY-MM-DD. None where it always did.
    fn begins(&self) -> Option<&SmolStr> {
        None
    }
    /// Last day of sale for products that were there before.
    fn sold_through(&self) -> Option<&SmolStr> {
        None
    }
}

macro_rules! law_rows {
    ($($row:ty { $($date:ident => $field:ident),* }),* $(,)?) => {$(
        impl LawRow for $row {
            fn id(&self) -> &SmolStr {
                &self.id
            }
            fn substances(&self) -> &[SmolStr] {
                &self.substances
            }
            fn source(&self) -> &SmolStr {
                &self.source
            }
            $(fn $date(&self) -> Option<&SmolStr> {
                self.$field.as_ref()
            })*
        }
    )*};
}

law_rows! {
    Limit { begins => from, sold_through => sell_through },
    Ban { begins => from, sold_through => sell_through },
    Allergen { begins => from, sold_through => sell_through },
    Colour {},
    Warning { begins => from, sold_through => sell_through },
    Medicine {},
    Duty { begins => from },
}

impl LawFile {
    /// Every row of every table: the table's key, the row's place in it, the row.
    pub fn rows(&self) -> impl Iterator<Item = (&'static str, usize, &dyn LawRow)> {
        fn table<'a, T: LawRow>(
            key: &'static str,
            rows: &'a [T],
        ) -> impl Iterator<Item = (&'static str, usize, &'a dyn LawRow)> {
            let rows = rows.iter().enumerate();
            rows.map(move |(n, row)| (key, n, row as &dyn LawRow))
        }
        table("limit", &self.limit)
            .chain(table("ban", &self.ban))
            .chain(table("allergen", &self.allergen))
            .chain(table("colour", &self.colour))
            .chain(table("warning", &self.warning))
            .chain(table("medicine", &self.medicine))
            .chain(table("duty", &self.duty))
    }
}
