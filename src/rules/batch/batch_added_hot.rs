//! # A phase went in too hot
//!
//! The log adds a phase while the batch is hotter than its heading allows, by more than 5 °C.
//!
//! ## Why
//! What goes into the cool-down is hurt by heat: preservatives, vitamins, perfume.
//!
//! ## What to do
//! Write why, and watch the batch. Next time wait until it is cool.
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
//!   11:00  52 °C, add B
//!                  ^^^^^ 52
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
use crate::syntax::tree::Temperature;
pub static RULE: Rule = Rule {
    code: "batch-added-hot",
    title: "A phase went in too hot",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("batch_added_hot.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    for (record, plan) in w.plans() {
        let mut now: Option<Temperature> = None;
        for event in &record.log {
            match &event.what {
                What::Temperature { vessel, at, .. } if vessel.is_none() => now = Some(*at),
                What::Temperature { vessel: Some(_), at, .. } if now.is_none() => now = Some(*at),
                What::Added(what) => {
                    let Some((phase, most)) = w.cool_phase(plan, what) else {
                        continue;
                    };
                    let Some(is) = now.filter(|t| t.celsius > most.celsius + tolerance) else {
                        continue;
                    };
                    let degrees = ctx.degrees();
                    let message = format!(
                        "{phase} went in at {}, and it goes in below {}",
                        degrees.show(is.celsius),
                        degrees.show(most.celsius)
                    );
                    sink.say(Subject::Line(event.line), event.line, event.span, message)
                        .help("Write why, and watch this batch: heat may have hurt what is in it");
                }
                _ => {}
            }
        }
    }
}
