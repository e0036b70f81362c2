//! # What came out is not written
//!
//! The batch is packed, and no `yield` stands in the log.
//!
//! ## Why
//! Without it nobody sees that a weight was wrong or that water boiled away, and what a lot made here holds is not known.
//!
//! ## What to do
//! Write `yield` and the weight.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "no-yield",
    title: "What came out is not written",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("no_yield.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        if !record.packs.is_empty() && record.yield_g.is_none() {
            let (line, span) = w.log_heading(ctx, record);
            sink.say(Subject::Line(line), line, span, "what came out is not written")
                .help("Write `yield` and the weight in the log");
        }
    }
}
