//! # Something is not weighed
//!
//! The log has begun, and a row of `weighed` still has its `?`, or nothing is weighed at all.
//!
//! ## Why
//! A record without a weight does not say whether the part went in. In a recall the batch cannot be judged.
//!
//! ## What to do
//! Write the weight, or under `deviation:` in the log that it was left out.
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
//!
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
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
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol       ? of 2.50 g   lot PAN-05
//!                   ^ not weighed
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
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::Actual;
pub static RULE: Rule = Rule {
    code: "not-weighed",
    title: "Something is not weighed",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("not_weighed.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let begun = record.log.iter().any(|e| e.time.is_some());
        if record.weighed.is_empty() && (begun || !record.packs.is_empty()) {
            let (line, span) = w.heading(ctx, record);
            sink.say(Subject::Line(line), line, span, "nothing is weighed in this record")
                .help("Write the rows under `weighed`, each with its lot");
        }
        // The log starts while the last phase still waits for the scale: only what came out shows that all should be there.
        if record.yield_g.is_none() && record.packs.is_empty() {
            continue;
        }
        for row in record.weighed.iter().filter(|r| r.actual == Actual::NotYet) {
            let message = format!("{} is not weighed, and the batch is done", row.name.value);
            sink.say(Subject::Line(row.line), row.line, row.actual_span, message)
                .help("Write the weight, or in the log `deviation:` and why it was left out");
        }
    }
}
