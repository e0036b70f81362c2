//! # A row of the formula is not in the record
//!
//! The formula holds a material that `weighed` does not name.
//!
//! ## Why
//! What is missing may be the preservative. Nobody can tell from the record whether it went in.
//!
//! ## What to do
//! Write its row, with `?` until it is weighed, or in the log `deviation:` and why it was left out.
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
//! ^^^^^^^ panthenol
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
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

pub static RULE: Rule = Rule {
    code: "row-missing",
    title: "A row of the formula is not in the record",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("row_missing.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, plan) in w.plans() {
        if record.weighed.is_empty() {
            continue;
        }
        let old = record.version.as_ref().zip(plan.formula.fields.version.as_ref());
        let is_old = old.is_some_and(|(a, b)| a.value.trim() != b.value.trim());
        for planned in &plan.rows {
            // A misspelt row is told by its own rule.
            let there = record.weighed.iter().any(|r| w.names(ctx, r, planned))
                || record.added.iter().any(|a| a.item == planned.item);
            if there || is_old || planned.item.is_water(ctx.kb) {
                continue;
            }
            let (line, span) = w.weighed_heading(ctx, record);
            let message = format!("{} of the formula is not in this record", planned.name);
            sink.say(Subject::Line(line), line, span, message)
                .help("Write its row, or in the log `deviation:` and why it was left out");
        }
    }
}
