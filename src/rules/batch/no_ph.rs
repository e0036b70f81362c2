//! # No pH was read
//!
//! The formula has a pH target, the batch is packed or its yield is written, and no pH stands in the log.
//!
//! ## Why
//! A preservative that works at pH 5 may do nothing at pH 7, and nothing else shows it.
//!
//! ## What to do
//! Read the pH of the kept jar and write it down.
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
//! ^^^ no pH
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
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
use crate::model::record::What;
pub static RULE: Rule = Rule {
    code: "no-ph",
    title: "No pH was read",
    group: Group::Batch,
    loudest: Severity::Warning,
    yields_to: &["log-not-understood"],
    file: include_str!("no_ph.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, plan) in w.plans() {
        let target = plan.formula.fields.ph.is_some();
        let done = !record.packs.is_empty() || record.yield_g.is_some();
        let read = record.log.iter().any(|e| matches!(e.what, What::Ph { .. }));
        let lost = w.lost_words(ctx, record, &["ph"]);
        if target && done && !read && !lost {
            let (line, span) = w.log_heading(ctx, record);
            sink.say(Subject::Line(line), line, span, "no pH was read, and the formula has a target")
                .help("Read it now, in a kept jar if it is packed, and write it down");
        }
    }
}
