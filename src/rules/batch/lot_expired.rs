//! # A lot was past its date
//!
//! A lot was used after its `best before`, or after the time it keeps once opened. On the day itself it is still good.
//!
//! ## Why
//! Past its date nobody vouches for it: oils turn rancid, powders take up water, preservatives weaken.
//!
//! ## What to do
//! Use another lot. Where it was tested again, write the new date as `retest` and why behind the row.
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
//!   made: 2027-01-05
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!                                      ^^^^^^ best before 2026-12-31
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
    code: "lot-expired",
    title: "A lot was past its date",
    group: Group::Batch,
    loudest: Severity::Error,
    yields_to: &["lot-unknown", "lot-other-material"],
    file: include_str!("lot_expired.rs"),
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
        let Some((date, by)) = w.shop.keeps_until(lot) else {
            continue;
        };
        let retested = lot.retest.is_some_and(|again| again >= made);
        if date >= made || retested {
            continue;
        }
        // What was open for too long is told by its own rule.
        let is_open_too_long = by == lot.code && lot.best_before.is_none_or(|own| own >= made);
        if is_open_too_long && lot.open_until() == Some(date) {
            continue;
        }
        let days = made.days() - date.days();
        let through = if by == lot.code { String::new() } else { format!(" (through {by})") };
        let message = format!("{} was best before {date}{through}, {days} days before this batch", lot.code);
        sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
            .help(w.another_lot(ctx, one, made).map_or("Use a lot that is in date".to_owned(), |other| {
                format!("Use {other}")
            }));
    }
}
