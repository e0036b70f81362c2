//! # A phase was held too briefly
//!
//! The formula holds a phase at its temperature for a time, and between the first reading at that temperature and what ended it less time passed in the log.
//!
//! ## Why
//! What has to melt, swell or be rid of germs needs its time at the heat; shorter holds leave lumps and give another batch.
//!
//! ## What to do
//! Hold it for as long as the formula says, or write why it was shorter.
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
//! phase A "gel" at 75 °C, hold 20 min
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
//!   10:14  A 66 °C
//!          ^^^^^^^^ 9 min
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
//!   10:25  A 66 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::{LogEvent, What};
use crate::syntax::tree::{Heat, LogTime};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "hold-too-short",
    title: "A phase was held too briefly",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("hold_too_short.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    let slack = ctx.kb.threshold("hold-too-short-minutes");
    for (record, plan) in w.plans() {
        for phase in &plan.formula.phases {
            let (Some(wanted), Some(heat)) = (phase.hold_minutes, phase.heat.as_ref()) else {
                continue;
            };
            let Some(hot) = lowest(heat.value) else {
                continue;
            };
            let is_hot = |c: Decimal| c + tolerance >= hot;
            let mut since = None;
            for event in &record.log {
                let What::Temperature { vessel, at, combined } = &event.what else {
                    continue;
                };
                let of_phase = vessel.as_ref().is_some_and(|v| v.eq_ignore_ascii_case(&phase.label));
                // Whatever is read without a vessel is what all of it became.
                if !of_phase && vessel.is_some() {
                    continue;
                }
                let Some(now) = minute(event) else {
                    break;
                };
                let Some(from) = since else {
                    since = (of_phase && is_hot(at.celsius)).then_some(now);
                    continue;
                };
                if of_phase && is_hot(at.celsius) && !combined {
                    continue;
                }
                let held = Decimal::from(now) - Decimal::from(from);
                if held >= Decimal::ZERO && held + slack.value.0 < wanted {
                    let message = format!("{} was held for {held} min, and the formula holds it for {} min", phase.label, wanted.normalize());
                    sink.say(Subject::Line(event.line), event.line, event.span, message)
                        .help("Write why, or hold it again before it goes on")
                        .rests_on(slack);
                }
                break;
            }
        }
    }
}

fn lowest(heat: Heat) -> Option<Decimal> {
    match heat {
        Heat::At(t) | Heat::Above(t) | Heat::Between(t, _) => Some(t.celsius),
        Heat::Below(_) | Heat::Room => None,
    }
}

/// The minute of the day; none where only a day is written.
fn minute(event: &LogEvent) -> Option<u16> {
    match event.time {
        Some(LogTime::Clock(minutes) | LogTime::Date(_, Some(minutes))) => Some(minutes),
        _ => None,
    }
}
