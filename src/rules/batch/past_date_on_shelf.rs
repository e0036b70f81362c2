//! # A lot on the shelf is past its date
//!
//! Something is left of a lot whose date is over.
//!
//! ## Why
//! What stands on the shelf gets used.
//!
//! ## What to do
//! Throw it away and write it in the ledger, or have it tested again and write `retest`.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::shop::Held;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "past-date-on-shelf",
    title: "A lot on the shelf is past its date",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("past_date_on_shelf.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let Some(today) = w.today else {
        return;
    };
    for lot in &w.facts.lots {
        let left = w.shop.left(lot, None, ctx.kb);
        let Some(amount) = left.amount.filter(|a| *a > Decimal::ZERO) else {
            continue;
        };
        let Some((date, _)) = w.shop.keeps_until(lot).filter(|(d, _)| *d < today) else {
            continue;
        };
        if lot.retest.is_some_and(|again| again >= today) {
            continue;
        }
        let unit = if matches!(left.held, Held::Pieces(_)) { "pieces" } else { "g" };
        let message = format!("{} is past its date since {date}, and {} {unit} are left", lot.code, amount.normalize());
        sink.say(Subject::Line(lot.line), lot.line, ctx.text_span(lot.line), message)
            .help(format!("When it is gone, write under `ledger`: {today}  threw away {} {unit} {}, past its date", amount.normalize(), lot.code));
    }
}
