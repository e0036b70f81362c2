//! # More came out than went in
//!
//! The yield is above what was weighed and added, by more than 1 % and two steps of the scale.
//!
//! ## Why
//! That cannot be: a weight is wrong, or something went in that is not written.
//!
//! ## What to do
//! Look for the addition that is missing, or correct the weight with `was`.
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
//!   12:10  yield 300 g
//!   ^^^^^^^^^^^^^^^^^^ 121.2 %
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
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "yield-high",
    title: "More came out than went in",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("yield_high.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let step = w.scale_step(ctx) * Decimal::TWO;
    for (record, out, put_in) in w.yields() {
        if out <= put_in + (put_in / Decimal::ONE_HUNDRED).max(step) {
            continue;
        }
        let Some(line) = record.yield_line else {
            continue;
        };
        let percent = (out * Decimal::ONE_HUNDRED / put_in).round_dp(1).normalize();
        let message = format!("more came out than went in: {percent} %");
        sink.say(Subject::Line(line), line, ctx.text_span(line), message)
            .help("Look for an addition that is not written, or a wrong weight");
    }
}
