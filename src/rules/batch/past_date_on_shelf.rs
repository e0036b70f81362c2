//! # A lot on the shelf is past its date
//!
//! Something is left of a lot whose date is over.
//!
//! ## Why
//! What stands on the shelf gets used.
//!
//! ## What to do
//! Throw it away and write it in the ledger, or have it tested again and write `retest`.
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
//! ^^^^^^^^^^^^^^^^^^^^^ past its date since 2026-12-31
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 50 g for 6 EUR
//! ```
//!
//! ```stock,good
//! lot MEN-02 of menthol
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 50 g for 6 EUR
//!
//! ledger
//!   2027-01-05  threw away 50 g MEN-02, past its date
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::shop::Held;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "past-date-on-shelf",
    title: "A lot on the shelf is past its date",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("past_date_on_shelf.rs"),
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
    for lot in &w.facts.lots {
        let left = w.shop.left(lot, None, ctx.kb);
        let Some(amount) = left.amount.filter(|a| *a > Decimal::ZERO) else {
            continue;
        };
        let Some((date, _)) = w.shop.keeps_until(lot).filter(|(d, _)| *d < today) else {
            continue;
        };
        if lot.retest.is_some_and(|again| again >= today) {
            continue;
        }
        let unit = if matches!(left.held, Held::Pieces(_)) { "pieces" } else { "g" };
        let message = format!("{} is past its date since {date}, and {} {unit} are left", lot.code, amount.normalize());
        sink.say(Subject::Line(lot.line), lot.line, ctx.text_span(lot.line), message)
            .help(format!("When it is gone, write under `ledger`: {today}  threw away {} {unit} {}, past its date", amount.normalize(), lot.code));
    }
}
