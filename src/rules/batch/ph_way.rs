//! # How the pH was read is not written
//!
//! The reading that decides over a batch says nothing of how it was taken, while another reading of the record does; or it was read by a strip, which shows half a unit at best.
//!
//! ## Why
//! A meter in the product, a meter in a dilution and a strip give three figures; without the way two batches cannot be compared.
//!
//! ## What to do
//! Write it in brackets: `pH 5.2 (10 % in water, 22 °C, meter)`.
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
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.8 (10 % in water, meter)
//!   11:50  pH 5.3
//!          ^^^^^^ how this was read
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
//!   11:40  25 °C, pH 5.8 (10 % in water, meter)
//!   11:50  pH 5.3 (10 % in water, meter)
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::What;

pub static RULE: Rule = Rule {
    code: "ph-way",
    title: "How the pH was read is not written",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("ph_way.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        if record.packs.is_empty() && record.yield_g.is_none() {
            continue;
        }
        let readings: Vec<_> = record
            .log
            .iter()
            .filter_map(|e| match &e.what {
                What::Ph { upper, how, .. } => Some((e, upper.is_some(), how.as_deref())),
                _ => None,
            })
            .collect();
        let Some((event, wide, how)) = readings.last() else {
            continue;
        };
        let told_before = readings.iter().any(|(_, _, how)| how.is_some());
        let is_strip = *wide || how.is_some_and(|h| h.to_lowercase().contains("strip"));
        let message = match how {
            _ if is_strip => "a strip shows half a unit at best, and this reading decides",
            None if told_before => "how this was read is not written, and it decides",
            _ => continue,
        };
        sink.say(Subject::Line(event.line), event.line, event.span, message)
            .help("Write it in brackets, as in pH 5.2 (10 % in water, 22 °C, meter)");
    }
}
