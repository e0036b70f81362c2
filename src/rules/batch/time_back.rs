//! # The time goes back
//!
//! A line of the log has an earlier time than the one above it. It is read as the next day.
//!
//! ## Why
//! Across midnight that is right. In the middle of a day it is a slip, and cooling times are then wrong.
//!
//! ## What to do
//! Correct the time with `was`, or write the date before it.
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
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   11:40  A 76 °C
//!   10:31  38 °C, add B
//!   ^^^^^ next day
//!   11:50  25 °C, pH 5.3
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
use crate::syntax::tree::LogTime;
pub static RULE: Rule = Rule {
    code: "time-back",
    title: "The time goes back",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("time_back.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let mut last: Option<u16> = None;
        let mut told = None;
        for event in &record.log {
            let (Some(LogTime::Clock(now)), Some(span)) = (&event.time, event.time_span) else {
                continue;
            };
            if last.is_some_and(|l| *now < l) && told != Some(event.line) {
                told = Some(event.line);
                let message = "this is earlier than the line above, so it is read as the next day";
                sink.say(Subject::Line(event.line), event.line, span, message)
                    .help("Correct the time, or write the date before it");
            }
            last = Some(*now);
        }
    }
}
