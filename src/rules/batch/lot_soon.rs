//! # A lot comes to its date soon
//!
//! Something is left of a lot whose date comes within 30 days.
//!
//! ## Why
//! There is still time to plan a batch that uses it.
//!
//! ## What to do
//! Use it first.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "lot-soon",
    title: "A lot comes to its date soon",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("lot_soon.rs"),
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
    let threshold = ctx.kb.threshold("lot-soon-days");
    let days: i64 = threshold.value.0.try_into().unwrap_or(30);
    for lot in &w.facts.lots {
        let left = w.shop.left(lot, None, ctx.kb).amount;
        let soon = w.shop.keeps_until(lot).filter(|(d, _)| *d >= today && d.days() - today.days() <= days);
        if let (Some((date, _)), Some(amount)) = (soon, left.filter(|a| *a > Decimal::ZERO)) {
            let message = format!("{} is best before {date}, and {} are left", lot.code, amount.normalize());
            sink.say(Subject::Line(lot.line), lot.line, ctx.text_span(lot.line), message)
                .help("Use it first")
                .rests_on(threshold);
        }
    }
}
