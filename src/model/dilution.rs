//! A weight too small for the scale, weighed as a dilution in something that the formula holds anyway.

use super::formula::Formula;
use super::system;
use crate::chem::weighing;
use crate::kb::Kb;
use crate::kb::schema::{Dissolves, Ingredient};
use rust_decimal::{Decimal, RoundingStrategy};

/// A dilution, weighable on the scale throughout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dilution {
    /// The row that gives way: what the dilution is made with.
    pub carrier: usize,
    /// Strength, % by weight.
    pub percent: Decimal,
    /// Grams of the material, and of the carrier, to mix beforehand.
    pub take_g: Decimal,
    pub carrier_g: Decimal,
    /// Grams of the mixture that go into the batch.
    pub weigh_g: Decimal,
}

/// For `weight_g` of a row, on a scale of which one step may be `worst_share` of it at most. `at_hand` gives the grams of
/// another row. None where no dilution does within the formula.
pub fn of(
    f: &Formula,
    kb: &Kb,
    row: usize,
    weight_g: Decimal,
    scale: (Decimal, Decimal),
    at_hand: impl Fn(usize) -> Option<Decimal>,
) -> Option<Dilution> {
    let (step_g, worst_share) = scale;
    let carrier = carrier(f, kb, row)?;
    let d = weighing::dilution(weight_g, step_g, worst_share, at_hand(carrier)?).ok()?;
    let steps = d.weigh_g.checked_div(step_g)?;
    let steps = steps.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    Some(Dilution {
        carrier,
        percent: d.percent,
        take_g: d.stock_material_g,
        carrier_g: d.stock_total_g.checked_sub(d.stock_material_g)?,
        weigh_g: steps.checked_mul(step_g)?,
    })
}

/// What a little of a material can be dissolved in beforehand: the most plentiful water or liquid oil of its phase.
fn carrier(f: &Formula, kb: &Kb, n: usize) -> Option<usize> {
    let one = kb.get(f.rows[n].id()?);
    let thins = |other: &Ingredient| match one.dissolves? {
        Dissolves::Water | Dissolves::Both => Some(system::is_water(other)),
        Dissolves::Oil => {
            Some(system::has_role(other, "oil") && other.melts_c.is_none() && one.melts_c.is_none())
        }
        _ => None,
    };
    let beside = (0..f.rows.len()).filter(|r| *r != n && f.rows[*r].phase == f.rows[n].phase);
    beside
        .filter(|r| {
            f.rows[*r]
                .id()
                .is_some_and(|id| thins(kb.get(id)) == Some(true))
        })
        .max_by_key(|r| f.rows[*r].percent)
}
