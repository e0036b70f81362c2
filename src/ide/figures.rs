//! The weights of a formula as they go on the scale, worked out once for hints, hovers, symbols and the lens.

use super::Snapshot;
use crate::chem::rounding;
use crate::chem::units::Unit;
use crate::model::{Basis, Formula, Total};
use crate::rules::words;
use crate::syntax::tree::{Amount, Measure};
use rust_decimal::Decimal;

/// Grams of every row, at the readability of the scale.
pub struct Weights {
    pub batch_g: Option<Decimal>,
    pub scale_g: Decimal,
    /// By row; none where there is no batch, or the row's share is not known.
    pub rows: Vec<Option<Decimal>>,
}

impl Weights {
    pub fn of(s: &Snapshot, f: &Formula) -> Weights {
        let scale_g = s.settings.scale_g(&s.kb);
        let batch_g = f.batch_g();
        let rows = batch_g.map_or_else(|| vec![None; f.rows.len()], |batch| grams(f, batch, scale_g));
        Weights { batch_g, scale_g, rows }
    }

    /// The grams of some rows together; none where one of them is not known.
    pub fn sum(&self, rows: &[usize]) -> Option<Decimal> {
        rows.iter().try_fold(Decimal::ZERO, |sum, r| sum.checked_add((*self.rows.get(*r)?)?))
    }
}

/// A whole formula's weights add up to the batch; else each row is rounded by itself.
fn grams(f: &Formula, batch: Decimal, scale: Decimal) -> Vec<Option<Decimal>> {
    let whole = match (f.basis, f.total) {
        (_, Total::Unknown { .. }) => false,
        (Basis::Percent | Basis::Nothing, Total::Known(sum)) => sum == Decimal::ONE_HUNDRED,
        _ => true,
    };
    let shares: Option<Vec<Decimal>> = f.rows.iter().map(|r| r.percent).collect();
    if let Some(shares) = shares.filter(|_| whole)
        && let Ok(column) = rounding::column(&shares, batch, scale)
    {
        return column.grams.into_iter().map(Some).collect();
    }
    let alone = |p: Decimal| rounding::to_step(p.checked_mul(batch)?.checked_div(Decimal::ONE_HUNDRED)?, scale).ok();
    f.rows.iter().map(|r| alone(r.percent?)).collect()
}

/// "12.5 g", without zeros that say nothing.
pub fn grams_words(g: Decimal) -> String {
    format!("{} g", g.normalize())
}

/// An amount as the maker wrote it.
pub fn measure_words(m: Measure) -> String {
    let unit = match m.unit {
        Unit::Drop if m.value == Decimal::ONE => "drop",
        Unit::Part if m.value == Decimal::ONE => "part",
        unit => unit.symbol(),
    };
    format!("{} {unit}", m.value.normalize())
}

/// The share of some rows in the whole; none where one of them is not known.
pub fn percent_sum(f: &Formula, rows: &[usize]) -> Option<Decimal> {
    rows.iter().try_fold(Decimal::ZERO, |sum, r| sum.checked_add(f.rows.get(*r)?.percent?))
}

/// The rows of a phase and of the premixes that go into it.
pub fn rows_with_premixes(f: &Formula, phase: usize) -> Vec<usize> {
    let mut rows = f.phases[phase].rows.clone();
    for p in f.phases.iter().filter(|p| p.into == Some(phase)) {
        rows.extend(&p.rows);
    }
    rows
}

/// The sum as a maker says it.
pub fn total_words(f: &Formula) -> String {
    match f.total {
        Total::Unknown { line } => format!("sum unknown: line {} cannot be read", line + 1),
        Total::Known(_) if f.basis == Basis::Mixed => "sum unknown: percent and weights are mixed".to_owned(),
        Total::Known(_) if f.basis == Basis::Nothing => "no amounts yet".to_owned(),
        Total::Known(sum) => format!("{} {}", words::number(sum, 4), basis_unit(f.basis)),
    }
}

pub fn basis_unit(basis: Basis) -> &'static str {
    match basis {
        Basis::Weight => "g",
        Basis::Parts => "parts",
        Basis::Percent | Basis::Mixed | Basis::Nothing => "%",
    }
}

/// Whether a row fills up to the whole.
pub fn is_fill(f: &Formula, row: usize) -> bool {
    matches!(f.rows[row].amount.value, Amount::Fill { .. })
}
