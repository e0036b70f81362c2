//! # A sealed record changed
//!
//! A line of a record changed, was added or was taken out after `batch close` sealed it. Comments, observations, complaints and decisions are free, and so is a line that keeps its old value with `was`.
//!
//! ## Why
//! A record that can be changed without a trace proves nothing, neither to you nor to others.
//!
//! ## What to do
//! Put the old value back, or keep it behind the new one: `126.0 g, was 125.0 g (misread)`.
//!
//! ```stock
//! lot GLY-07 of glycerin
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 1 kg for 9.40 EUR
//!
//! lot PAN-05 of panthenol
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 100 g for 12 EUR
//! ```
//! ```formula
//! formula "Hand gel"
//!   version: 4
//!   product: hand gel, leave-on
//!   pH: 5.0 to 5.5
//!
//! phase A "gel" at 75 °C
//!   water     q.s.
//!   glycerin  5 %
//!
//! phase B "cool-down" below 40 °C
//!   panthenol  1 %
//!
//! phase C "pH" below 40 °C
//!   lactic acid 10 %  q.s. to pH 5.2, about 1 %
//! ```
//! ```batch,bad
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!   by: Ana
//!   sealed: 2026-03-20 by Ana, M3AS3B4Q
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.60 g of 12.50 g   lot GLY-07
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ this line changed
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//! ```
//!
//! ```batch,good
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!   by: Ana
//!   sealed: 2026-03-20 by Ana, M3AS3B4Q
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.60 g, was 12.50 g (misread) of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::seal::{Verdict, verify};
use crate::syntax::values;

pub static RULE: Rule = Rule {
    code: "sealed-changed",
    title: "A sealed record changed",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("sealed_changed.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let Some((at, value)) = &record.sealed else {
            continue;
        };
        let Ok(seal) = values::decision(value) else {
            continue;
        };
        let span = w.value_span(ctx, *at);
        let (line, span, message) = match verify(ctx.tree, record.line, &seal.reason) {
            Verdict::Whole => continue,
            Verdict::Changed(line) => (line, ctx.text_span(line), "this line changed"),
            Verdict::Added(line) => (line, ctx.text_span(line), "this line was added"),
            Verdict::Gone(line) => (line, ctx.text_span(line), "a line below this one was taken out"),
            Verdict::Several => (*at, span, "more than one line changed"),
            Verdict::NoSigns => {
                sink.say(Subject::Line(*at), *at, span, "the eight signs of the seal are missing")
                    .help("Delete this line and let `phasewright batch close` write it");
                continue;
            }
        };
        let message = format!("{message} after the record was sealed on {}", seal.date);
        sink.say(Subject::Line(line), line, span, message)
            .help("Put the old value back, or keep it: write `, was`, the old value, and in brackets why");
    }
}
