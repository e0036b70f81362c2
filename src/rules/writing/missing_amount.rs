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

use crate::chem::units::Unit;
use crate::model::Row;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Amount, ErrorCode};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "missing-amount",
    title: "A row without its amount",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("missing_amount.rs"),
    check,
    ..Rule::DEFAULT
};

/// The only row without an amount takes the rest, where no other does and there is one.
fn fill_up(ctx: &Context, line: u32) -> Option<Fix> {
    let f = ctx.formula;
    let one = f.rows.iter().find(|r| r.line == line && r.amount.value == Amount::Missing)?;
    let others: Option<Decimal> = f.rows.iter().filter(|r| r.line != line).map(percent).sum();
    let at = (line, one.amount.span.start.max(one.name.span.end));
    let room = others.is_some_and(|sum| sum < Decimal::ONE_HUNDRED);
    room.then(|| Fix::new("Let it fill up to 100 % (q.s.)", vec![Edit { start: at, end: at, text: "  q.s.".into() }]))
}

fn percent(row: &Row) -> Option<Decimal> {
    match row.amount.value {
        Amount::Measured(m) if m.unit == Unit::Percent => Some(m.value),
        _ => None,
    }
}

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::MissingAmount);
    if let [only] = sink.all() {
        only.fixes.extend(fill_up(ctx, only.place.line));
    }
    for (n, row) in ctx.formula.rows.iter().enumerate().filter(|(_, r)| r.strength_only) {
        let Amount::Measured(m) = row.amount.value else { continue };
        let written = format!("{} {} %", row.name.value, m.value.normalize());
        let span = row.name.span.cover(row.amount.span);
        sink.say(Subject::Row(n), row.line, span, format!("\"{written}\" is the strength it is sold in, so its amount is missing"))
            .help(format!("Write the amount after it, as in \"{written}  2 %\""));
    }
}
