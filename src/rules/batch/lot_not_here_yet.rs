//! # A lot had not come yet
//!
//! The batch was made before the day on which the lot was received.
//!
//! ## Why
//! One of the two dates is wrong, or the code is. A recall by dates would miss it.
//!
//! ## What to do
//! Correct the date or the code with `was`.
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
//!   made: 2025-12-30
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!                                       ^^^^^^ came on 2026-01-10
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!                                      ^^^^^^ came on 2026-01-10
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

pub static RULE: Rule = Rule {
    code: "lot-not-here-yet",
    title: "A lot had not come yet",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("lot_not_here_yet.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, one) in w.uses() {
        let (Some(lot), Some(made)) = (w.shop.lot(&one.lot.value), record.made) else {
            continue;
        };
        if let Some(came) = lot.received.filter(|came| *came > made) {
            let message = format!("{} came on {came}, and this batch was made on {made}", lot.code);
            sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
                .help("Is a date or the code wrong?");
        }
    }
}
