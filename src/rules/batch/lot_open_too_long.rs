//! # A lot was open for too long
//!
//! A lot was opened so long before the batch that its time after opening was over, while its own date had not come.
//!
//! ## Why
//! Air, water and fingers get into an open pot: oils turn rancid, and what is watery may grow germs.
//!
//! ## What to do
//! Use a lot that was opened later, or have this one tested and write why it was still good.
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
//! lot GLY-05 of glycerin
//!   received: 2025-01-10
//!   opened: 2025-03-01
//!   after opening: 6 months
//!   best before: 2028-01-31
//!   bought: 1 kg for 9.40 EUR
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
//!   glycerin   12.50 g of 12.50 g   lot GLY-05
//!                                       ^^^^^^ 2025-09-01
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

pub static RULE: Rule = Rule {
    code: "lot-open-too-long",
    title: "A lot was open for too long",
    group: Group::Batch,
    loudest: Severity::Warning,
    yields_to: &["lot-expired"],
    file: include_str!("lot_open_too_long.rs"),
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
        let Some(until) = lot.open_until().filter(|until| *until < made) else {
            continue;
        };
        // Past its own date it is told as that.
        if lot.best_before.is_some_and(|date| date < made) || lot.retest.is_some_and(|again| again >= made) {
            continue;
        }
        let (Some(opened), Some(months)) = (lot.opened, lot.after_opening_months) else {
            continue;
        };
        let message = format!("{} was opened on {opened} and keeps {months} months open, until {until}", lot.code);
        sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
            .help(w.another_lot(ctx, one, made).map_or("Use a lot that was opened later".to_owned(), |other| format!("Use {other}")));
    }
}
