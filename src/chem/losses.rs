//! What evaporates and what sticks: water to put back, and how much to make.
//!
//! Exact decimals, grams; a mass balance and nothing else. Only water is taken to have left: of alcohol or
//! a volatile silicone the balance knows nothing.

use super::ChemError;
use rust_decimal::Decimal;

/// Weights of one vessel with its content, all in grams.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EvaporatingVessel {
    /// Vessel and content before heating.
    pub before_g: Decimal,
    /// Vessel and content now.
    pub after_g: Decimal,
    /// Added in between.
    pub added_g: Decimal,
    /// Taken out in between: samples, what stuck to the spatula.
    pub taken_g: Decimal,
}

/// Water that went as vapour, to put back. Refused where the weights say that something came in unrecorded.
pub fn water_to_put_back(vessel: EvaporatingVessel) -> Result<Decimal, ChemError> {
    let EvaporatingVessel {
        before_g,
        after_g,
        added_g,
        taken_g,
    } = vessel;
    if [before_g, after_g, added_g, taken_g]
        .iter()
        .any(|w| *w < Decimal::ZERO)
    {
        return Err(ChemError::new("a weight cannot be less than nothing"));
    }
    let lost = before_g
        .saturating_add(added_g)
        .saturating_sub(taken_g)
        .saturating_sub(after_g);
    if lost < Decimal::ZERO {
        return Err(ChemError::new(
            "the vessel weighs more than went into it: was something added that is not written down, or another vessel tared?",
        ));
    }
    Ok(lost)
}

/// Percent of a content that was lost.
pub fn loss_percent(content_g: Decimal, lost_g: Decimal) -> Result<Decimal, ChemError> {
    if content_g <= Decimal::ZERO {
        return Err(ChemError::new("there is nothing in the vessel"));
    }
    let share = lost_g
        .checked_div(content_g)
        .and_then(|s| s.checked_mul(Decimal::ONE_HUNDRED));
    share.ok_or_else(|| ChemError::new("the figures have more digits than can be kept exactly"))
}

/// The batch (grams) that fills so many containers when some percent stays in the pot.
pub fn batch_for(
    containers: u32,
    fill_g: Decimal,
    lost_percent: Decimal,
) -> Result<Decimal, ChemError> {
    if containers == 0 || fill_g <= Decimal::ZERO {
        return Err(ChemError::new("there is nothing to fill"));
    }
    if lost_percent < Decimal::ZERO || lost_percent >= Decimal::ONE_HUNDRED {
        return Err(ChemError::new("the loss lies between 0 and below 100 %"));
    }
    let filled = fill_g
        .checked_mul(Decimal::from(containers))
        .and_then(|g| g.checked_mul(Decimal::ONE_HUNDRED));
    let batch = filled.and_then(|g| g.checked_div(Decimal::ONE_HUNDRED - lost_percent));
    batch.ok_or_else(|| ChemError::new("the figures have more digits than can be kept exactly"))
}

/// Grams in a container of so many millilitres, by the product's density in g/mL.
pub fn fill_grams(millilitres: Decimal, density_g_ml: Decimal) -> Result<Decimal, ChemError> {
    if density_g_ml <= Decimal::ZERO || millilitres <= Decimal::ZERO {
        return Err(ChemError::new(
            "a volume turns into a weight only by a known density",
        ));
    }
    let grams = millilitres.checked_mul(density_g_ml);
    grams.ok_or_else(|| ChemError::new("the figures have more digits than can be kept exactly"))
}
