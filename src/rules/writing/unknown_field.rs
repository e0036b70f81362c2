//! # A field that is not known
//!
//! Under `formula` stand fields: version, product, type, form, use, for, batch, pH, sold in, claims, fill, extra for losses, keep.
//!
//! ## Why
//! A misspelt field is not read, and what it should have said is missing elsewhere.
//!
//! ## What to do
//! Take the nearest one, or put the text under `notes`.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   prodct: lip balm
//!   ^^^^^^ product
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```
//!
//! ```formula,fixed
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink};
use crate::syntax::tree::ErrorCode;

pub static RULE: Rule = Rule {
    code: "unknown-field",
    title: "A field that is not known",
    group: Group::Writing,
    loudest: Severity::Warning,
    file: include_str!("unknown_field.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::UnknownField);
    // Where no known field is near, the line may be a thought worth keeping.
    for said in sink.all().iter_mut().filter(|f| f.fixes.is_empty()) {
        let start = (said.place.line, said.place.span.start);
        said.fixes.push(Fix::new("Keep the line as a remark", vec![Edit { start, end: start, text: "# ".into() }]));
    }
}
