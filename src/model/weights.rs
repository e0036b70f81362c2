//! A formula as it goes on the scale: grams of every row for a batch.

use super::formula::{Basis, Formula, Total};
use crate::chem::rounding;
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

/// Grams of every row, at the readability of the scale.
pub struct Weights {
    pub batch_g: Option<Decimal>,
    pub scale_g: Decimal,
    /// By row; none where there is no batch, or the row's share is not known.
    pub rows: Vec<Option<Decimal>>,
}

impl Weights {
    /// For a batch in grams, on a scale that reads `scale_g`.
    pub fn of(f: &Formula, batch_g: Option<Decimal>, scale_g: Decimal) -> Weights {
        let rows = batch_g.map_or_else(
            || vec![None; f.rows.len()],
            |batch| grams(f, batch, scale_g),
        );
        Weights {
            batch_g,
            scale_g,
            rows,
        }
    }

    /// The grams of some rows together; none where one of them is not known.
    pub fn sum(&self, rows: &[usize]) -> Option<Decimal> {
        rows.iter().try_fold(Decimal::ZERO, |sum, r| {
            sum.checked_add((*self.rows.get(*r)?)?)
        })
    }
}

/// A whole formula's weights add up to the batch, and what rounding leaves falls on the row that fills up; else each row is rounded by
/// itself.
fn grams(f: &Formula, batch: Decimal, scale: Decimal) -> Vec<Option<Decimal>> {
    let whole = match (f.basis, f.total) {
        (_, Total::Unknown { .. }) => false,
        (Basis::Percent | Basis::Nothing, Total::Known(sum)) => sum == Decimal::ONE_HUNDRED,
        _ => true,
    };
    let shares: Option<Vec<Decimal>> = f.rows.iter().map(|r| r.percent).collect();
    let filler = f
        .rows
        .iter()
        .position(|r| matches!(r.amount.value, Amount::Fill { .. }));
    let column = |shares: &[Decimal]| match filler {
        Some(row) => rounding::column_with_filler(shares, batch, scale, row),
        None => rounding::column(shares, batch, scale),
    };
    if let Some(shares) = shares.filter(|_| whole)
        && let Ok(column) = column(&shares)
    {
        return column.grams.into_iter().map(Some).collect();
    }
    let alone = |p: Decimal| {
        rounding::to_step(
            p.checked_mul(batch)?.checked_div(Decimal::ONE_HUNDRED)?,
            scale,
        )
        .ok()
    };
    f.rows.iter().map(|r| alone(r.percent?)).collect()
}
