//! Rounding a column of weights so that it still adds up.
//!
//! Shapes: parts of any sum (percent, parts, grams) in, one weight in grams for each out, every one a
//! whole number of the scale's steps, their sum exactly the batch. Method: largest remainder: every row is
//! cut down to a whole step, and the steps then missing go one each to the rows that lost most. No row
//! moves by as much as one step. All arithmetic is in whole numbers, so nothing drifts.
//!
//! Range: parts and batch not negative, at least one part above zero; refuses what 38 digits cannot hold.

use super::ChemError;
use rust_decimal::{Decimal, RoundingStrategy};

/// A column of weights that adds up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Grams of each row, in the order of the parts.
    pub grams: Vec<Decimal>,
    /// What they add up to: the batch, at the nearest step of the scale.
    pub total: Decimal,
}

/// The nearest step of a scale, halves upward: 1.005 g on a 0.01 g scale is 1.01 g.
pub fn to_step(value: Decimal, step: Decimal) -> Result<Decimal, ChemError> {
    if step <= Decimal::ZERO {
        return Err(ChemError::new("the scale's step must be more than nothing"));
    }
    let steps = value.checked_div(step).ok_or_else(too_large)?;
    let whole = steps.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    let rounded = whole.checked_mul(step).ok_or_else(too_large)?;
    Ok(at_scale(rounded, step))
}

/// Parts by weight as grams on a scale: `parts` in any unit of weight, `batch` and `step` in grams.
pub fn column(parts: &[Decimal], batch: Decimal, step: Decimal) -> Result<Column, ChemError> {
    if batch < Decimal::ZERO || parts.iter().any(|p| *p < Decimal::ZERO) {
        return Err(ChemError::new("a weight cannot be less than nothing"));
    }
    let total = to_step(batch, step)?;
    let steps = whole(total / step)?;
    let grams = apportion(parts, steps)?
        .into_iter()
        .map(|n| times(n, step))
        .collect::<Result<_, _>>()?;
    Ok(Column { grams, total })
}

/// The same, where one row fills up the rest: every other row is the nearest step to its own weight, and what rounding leaves falls
/// on that one. Where it cannot bear that, as `column`.
pub fn column_with_filler(
    parts: &[Decimal],
    batch: Decimal,
    step: Decimal,
    filler: usize,
) -> Result<Column, ChemError> {
    let shared = column(parts, batch, step)?;
    let mut sum = Decimal::ZERO;
    for part in parts {
        sum = sum.checked_add(*part).ok_or_else(too_large)?;
    }
    let mut grams = Vec::with_capacity(parts.len());
    let mut left = shared.total;
    for (row, part) in parts.iter().enumerate() {
        if row == filler {
            grams.push(Decimal::ZERO);
            continue;
        }
        let exact = part.checked_mul(batch).and_then(|g| g.checked_div(sum));
        let rounded = to_step(exact.ok_or_else(too_large)?, step)?;
        left -= rounded;
        grams.push(rounded);
    }
    match grams.get_mut(filler) {
        Some(rest) if left >= Decimal::ZERO => *rest = at_scale(left, step),
        _ => return Ok(shared),
    }
    Ok(Column {
        grams,
        total: shared.total,
    })
}

/// Weights that are already in grams, each rounded to the scale, their sum kept.
pub fn weights(grams: &[Decimal], step: Decimal) -> Result<Column, ChemError> {
    let mut sum = Decimal::ZERO;
    for g in grams {
        sum = sum.checked_add(*g).ok_or_else(too_large)?;
    }
    column(grams, sum, step)
}

/// One weight over a number of containers, the odd steps going to the first ones.
pub fn split(total: Decimal, containers: u32, step: Decimal) -> Result<Column, ChemError> {
    if containers > 100_000 {
        return Err(ChemError::new(
            "more than 100000 containers are not split one by one",
        ));
    }
    column(&vec![Decimal::ONE; containers as usize], total, step)
}

/// A whole number of steps shared out in the proportion of the parts.
fn apportion(parts: &[Decimal], steps: i128) -> Result<Vec<i128>, ChemError> {
    let places = parts
        .iter()
        .map(|p| p.normalize().scale())
        .max()
        .unwrap_or(0);
    let mut sizes = Vec::with_capacity(parts.len());
    let mut sum = 0i128;
    for part in parts {
        let part = part.normalize();
        let size = 10i128
            .checked_pow(places - part.scale())
            .and_then(|f| part.mantissa().checked_mul(f));
        let size = size.ok_or_else(too_large)?;
        sum = sum.checked_add(size).ok_or_else(too_large)?;
        sizes.push(size);
    }
    if sum == 0 {
        return Err(ChemError::new(
            "there is nothing to weigh: every part is zero",
        ));
    }
    let mut out = Vec::with_capacity(parts.len());
    let mut losses = Vec::with_capacity(parts.len());
    let mut given = 0i128;
    for (row, size) in sizes.iter().enumerate() {
        let exact = size.checked_mul(steps).ok_or_else(too_large)?;
        out.push(exact / sum);
        given += exact / sum;
        losses.push((exact % sum, *size, row));
    }
    // What lost most comes first; of equals the larger row, where a step matters least; then the upper row.
    losses.sort_by(|a, b| (b.0, b.1).cmp(&(a.0, a.1)).then(a.2.cmp(&b.2)));
    for (_, _, row) in losses.iter().take((steps - given) as usize) {
        out[*row] += 1;
    }
    Ok(out)
}

