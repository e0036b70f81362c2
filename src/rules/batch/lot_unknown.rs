//! # A lot is on no shelf
//!
//! A row, an addition or a line of the ledger names a code that no stock file and no batch has.
//!
//! ## Why
//! A recall goes from lot to batch by this code. With a wrong one the batch is not found.
//!
//! ## What to do
//! Correct the code, or write the lot into a stock file.
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
//!   glycerin   12.50 g of 12.50 g   lot GLY-70
//!                                       ^^^^^^ GLY-07
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
use crate::rules::{Edit, Fix};
use crate::syntax::nearest;
use crate::text::Span;
use std::cell::LazyCell;
pub static RULE: Rule = Rule {
    code: "lot-unknown",
    title: "A lot is on no shelf",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("lot_unknown.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    // Only where a code is unknown are all others gone through.
    let codes: LazyCell<Vec<&str>, _> = LazyCell::new(|| w.shop.codes().collect());
    let mut say = |line: u32, span: Span, code: &str| {
        let near = nearest(&codes, code);
        let message = format!("no lot {code} is on the shelf");
        let help = near.map_or("Write it into a stock file, or correct the code".to_owned(), |n| {
            format!("Did you mean {n}? Else write it into a stock file")
        });
        let said = sink.say(Subject::Line(line), line, span, message).help(help);
        if let Some(near) = near {
            said.fix(Fix::new(format!("Change to {near}"), vec![Edit::replace(line, span, near)]));
        }
    };
    for one in w.facts.uses.iter().filter(|u| w.shop.lot(&u.lot.value).is_none()) {
        say(one.line, one.lot.span, &one.lot.value);
    }
    for entry in &w.facts.ledger {
        let code = &entry.line.code;
        if w.shop.lot(&code.value).is_none() && w.shop.batch(&code.value).is_none() {
            say(entry.at, code.span, &code.value);
        }
    }
}
