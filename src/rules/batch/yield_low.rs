//! # Little came out
//!
//! The yield is below 90 % of what went in.
//!
//! ## Why
//! Losses of a few percent stay in the pot. More shows a spill, water that boiled away, or a weight that is wrong: what is left may be stronger than planned.
//!
//! ## What to do
//! Write why. Where water boiled away, put it back before the cool-down.
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
//!   12:10  yield 180 g
//!   ^^^^^^^^^^^^^^^^^^ 72.7 %
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
use crate::model::record::Record;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "yield-low",
    title: "Little came out",
    group: Group::Batch,
    loudest: Severity::Hint,
    file: include_str!("yield_low.rs"),
    check,
    ..Rule::DEFAULT
};

/// So many batches before it are a history.
const ENOUGH: usize = 5;

/// Percent of what went in that came out, to one place.
fn share_out(record: &Record) -> Option<Decimal> {
    let put_in = record.put_in_g().filter(|g| *g > Decimal::ZERO)?;
    Some((record.yield_g? * Decimal::ONE_HUNDRED).checked_div(put_in)?.round_dp(1))
}

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let least = ctx.kb.threshold("yield-low-percent");
    for (record, out, put_in) in w.yields() {
        let percent = (out * Decimal::ONE_HUNDRED / put_in).round_dp(1);
        // The workshop's own batches of this formula say better what is usual, once there are enough of them.
        let before: Vec<Decimal> = w
            .shop
            .batches_like(record)
            .filter(|r| r.path != record.path || r.line != record.line)
            .filter(|r| !r.void && r.made.is_some() && r.made < record.made)
            .filter_map(share_out)
            .collect();
        let lowest = before.iter().min().filter(|_| before.len() >= ENOUGH);
        if percent >= lowest.copied().unwrap_or(least.value.0) {
            continue;
        }
        let Some(line) = record.yield_line else {
            continue;
        };
        let usual = lowest.map_or(String::new(), |own| format!(", and of {} batches before at least {} %", before.len(), own.normalize()));
        let message = format!("{} % of what went in came out{usual}", percent.normalize());
        sink.say(Subject::Line(line), line, ctx.text_span(line), message)
            .help("Write why; where water boiled away, what is left is stronger than planned")
            .rests_on(least);
    }
}
