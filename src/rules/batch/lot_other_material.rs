//! # A lot is of another material
//!
//! The lot behind a row or an addition is of something else than the row names.
//!
//! ## Why
//! Either the code is wrong, or the bottle was. The second hurts.
//!
//! ## What to do
//! Look at the bottle. Correct the code with `was`, or write what really went in.
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
//!   glycerin   12.50 g of 12.50 g   lot PAN-05
//!                                       ^^^^^^ panthenol
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
use crate::model::shop::UseKind;
pub static RULE: Rule = Rule {
    code: "lot-other-material",
    title: "A lot is of another material",
    group: Group::Batch,
    loudest: Severity::Error,
    yields_to: &["lot-unknown"],
    file: include_str!("lot_other_material.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for one in &w.facts.uses {
        let Some(lot) = w.shop.lot(&one.lot.value) else {
            continue;
        };
        if one.kind == UseKind::Packaging || w.serves(ctx, one, lot) {
            continue;
        }
        let message = format!("{} is {}, not {}", lot.code, lot.name, one.name);
        sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
            .help("Is it the code or the bottle that is wrong?");
    }
}
