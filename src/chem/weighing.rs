//! Whether a scale can weigh it.
//!
//! Shapes: grams and the scale's step (readability, 0.01 g) in, shares (0 to 1) and grams out. Exact
//! decimals. Method: a reading is uncertain by one step, so the share of that step in the weight says how
//! far off the weight may be; how much is too much is the caller's to say. Too small a weight is made
//! weighable by a larger batch or by a dilution in something that the formula holds anyway.
//!
//! The pharmacopoeial minimum weight (repeatability no better than 0.41 steps, 2,000 times that: 8.2 g on a
//! 0.01 g scale; USP general chapter 41) is for analytical work and never a threshold for the bench.

use super::ChemError;
use rust_decimal::Decimal;

/// What one step of the scale is of the weight: 0.01 g in 0.2 g is 0.05.
pub fn readability_share(weight_g: Decimal, step_g: Decimal) -> Result<Decimal, ChemError> {
    if step_g <= Decimal::ZERO {
        return Err(no_scale());
    }
    if weight_g <= Decimal::ZERO {
        return Err(ChemError::new("there is nothing to weigh"));
    }
    step_g.checked_div(weight_g).ok_or_else(too_large)
}

/// The smallest batch (grams) in which a row of `percent` is `worst_share` off at most, up to a whole step.
pub fn smallest_batch(
    percent: Decimal,
    step_g: Decimal,
    worst_share: Decimal,
) -> Result<Decimal, ChemError> {
    let weight = smallest_weight(step_g, worst_share)?;
    if percent <= Decimal::ZERO || percent > Decimal::ONE_HUNDRED {
        return Err(ChemError::new("a percentage lies above 0 and up to 100"));
    }
    let batch = weight
        .checked_mul(Decimal::ONE_HUNDRED)
        .and_then(|w| w.checked_div(percent))
        .ok_or_else(too_large)?;
    let steps = batch.checked_div(step_g).ok_or_else(too_large)?.ceil();
    steps.checked_mul(step_g).ok_or_else(too_large)
}

/// The smallest weight of which one step is `worst_share` at most.
pub fn smallest_weight(step_g: Decimal, worst_share: Decimal) -> Result<Decimal, ChemError> {
    if step_g <= Decimal::ZERO {
        return Err(no_scale());
    }
    if worst_share <= Decimal::ZERO || worst_share > Decimal::ONE {
        return Err(ChemError::new(
            "the share that a weight may be off lies above 0 and up to 1",
        ));
    }
    step_g.checked_div(worst_share).ok_or_else(too_large)
}

/// A dilution that makes a small weight weighable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dilution {
    /// Strength, % by weight: 10, 1 or 0.1.
    pub percent: Decimal,
    /// Grams of the dilution to weigh into the batch.
    pub weigh_g: Decimal,
    /// Grams of the carrier that come with it, to leave out elsewhere.
    pub carrier_g: Decimal,
    /// A stock that the scale can make: grams of the material in grams of the whole.
    pub stock_material_g: Decimal,
    pub stock_total_g: Decimal,
}

/// The strongest of 10, 1 and 0.1 % that the scale can weigh, within the carrier (water, oil) at hand.
pub fn dilution(
    weight_g: Decimal,
    step_g: Decimal,
    worst_share: Decimal,
    carrier_at_hand_g: Decimal,
) -> Result<Dilution, ChemError> {
    let least = smallest_weight(step_g, worst_share)?;
    if weight_g <= Decimal::ZERO {
        return Err(ChemError::new("there is nothing to weigh"));
    }
    for places in 1..=3u32 {
        let times = Decimal::from(10i64.pow(places));
        let weigh_g = weight_g.checked_mul(times).ok_or_else(too_large)?;
        if weigh_g < least {
            continue;
        }
        let carrier_g = weigh_g - weight_g;
        if carrier_g > carrier_at_hand_g {
            break;
        }
        // Enough stock for this batch, its own material weighable, in a round figure of steps.
        let material = weight_g.max(least);
        let steps = material.checked_div(step_g).ok_or_else(too_large)?.ceil();
        let material = steps.checked_mul(step_g).ok_or_else(too_large)?;
        let stock_total_g = material.checked_mul(times).ok_or_else(too_large)?;
        let percent = Decimal::ONE_HUNDRED / times;
        return Ok(Dilution {
            percent,
            weigh_g,
            carrier_g,
            stock_material_g: material,
            stock_total_g,
        });
    }
    Err(ChemError::new(
        "no dilution makes this weighable within the formula: make a larger batch or use a finer scale",
    ))
}

/// The pharmacopoeia's minimum weight for a scale at its very best; analytical, not for the bench.
pub fn pharmacopoeia_minimum(step_g: Decimal) -> Decimal {
    step_g.saturating_mul(Decimal::from(820))
}

fn no_scale() -> ChemError {
    ChemError::new("the scale's step must be more than nothing")
}

fn too_large() -> ChemError {
    ChemError::new("the figures have more digits than can be kept exactly")
}
