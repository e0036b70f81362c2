//! # The last pH is outside the range
//!
//! The last pH of the log, before the batch was packed, lies outside the `pH` of the formula.
//!
//! ## Why
//! The preservative may not work at this pH, and skin may be hurt.
//!
//! ## What to do
//! Correct it and read it again, or hold the batch back.
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
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 6.4
//!                  ^^^^^^ 5.0 to 5.5
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
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "ph-off-target",
    title: "The last pH is outside the range",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("ph_off_target.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, plan) in w.plans() {
        let Some((low, high)) = plan.formula.fields.ph.as_ref().map(|p| p.value) else {
            continue;
        };
        if record.packs.is_empty() && record.yield_g.is_none() {
            continue;
        }
        let last = record.log.iter().rev().find_map(|e| match &e.what {
            What::Ph { value, upper, .. } => Some((*value, *upper, e)),
            _ => None,
        });
        // A reading with a width is off where none of it lies in the range.
        let is_off = |ph: Decimal, upper: Option<Decimal>| upper.unwrap_or(ph) < low || ph > high;
        let Some((ph, upper, event)) = last.filter(|(ph, upper, _)| is_off(*ph, *upper)) else {
            continue;
        };
        let to = upper.map_or(String::new(), |u| format!(" to {}", u.normalize()));
        let message = format!("pH {}{to} is outside {} to {}", ph.normalize(), low, high);
        sink.say(Subject::Line(event.line), event.line, event.span, message)
            .help("Correct it and read it again, or put the batch on hold");
    }
}
