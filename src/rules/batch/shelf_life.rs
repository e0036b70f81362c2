//! # The printed date is later than a lot in it
//!
//! The date that is printed on the jar comes after the date of a lot that went in.
//!
//! ## Why
//! A material past its date may have gone rancid or lost what it does; the product keeps no better than what is in it unless a test of the product shows it.
//!
//! ## What to do
//! Print the earlier date, or name what shows the later one (a test under `observations` with its report).
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
//!   best before: 2027-03
//!                ^^^^^^^ PAN-05
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
//!   best before: 2026-12
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
use crate::syntax::tree::Node;

pub static RULE: Rule = Rule {
    code: "shelf-life",
    title: "The printed date is later than a lot in it",
    group: Group::Batch,
    loudest: Severity::Information,
    file: include_str!("shelf_life.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let (Some(printed), Some((date, lot))) = (record.best_before, w.shop.lots_keep_until(record)) else {
            continue;
        };
        if printed <= date || w.was_tested(record) {
            continue;
        }
        let field = w.lines(ctx, record).find(|n| {
            matches!(ctx.tree.line(*n as usize).map(|l| &l.node), Some(Node::Field(f)) if f.key.value == "best before")
        });
        if let Some(line) = field {
            let message = format!("{printed} is printed, and {lot} in it keeps until {date}");
            sink.say(Subject::Line(line), line, w.value_span(ctx, line), message)
                .help("Print the earlier date, or write under `observations` the test that shows the later one");
        }
    }
}
