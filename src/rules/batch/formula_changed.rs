//! # The plan is not what the formula says
//!
//! The planned weight of a row is not what the formula gives for this target.
//!
//! ## Why
//! The formula was changed after the batch was begun, without a new version number, or the plan was typed.
//!
//! ## What to do
//! Raise the version of the formula when its rows change. In the record the plan stays what it was.
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
//!   glycerin   10.00 g of 10.00 g   lot GLY-07
//!   ^^^^^^^^ 12.5 g
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
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "formula-changed",
    title: "The plan is not what the formula says",
    group: Group::Batch,
    loudest: Severity::Warning,
    yields_to: &["row-missing"],
    file: include_str!("formula_changed.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, plan) in w.plans() {
        let Some(target) = record.target_g else {
            continue;
        };
        let old = record.version.as_ref().zip(plan.formula.fields.version.as_ref());
        if old.is_some_and(|(a, b)| a.value.trim() != b.value.trim()) {
            continue;
        }
        // A plan of another size is told once, by its own rule.
        if w.plan_is_off(ctx, record, plan).is_some() {
            continue;
        }
        for planned in &plan.rows {
            let rows: Vec<_> = record.weighed.iter().filter(|r| r.item == planned.item).collect();
            let (Some(first), Some(grams)) = (rows.first(), plan.grams(planned, target)) else {
                continue;
            };
            let Some(written) = rows.iter().try_fold(Decimal::ZERO, |sum, r| Some(sum + r.planned_g?)) else {
                continue;
            };
            // What is rounded to the scale is no other plan.
            let allowed = (grams / Decimal::from(50)).max(w.scale_step(ctx) * Decimal::TWO);
            if planned.item.is_water(ctx.kb) || (written - grams).abs() <= allowed {
                continue;
            }
            let message = format!(
                "{} g are planned, and the formula gives {} g for {} g",
                written.normalize(),
                grams.round_dp(2).normalize(),
                target.normalize()
            );
            sink.say(Subject::Line(first.line), first.line, first.name.span, message)
                .help("Raise the version of the formula when its rows change, or write why");
        }
    }
}
