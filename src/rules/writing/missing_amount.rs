//! # A row without its amount
//!
//! A name stands in a phase and no amount follows.
//!
//! ## Why
//! Without it nothing can be weighed and no sum is true.
//!
//! ## What to do
//! Write the amount. A strength belongs to the name: `lactic acid 80 %` alone is the acid as bought, not 80 % of the product; write `lactic acid 80 %  2 %`.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil
//!   ^^^^^^^^^^^^^ amount
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Amount, ErrorCode};

pub static RULE: Rule = Rule {
    code: "missing-amount",
    title: "A row without its amount",
    group: Group::Writing,
    loudest: Severity::Error,
    yields_to: &[],
    file: include_str!("missing_amount.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::MissingAmount);
    for (n, row) in ctx.formula.rows.iter().enumerate().filter(|(_, r)| r.strength_only) {
        let Amount::Measured(m) = row.amount.value else { continue };
        let written = format!("{} {} %", row.name.value, m.value.normalize());
        let span = row.name.span.cover(row.amount.span);
        sink.say(Subject::Row(n), row.line, span, format!("\"{written}\" is a strength in which it is sold, so its amount is missing; write \"{written}  2 %\""));
    }
}
