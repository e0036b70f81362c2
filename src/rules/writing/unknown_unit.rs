//! # A unit that is not known
//!
//! An amount ends in a word that is no unit.
//!
//! ## Why
//! Amounts are percent (`%`), weights (`g mg kg oz lb`), volumes (`mL L fl oz tsp tbsp cup drops`) or `parts`.
//!
//! ## What to do
//! Write one of these.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 g
//!   shea butter    30 g
//!   sunflower oil  50 gr
//!                     ^^ unit
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 g
//!   shea butter    30 g
//!   sunflower oil  50 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};
use crate::syntax::tree::ErrorCode;

pub static RULE: Rule = Rule {
    code: "unknown-unit",
    title: "A unit that is not known",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("unknown_unit.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::UnknownUnit);
}
