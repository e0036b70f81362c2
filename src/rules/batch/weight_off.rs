//! # A weight is off its plan
//!
//! A row of `weighed` is further from its plan than 3 %, a preservative or what the law limits further than 1 %, and by at least two steps of the scale.
//!
//! ## Why
//! Small parts do large things: a preservative 15 % over its level may pass what law allows, one 15 % under it may not protect.
//!
//! ## What to do
//! Write why behind it (`# except weight-off: reason`), make the batch up to the size that fits, or correct a slip with `was`.
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
//!   glycerin   14.50 g of 12.50 g   lot GLY-07
//!              ^^^^^^^ 16 % over plan
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
use crate::model::record::Actual;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "weight-off",
    title: "A weight is off its plan",
    group: Group::Batch,
    loudest: Severity::Warning,
    yields_to: &["unit-slip"],
    file: include_str!("weight_off.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let step = w.scale_step(ctx);
    for (record, row) in w.rows() {
        let (Actual::Grams(actual), Some(planned)) = (row.actual, row.planned_g) else {
            continue;
        };
        let off = (actual - planned).abs();
        let preserves = w.is_preservative(ctx, &row.item);
        let plan = w.records().position(|r| r.line == record.line).and_then(|n| w.plan(n));
        let limited = preserves || w.is_limited(ctx, plan, &row.item);
        let id = if limited { "weight-off-percent-preservative" } else { "weight-off-percent" };
        let threshold = ctx.kb.threshold(id);
        let allowed = planned * threshold.value.0 / Decimal::ONE_HUNDRED;
        if planned.is_zero() || off <= allowed.max(step * Decimal::TWO) {
            continue;
        }
        let percent = (off * Decimal::ONE_HUNDRED / planned).round_dp(1).normalize();
        let way = if actual > planned { "over" } else { "under" };
        let mut message = format!("{percent} % {way} plan");
        if preserves {
            message.push_str(", and it is the preservative");
        } else if limited {
            message.push_str(", and the law limits it");
        }
        let mut help = "Write why".to_owned();
        if let Some(whole) = w.batch_that_fits(record, actual, planned) {
            help.push_str(&format!(", or make the batch up to {whole} g"));
        }
        sink.say(Subject::Line(row.line), row.line, row.actual_span, message)
            .help(help)
            .rests_on(threshold);
    }
}
