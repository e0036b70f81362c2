//! # The pH has moved
//!
//! An observation gives a pH more than 0.5 away from the last one of the log; from 0.3 on it is a hint.
//!
//! ## Why
//! A pH that moves shows that something reacts or grows. The preservative may have lost its range.
//!
//! ## What to do
//! Look, smell, and read another jar. Keep the batch back until it is clear.
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
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! observations
//!   +28 d  pH 5.9
//!          ^^^^^^ 0.6
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
    code: "ph-drift",
    title: "The pH has moved",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("ph_drift.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let last = record.log.iter().rev().find_map(|e| match &e.what {
            What::Ph { value, upper: None, .. } => Some(*value),
            _ => None,
        });
        let Some(first) = last else {
            continue;
        };
        for event in &record.observations {
            let What::Ph { value, upper: None, .. } = &event.what else {
                continue;
            };
            let moved = (*value - first).abs();
            let (hint, warn) = (ctx.kb.threshold("ph-drift-hint"), ctx.kb.threshold("ph-drift-warning"));
            if moved <= hint.value.0 {
                continue;
            }
            let loud = moved > warn.value.0;
            let message = format!("the pH moved by {}, from {} to {}", moved.normalize(), first.normalize(), value.normalize());
            sink.say(Subject::Line(event.line), event.line, event.span, message)
                .help("Look, smell and read another jar; hold the batch back until it is clear")
                .level(if loud { Severity::Warning } else { Severity::Hint })
                .rests_on(if loud { warn } else { hint });
        }
    }
}
