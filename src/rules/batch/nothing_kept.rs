//! # No jar was kept
//!
//! Jars were filled, and none of them is kept back.
//!
//! ## Why
//! A kept jar is what you look at when somebody complains, and after a month of storage.
//!
//! ## What to do
//! Keep one or two jars of each batch until it is past its date, and write `2 kept`.
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
//! packed
//!   4 x 50 g
//!   ^^^^^^^^ kept
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
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "nothing-kept",
    title: "No jar was kept",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("nothing_kept.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let kept: u32 = record.packs.iter().map(|p| p.kept).sum();
        if let Some(first) = record.packs.first().filter(|_| kept == 0 && !record.void) {
            sink.say(Subject::Line(first.line), first.line, ctx.text_span(first.line), "no jar of this batch is kept")
                .help("Keep one or two, and write `, 2 kept`");
        }
    }
}
