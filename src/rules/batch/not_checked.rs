//! # Nobody looked the weighing over
//!
//! A batch is done, and `checked` names nobody, or only who made it. It is asked for where the settings say `two-people`, or where another record of the workshop names somebody.
//!
//! ## Why
//! A second pair of eyes finds the wrong bottle; the one who made it sees what was meant.
//!
//! ## What to do
//! Have somebody look over weights, lots and labels, and write the name behind `checked:`.
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
//! ```batch
//! batch HG-000 of "hand-gel.formula" version 4
//!   made: 2026-03-13
//!   by: Ana
//!   checked: Ben
//! ```
//! ```batch,bad
//! batch HG-001 of "hand-gel.formula" version 4
//! ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ nobody
//!   made: 2026-03-14
//!   target: 250 g
//!   by: Ana
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
//!
//! ```batch,good
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!   by: Ana
//!   checked: Ben
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
    code: "not-checked",
    title: "Nobody looked the weighing over",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("not_checked.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    if !ctx.settings.workshop.two_people && !w.shop.keeps_checks() {
        return;
    }
    for record in w.records() {
        let done = record.yield_g.is_some() || !record.packs.is_empty();
        if done && !record.void && !w.is_checked(record) {
            let message = match &record.checked {
                None => "nobody has looked over this batch".to_owned(),
                Some(name) => format!("{name} made it and looked it over"),
            };
            let (line, span) = w.heading(ctx, record);
            sink.say(Subject::Line(line), line, span, message)
                .help("Have somebody else look over weights, lots and labels, and write `checked:` and the name");
        }
    }
}
