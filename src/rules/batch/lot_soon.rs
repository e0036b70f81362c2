//! # A lot comes to its date soon
//!
//! Something is left of a lot whose date comes within 30 days.
//!
//! ## Why
//! There is still time to plan a batch that uses it.
//!
//! ## What to do
//! Use it first.
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
//! ```stock,bad
//! lot MEN-02 of menthol
//! ^^^^^^^^^^^^^^^^^^^^^ best before 2027-02-20
//!   received: 2026-01-10
//!   best before: 2027-02-20
//!   bought: 50 g for 6 EUR
//! ```
//!
//! ```stock,good
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "lot-soon",
    title: "A lot comes to its date soon",
    group: Group::Batch,
    loudest: Severity::Hint,
    yields_to: &["lot-expired"],
    file: include_str!("lot_soon.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let Some(today) = w.today else {
        return;
    };
    let threshold = ctx.kb.threshold("lot-soon-days");
    let days: i64 = threshold.value.0.try_into().unwrap_or(30);
    for lot in &w.facts.lots {
        let left = w.shop.left(lot, None, ctx.kb).amount;
        let soon = w.shop.keeps_until(lot).filter(|(d, _)| *d >= today && d.days() - today.days() <= days);
        if let (Some((date, _)), Some(amount)) = (soon, left.filter(|a| *a > Decimal::ZERO)) {
            let message = format!("{} is best before {date}, and {} are left", lot.code, amount.normalize());
            sink.say(Subject::Line(lot.line), lot.line, ctx.text_span(lot.line), message)
                .help("Use it first")
                .rests_on(threshold);
        }
    }
}
