//! # A number that can be read in two ways
//!
//! `1,000` is one to some and a thousand to others; `1 500 g` may be two numbers.
//!
//! ## Why
//! A thousandfold slip in a preservative or an acid hurts somebody.
//!
//! ## What to do
//! Write `1.000` or `1000`. There is a fix for each reading.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        200 g
//!   shea butter    300 g
//!   sunflower oil  1,000 g
//!                  ^^^^^ 1000
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        200 g
//!   shea butter    300 g
//!   sunflower oil  1000 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};
use crate::syntax::tree::ErrorCode;

pub static RULE: Rule = Rule {
    code: "ambiguous-number",
    title: "A number that can be read in two ways",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("ambiguous_number.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::AmbiguousNumber);
}
