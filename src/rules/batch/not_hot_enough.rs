//! # A phase was not hot enough
//!
//! The highest temperature that the log gives for a phase stays more than 5 °C under its heading.
//!
//! ## Why
//! Waxes that have not melted set as grains, and water that was not hot keeps its germs.
//!
//! ## What to do
//! Heat it again, or write why.
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
//!   10:05  A 58 °C
//!          ^^^^^^^^ 58
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
use crate::model::record::What;
use crate::syntax::tree::Heat;
pub static RULE: Rule = Rule {
    code: "not-hot-enough",
    title: "A phase was not hot enough",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("not_hot_enough.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    for (record, plan) in w.plans() {
        for phase in &plan.formula.phases {
            let Some(wanted) = phase.heat.as_ref().and_then(|h| match h.value {
                Heat::At(t) | Heat::Above(t) | Heat::Between(t, _) => Some(t.celsius),
                Heat::Below(_) | Heat::Room => None,
            }) else {
                continue;
            };
            let read = record.log.iter().filter_map(|e| match &e.what {
                What::Temperature { vessel: Some(v), at, .. } if v.eq_ignore_ascii_case(&phase.label) => Some((at.celsius, e)),
                _ => None,
            });
            let Some((highest, event)) = read.max_by_key(|(c, _)| *c) else {
                continue;
            };
            if highest + tolerance >= wanted {
                continue;
            }
            let degrees = ctx.degrees();
            let message = format!("{} reached {}, and its heading says {}", phase.label, degrees.show(highest), degrees.show(wanted));
            sink.say(Subject::Line(event.line), event.line, event.span, message)
                .help("Heat it again, or write why");
        }
    }
}
