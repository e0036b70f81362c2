//! A line of the method.

use super::{Heat, Measure};
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use smol_str::SmolStr;

/// One line of the method: clauses parted by commas, "and then", "then".
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    pub clauses: Vec<Clause>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verb {
    Weigh,
    Slurry,
    Sprinkle,
    Hydrate,
    Dissolve,
    Melt,
    Grind,
    Sieve,
    Heat,
    Hold,
    TopUp,
    Add,
    Pour,
    Blend,
    Stir,
    Homogenize,
    Neutralize,
    Thicken,
    Cool,
    MeasurePh,
    AdjustPh,
    Fill,
    Mould,
    Rest,
    /// Tools, jars and labels: nothing happens to what is made.
    Tidy,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    pub span: Span,
    /// None: not understood, kept as text.
    pub verb: Option<Spanned<Verb>>,
    /// What is acted on, as written: phase labels ("A", "phase C", "both phases", "oil phase") or materials ("lactic acid 10 %").
    pub objects: Vec<Spanned<SmolStr>>,
    /// "into A", "to B".
    pub into: Option<Spanned<SmolStr>>,
    /// "to 75 °C", "when below 40 °C", "at 70-75 °C".
    pub heat: Option<Spanned<Heat>>,
    /// "20 min", "2 to 3 minutes", "24 h": low and high, in minutes.
    pub minutes: Option<Spanned<(Decimal, Decimal)>>,
    /// "to 5.0-5.5", "pH 6.4": low and high.
    pub ph: Option<Spanned<(Decimal, Decimal)>>,
    /// "add 0.60 g lactic acid 10 %".
    pub amount: Option<Measure>,
    /// "with citric acid solution".
    pub with: Option<Spanned<SmolStr>>,
}
