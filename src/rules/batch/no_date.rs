//! # The day of making is missing
//!
//! A record with weights has no `made`, or a day that has not come yet.
//!
//! ## Why
//! Dates, lots and a recall go by this day.
//!
//! ## What to do
//! Write `made:` and the day.
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
//! ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ made
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
    code: "no-date",
    title: "The day of making is missing",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("no_date.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let done = record.weighed.iter().any(|r| matches!(r.actual, Actual::Grams(_)));
        match (record.made, record.made_line) {
            (None, _) if done || !record.packs.is_empty() => {
                let (line, span) = w.heading(ctx, record);
                sink.say(Subject::Line(line), line, span, "this record has no day: `made` is missing")
                    .help("Write `made:` and the day under the heading");
            }
            (Some(made), Some(line)) if done && w.today.is_some_and(|today| made > today) => {
                let message = format!("{made} has not come yet, and the batch is weighed");
                let span = w.value_span(ctx, line);
                sink.say(Subject::Line(line), line, span, message).help("Correct the day");
            }
            _ => {}
        }
    }
}
