//! # More was taken of a lot than there was
//!
//! What batches and the ledger took of a lot comes to more than it held.
//!
//! ## Why
//! A weight, a unit or a code is wrong somewhere, so what is left of every lot is doubtful.
//!
//! ## What to do
//! Look at the line that took most first.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "lot-short",
    title: "More was taken of a lot than there was",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("lot_short.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let mut seen: Vec<&str> = Vec::new();
    let lots = w.facts.lots.iter().map(|lot| (lot, lot.line));
    for (lot, line) in lots {
        let Some(short) = w.short(ctx, lot) else {
            continue;
        };
        let span = ctx.text_span(line);
        let (record, one) = match w.shop.largest_use(lot, ctx.kb) {
            Some(found) => found,
            None => continue,
        };
        let message = format!("{} g more were taken of {} than there was", short.normalize(), lot.code);
        sink.say(Subject::Line(line), line, span, message).help(format!(
            "Look at {} line {} first: it took most",
            record.code(),
            one.line + 1
        ));
    }
    for (record, one) in w.uses() {
        let Some(lot) = w.shop.lot(&one.lot.value) else {
            continue;
        };
        let Some(short) = w.short(ctx, lot) else {
            continue;
        };
        let largest = w.shop.largest_use(lot, ctx.kb);
        let is_largest = largest.is_some_and(|(r, u)| r.path == record.path && u.line == one.line);
        if is_largest && !seen.contains(&lot.code.as_str()) {
            seen.push(&lot.code);
            let message = format!(
                "{} g more were taken of {} than there was, and this line took most",
                short.normalize(),
                lot.code
            );
            sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
                .help("Look at its weight, its unit and its code");
        }
    }
}
