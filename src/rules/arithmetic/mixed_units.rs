//! # Percent together with weights or parts
//!
//! Some rows are in percent, others in grams, millilitres or parts.
//!
//! ## Why
//! Percent is of the whole, and the whole is not known until all rows are of one kind.
//!
//! ## What to do
//! Write all rows in percent and the weight to make under `batch:`, or all by weight. Grams with millilitres are not mixed.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 g
//!                  ^^^^ mixed
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::chem::units::{Dimension, Unit};
use crate::model::{Basis, Row};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "mixed-units",
    title: "Percent together with weights or parts",
    group: Group::Arithmetic,
    loudest: Severity::Error,
    file: include_str!("mixed_units.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    if ctx.formula.basis != Basis::Mixed {
        return;
    }
    let measured: Vec<(usize, &Row, Unit)> = ctx.formula.rows.iter().enumerate().filter_map(|(n, r)| Some((n, r, unit(r)?))).collect();
    let Some((_, first, first_unit)) = measured.first() else { return };
    if let Some((n, row, u)) = measured.iter().find(|(_, _, u)| kind(*u) != kind(*first_unit)) {
        let message = format!(
            "amounts are mixed: \"{}\" is in {u}, \"{}\" in {first_unit}",
            row.name.value, first.name.value
        );
        sink.say(Subject::Row(*n), row.line, row.amount.span, message)
            .help("Write all rows in percent and the weight under \"batch:\", or all by weight")
            .related(first.line, first.amount.span, format!("the first row is in {first_unit}"))
            .fixes(in_percent(ctx, &measured));
    }
}

/// All weights as percent of the batch that the file asks for, where the sum then comes out: exactly 100 %, or less with a row that fills up.
fn in_percent(ctx: &Context, measured: &[(usize, &Row, Unit)]) -> Option<Fix> {
    let batch = ctx.formula.fields.batch.as_ref().map(|b| b.value).filter(|b| *b > Decimal::ZERO)?;
    let fills = ctx.formula.rows.iter().filter(|r| matches!(r.amount.value, Amount::Fill { .. })).count();
    if measured.len() + fills != ctx.formula.rows.len() || fills > 1 {
        return None;
    }
    let (mut edits, mut sum) = (Vec::new(), Decimal::ZERO);
    for (_, row, _) in measured {
        let Amount::Measured(m) = row.amount.value else { return None };
        if m.unit == Unit::Percent {
            sum += m.value;
            continue;
        }
        let percent = m.value.checked_mul(m.unit.grams()?)?.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(batch)?.round_dp(4).normalize();
        sum += percent;
        edits.push(Edit::replace(row.line, row.amount.span, words::percent(percent)));
    }
    let comes_out = if fills == 1 { sum < Decimal::ONE_HUNDRED } else { sum == Decimal::ONE_HUNDRED };
    comes_out.then(|| Fix::new(format!("Convert all to percent of the {} g batch", batch.normalize()), edits))
}

fn unit(row: &Row) -> Option<Unit> {
    match row.amount.value {
        Amount::Measured(m) | Amount::Fill { to: Some(m) } => Some(m.unit),
        Amount::Enough { about, at_most, .. } => about.or(at_most).map(|m| m.unit),
        _ => None,
    }
}

/// Weights and volumes are of one kind.
fn kind(unit: Unit) -> Dimension {
    match unit.dimension() {
        Dimension::Volume => Dimension::Mass,
        other => other,
    }
}
