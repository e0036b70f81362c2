//! # More was taken of a lot than there was
//!
//! What batches and the ledger took of a lot comes to more than it held.
//!
//! ## Why
//! A weight, a unit or a code is wrong somewhere, so what is left of every lot is doubtful.
//!
//! ## What to do
//! Look at the line that took most first.
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
//! lot PAN-06 of panthenol
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 2 g for 1 EUR
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
//!   panthenol   2.50 g of 2.50 g   lot PAN-06
//!                                      ^^^^^^ 0.5 g more
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
    code: "lot-short",
    title: "More was taken of a lot than there was",
    group: Group::Batch,
    loudest: Severity::Warning,
    yields_to: &["unit-slip", "weight-off"],
    file: include_str!("lot_short.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let mut seen: Vec<&str> = Vec::new();
    let lots = w.facts.lots.iter().map(|lot| (lot, lot.line));
    for (lot, line) in lots {
        let Some(short) = w.short(ctx, lot) else {
            continue;
        };
        let span = ctx.text_span(line);
        let (record, one) = match w.shop.largest_use(lot, ctx.kb) {
            Some(found) => found,
            None => continue,
        };
        let message = format!("{} g more were taken of {} than there was", short.normalize(), lot.code);
        sink.say(Subject::Line(line), line, span, message).help(format!(
            "Look at {} line {} first: it took most",
            record.code(),
            one.line + 1
        ));
    }
    for (record, one) in w.uses() {
        let Some(lot) = w.shop.lot(&one.lot.value) else {
            continue;
        };
        let Some(short) = w.short(ctx, lot) else {
            continue;
        };
        let largest = w.shop.largest_use(lot, ctx.kb);
        let is_largest = largest.is_some_and(|(r, u)| r.path == record.path && u.line == one.line);
        if is_largest && !seen.contains(&lot.code.as_str()) {
            seen.push(&lot.code);
            let message = format!(
                "{} g more were taken of {} than there was, and this line took most",
                short.normalize(),
                lot.code
            );
            sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
                .help("Look at its weight, its unit and its code");
        }
    }
}
