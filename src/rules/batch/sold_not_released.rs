//! # A jar was sold of a batch that is on hold or rejected
//!
//! The ledger sells or gives jars of a batch that was on hold or rejected on that day.
//!
//! ## Why
//! Somebody decided that it must not go out.
//!
//! ## What to do
//! Call the buyer: `phasewright trace CODE --letter`.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::{DecisionKind, decided};
use crate::syntax::tree::LedgerVerb;
pub static RULE: Rule = Rule {
    code: "sold-not-released",
    title: "A jar was sold of a batch that is on hold or rejected",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("sold_not_released.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for entry in &w.facts.ledger {
        if !matches!(entry.line.verb.value, LedgerVerb::Sold | LedgerVerb::Gave) {
            continue;
        }
        let code = &entry.line.code;
        let Some(batch) = w.shop.batch(&code.value) else {
            continue;
        };
        let Some(d) = decided(&batch.decisions, Some(entry.line.date.value)) else {
            continue;
        };
        if d.kind != DecisionKind::Released {
            let message = format!("{} is {} since {}", code.value, d.kind.words(), d.decision.date);
            sink.say(Subject::Line(entry.at), entry.at, code.span, message)
                .help(format!("Call the buyer; `phasewright trace {} --letter` writes the letters", code.value));
        }
    }
}
