//! # More jars went out than there were
//!
//! The ledger sold, gave or threw away more jars of a batch than were filled, less those kept and spoilt.
//!
//! ## Why
//! A code or a number is wrong. In a recall jars would be sought where they never went.
//!
//! ## What to do
//! Look at the lines of this batch again.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{LedgerAmount, LedgerVerb};
pub static RULE: Rule = Rule {
    code: "sold-more",
    title: "More jars went out than there were",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("sold_more.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for entry in &w.facts.ledger {
        let LedgerAmount::Packs { each, .. } = &entry.line.amount else {
            continue;
        };
        if !matches!(entry.line.verb.value, LedgerVerb::Sold | LedgerVerb::Gave | LedgerVerb::ThrewAway) {
            continue;
        }
        let code = &entry.line.code;
        let Some(batch) = w.shop.batch(&code.value) else {
            continue;
        };
        // Said once, on the last line of the batch.
        let is_last = w.shop.entries(&code.value).last().is_some_and(|e| e.path == entry.path && e.at == entry.at);
        let here = w.shop.jars_of(batch, each, None).here;
        if is_last && here < 0 {
            let message = format!("{} more jars of {} went out than there were", -here, code.value);
            sink.say(Subject::Line(entry.at), entry.at, code.span, message)
                .help("Is a code or a number wrong?");
        }
    }
}
