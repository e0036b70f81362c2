//! # The phases were combined too cold
//!
//! The phases came together more than 10 °C under what their headings say.
//!
//! ## Why
//! Waxes and emulsifiers that set before they are blended give grains and a cream that parts.
//!
//! ## What to do
//! Heat both again and blend.
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
//!   10:31  combined at 54 °C
//!          ^^^^^^^^^^^^^^^^^^ planned at 75 °C
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
//!   10:31  combined at 72 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::What;
use crate::syntax::tree::Heat;
pub static RULE: Rule = Rule {
    code: "combined-cold",
    title: "The phases were combined too cold",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("combined_cold.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let allowed = ctx.kb.threshold("combined-cold-c").value.0;
    for (record, plan) in w.plans() {
        let wanted = plan.formula.phases.iter().filter_map(|p| match p.heat.as_ref()?.value {
            Heat::At(t) => Some(t.celsius),
            _ => None,
        });
        let Some(wanted) = wanted.max() else {
            continue;
        };
        for event in &record.log {
            let What::Temperature { at, combined: true, .. } = &event.what else {
                continue;
            };
            if at.celsius + allowed >= wanted {
                continue;
            }
            let degrees = ctx.degrees();
            let message = format!("combined at {}, planned at {}", degrees.show(at.celsius), degrees.show(wanted));
            sink.say(Subject::Line(event.line), event.line, event.span, message)
                .help("Heat both again and blend");
        }
    }
}
