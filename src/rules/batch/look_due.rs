//! # A look at a kept jar is due
//!
//! A day stands under `observations` with nothing behind it, and that day has come.
//!
//! ## Why
//! What parts, moves or goes rancid is seen first in the jar that was kept; sold jars are never looked at again.
//!
//! ## What to do
//! Look, smell, read the pH, and write it behind the day.
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
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! packed
//!   4 x 50 g, 1 kept
//!
//! observations
//!   +28 d
//!   ^^^^^ 2026-04-11
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
//!
//! packed
//!   4 x 50 g, 1 kept
//!
//! observations
//!   +28 d  40 °C, pH 5.3, no separation
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::chem::date::Date;
use crate::syntax::tree::{LogTime, Node};

pub static RULE: Rule = Rule {
    code: "look-due",
    title: "A look at a kept jar is due",
    group: Group::Batch,
    loudest: Severity::Information,
    file: include_str!("look_due.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        for n in w.lines(ctx, record) {
            let Some(Node::Observation(look)) = ctx.tree.line(n as usize).map(|l| &l.node) else {
                continue;
            };
            let Some(time) = look.time.as_ref().filter(|_| look.events.is_empty()) else {
                continue;
            };
            let due = match &time.value {
                LogTime::Day(days) => record.made.and_then(|made| made.plus_days(i64::from(*days))),
                LogTime::Date(day, _) => day.parse::<Date>().ok(),
                LogTime::Clock(_) => None,
            };
            if let (Some(due), Some(today)) = (due, w.today.filter(|today| due.is_some_and(|due| due <= *today))) {
                let ago = today.days() - due.days();
                let ago = if ago == 0 { "today".to_owned() } else { format!("{ago} days ago") };
                sink.say(Subject::Line(n), n, time.span, format!("this look was due on {due}, {ago}"))
                    .help("Look at the kept jar, and write behind the day what you see");
            }
        }
    }
}
