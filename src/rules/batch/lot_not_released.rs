//! # A lot was on hold or rejected
//!
//! The lot was on hold or rejected on the day of the batch. Where `released` is asked for in the settings, a lot without it counts as on hold.
//!
//! ## Why
//! Somebody decided that this lot must not go into a product.
//!
//! ## What to do
//! Stop, and ask who decided. A later release is written as `released` under the lot.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::{DecisionKind, decided};
pub static RULE: Rule = Rule {
    code: "lot-not-released",
    title: "A lot was on hold or rejected",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("lot_not_released.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, one) in w.uses() {
        let Some(lot) = w.shop.lot(&one.lot.value) else {
            continue;
        };
        let Some(d) = decided(&lot.decisions, record.made) else {
            continue;
        };
        if d.kind == DecisionKind::Released {
            continue;
        }
        let message = format!("{} is {} since {}", lot.code, d.kind.words(), d.decision.date);
        sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
            .help("Use another lot, or have it released and write the day under the lot");
    }
}
