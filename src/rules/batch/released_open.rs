//! # Released with something open
//!
//! The latest decision on a batch is `released`, and a finding on how it was made has no reason, no jar is kept, or, where two people are asked for, nobody looked it over.
//!
//! ## Why
//! Who releases says that every deviation was looked at. Months later the record is all that shows it.
//!
//! ## What to do
//! Write the reason behind the line (`# except weight-off: reason`), or put the batch on hold.
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
//!   released: 2026-03-20 by Ana
//!             ^^^^^^^^^^^^^^^^^ no jar is kept
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! packed
//!   4 x 50 g
//! ```
//!
//! ```batch,good
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!   released: 2026-03-20 by Ana
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! packed
//!   4 x 50 g, 1 kept
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::{DecisionKind, decided};
use crate::rules::{Finding, exceptions};
use crate::rules::meta::said_by_the_engine;

pub static RULE: Rule = Rule {
    code: "released-open",
    title: "Released with something open",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("released_open.rs"),
    check: said_by_the_engine,
    ..Rule::DEFAULT
};

/// What changes later, or says something of other files, is no part of the decision.
const LATER: [&str; 14] = [
    "code-twice",
    "code-near",
    "complaint-serious",
    "count-off",
    "exception-unused",
    "formula-changed",
    "lot-short",
    "look-due",
    "not-judged",
    "old-version",
    "ph-drift",
    "released-open",
    "sealed-changed",
    "separated",
];

/// Asks what the other rules found; the engine calls it when all of them have spoken and reasons were taken in.
pub(super) fn judge(ctx: &Context, found: &mut Vec<Finding>) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let reasons = exceptions::reasons(ctx);
    let is_open = |f: &&Finding| {
        let explained = reasons.iter().any(|(line, code)| *line == f.place.line && *code == f.code);
        f.severity >= Severity::Warning && !explained && !LATER.contains(&f.code)
    };
    let mut said = Vec::new();
    let mut sink = Sink::new(&RULE, ctx.kb, &mut said);
    for record in w.records() {
        let Some(decision) = decided(&record.decisions, None).filter(|d| d.kind == DecisionKind::Released) else {
            continue;
        };
        let lines = w.lines(ctx, record);
        let mut open: Vec<u32> = found
            .iter()
            .filter(|f| lines.contains(&f.place.line))
            .filter(is_open)
            .map(|f| f.place.line)
            .collect();
        open.sort_unstable();
        open.dedup();
        let mut parts: Vec<String> = Vec::new();
        match open[..] {
            [] => {}
            [line] => {
                let first = found.iter().filter(|f| f.place.line == line).filter(is_open).max_by_key(|f| f.severity);
                let what = first.map_or("", |f| f.message.as_str());
                parts.push(format!("line {} ({what}) has no reason", line + 1));
            }
            _ => {
                let numbers: Vec<String> = open.iter().map(|l| (l + 1).to_string()).collect();
                parts.push(format!("lines {} have no reason", numbers.join(", ")));
            }
        }
        let kept: u32 = record.packs.iter().map(|p| p.kept).sum();
        if !record.packs.is_empty() && kept == 0 && !record.void {
            parts.push("no jar is kept".to_owned());
        }
        if ctx.settings.workshop.two_people && !w.is_checked(record) {
            parts.push("nobody else has looked it over".to_owned());
        }
        if parts.is_empty() {
            continue;
        }
        let span = w.value_span(ctx, decision.line);
        sink.say(Subject::Line(decision.line), decision.line, span, format!("not yet: {}", parts.join(", and ")))
            .help("Each takes one line; or put the batch on hold");
    }
    found.extend(said);
}
