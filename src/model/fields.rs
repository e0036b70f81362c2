//! The fields of a formula: what each takes, and what the file says in them.

mod read;
mod spec;

pub use read::{nearest, read};
pub use spec::{FIELDS, FOR, FORMS, FieldSpec, PLACES, TYPES, USES};

use crate::kb::Market;
use crate::kb::schema::Product as Kind;
use crate::syntax::tree::Pack;
use crate::text::Span;
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// Something that a field says, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Said<T> {
    pub value: T,
    pub line: u32,
    pub span: Span,
}

/// A value that is not understood; reported under `unknown-value`.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    pub line: u32,
    pub span: Span,
    pub message: String,
    /// What to do, where nothing is near.
    pub help: String,
    /// What it may have meant.
    pub near: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Type {
    OilInWater,
    WaterInOil,
    Anhydrous,
    Gel,
    Solution,
    Surfactant,
    Powder,
    Bar,
    TwoPhase,
    Suspension,
    Soap,
}

#[derive(Clone, Debug, Default)]
pub struct Fields {
    pub version: Option<Said<String>>,
    pub product_kind: Option<&'static Kind>,
    /// The maker's word for it: "hand lotion" where the kind is hand cream.
    pub product_word: Option<String>,
    /// Scope words written under `product`, `form`, `use` and `for`.
    pub words: Vec<SmolStr>,
    /// The kind of product goes on the face and the body, and the file says no place.
    pub places_assumed: bool,
    pub product: Option<Said<String>>,
    pub type_: Option<Said<Type>>,
    /// Grams.
    pub batch: Option<Said<Decimal>>,
    pub ph: Option<Said<(Decimal, Decimal)>>,
    pub sold_in: Option<Said<Vec<Market>>>,
    /// Codes of the languages of the label: those of `EU (de, fr)`.
    pub languages: Vec<SmolStr>,
    pub claims: Option<Said<String>>,
    /// Containers with their content.
    pub fill: Option<Said<Vec<Pack>>>,
    pub losses_percent: Option<Said<Decimal>>,
    pub use_at_once: bool,
    /// The letters before the numbers of its batches.
    pub code: Option<String>,
}