fn whole(value: Decimal) -> Result<i128, ChemError> {
    let value = value.normalize();
    if value.scale() == 0 {
        Ok(value.mantissa())
    } else {
        Err(too_large())
    }
}

fn times(steps: i128, step: Decimal) -> Result<Decimal, ChemError> {
    let steps = Decimal::try_from_i128_with_scale(steps, 0).map_err(|_| too_large())?;
    Ok(at_scale(
        steps.checked_mul(step).ok_or_else(too_large)?,
        step,
    ))
}

/// Shown with the decimals of the scale: 5.00 g on a 0.01 g scale.
fn at_scale(mut value: Decimal, step: Decimal) -> Decimal {
    value.rescale(step.scale());
    value
}

fn too_large() -> ChemError {
    ChemError::new("the figures have more digits than can be kept exactly")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    fn texts(column: &Column) -> Vec<String> {
        column.grams.iter().map(Decimal::to_string).collect()
    }

    /// 0.004 g is nothing on a scale of 0.01 g, whatever is left over: the water takes it.
    #[test]
    fn what_rounding_leaves_falls_on_the_filler() {
        let parts = [d("99.988"), d("0.004"), d("0.004"), d("0.004")];
        let c = column_with_filler(&parts, d("100"), d("0.01"), 0).unwrap();
        assert_eq!(texts(&c), ["100.00", "0.00", "0.00", "0.00"]);
        let c = column_with_filler(&[d("1"), d("1"), d("1")], d("100"), d("0.01"), 2).unwrap();
        assert_eq!(texts(&c), ["33.33", "33.33", "33.34"]);
        // A filler that is too small to bear it leaves the column as it is.
        let parts = [d("0.001"), d("33.335"), d("33.332"), d("33.332")];
        let c = column_with_filler(&parts, d("100"), d("0.01"), 0).unwrap();
        assert_eq!(c.grams.iter().copied().sum::<Decimal>(), d("100"));
    }

    #[test]
    fn thirds_add_up() {
        let c = column(&[d("1"), d("1"), d("1")], d("100"), d("0.01")).unwrap();
        assert_eq!(texts(&c), ["33.34", "33.33", "33.33"]);
        assert_eq!(c.total, d("100"));
    }

    #[test]
    fn three_ounces_add_up_on_a_hundredth_scale() {
        // 3 oz = 85.048569375 g (NIST Handbook 44), 85.05 g on the scale. By hand: 70, 20, 9.5 and 0.5 %
        // of 85.05 are 59.535, 17.01, 8.07975, 0.42525 g; cut down 59.53, 17.01, 8.07, 0.42 = 85.03, so two
        // steps are missing; most was lost by row 3 (0.00975), then row 4 (0.00525).
        let c = column(
            &[d("70"), d("20"), d("9.5"), d("0.5")],
            d("85.048569375"),
            d("0.01"),
        )
        .unwrap();
        assert_eq!(texts(&c), ["59.53", "17.01", "8.08", "0.43"]);
        assert_eq!(c.total, d("85.05"));
    }

    #[test]
    fn steps_of_two_and_five() {
        let c = column(&[d("1"), d("2")], d("10"), d("0.5")).unwrap();
        assert_eq!(texts(&c), ["3.5", "6.5"]);
        assert_eq!(to_step(d("1.005"), d("0.01")), Ok(d("1.01")));
        assert_eq!(to_step(d("7.1"), d("0.5")), Ok(d("7.0")));
    }

    #[test]
    fn jars() {
        let c = split(d("500"), 12, d("0.1")).unwrap();
        assert_eq!(c.grams.iter().filter(|g| **g == d("41.7")).count(), 8);
        assert_eq!(c.grams.iter().filter(|g| **g == d("41.6")).count(), 4);
        assert_eq!(c.grams.iter().sum::<Decimal>(), d("500"));
    }

    #[test]
    fn what_cannot_be_done_is_refused() {
        assert!(column(&[], d("1"), d("0.1")).is_err());
        assert!(column(&[d("0")], d("1"), d("0.1")).is_err());
        assert!(column(&[d("-1"), d("2")], d("1"), d("0.1")).is_err());
        assert!(column(&[d("1")], d("-1"), d("0.1")).is_err());
        assert!(column(&[d("1")], d("1"), d("0")).is_err());
        assert!(
            column(
                &[Decimal::MAX, d("0.0000000000000000000000001")],
                d("1000"),
                d("0.001")
            )
            .is_err()
        );
        assert!(split(d("1"), 0, d("0.1")).is_err());
    }

    #[test]
    fn a_weight_below_half_a_step_comes_out_as_nothing() {
        let c = weights(&[d("100"), d("0.004")], d("0.01")).unwrap();
        assert_eq!(texts(&c), ["100.00", "0.00"]);
    }
}
