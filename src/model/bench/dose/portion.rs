//! A dose as it goes on the scale: whole steps, rounded down, and watered down where one step is too much.

use crate::chem::{decimal, float};
use rust_decimal::Decimal;
use serde::Serialize;

/// How a solution is watered down so that the scale can weigh a dose of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Dilution {
    /// What is watered down.
    pub of: String,
    pub times: u32,
    /// Grams of it, and of water.
    pub take_g: Decimal,
    pub water_g: Decimal,
}

/// Doses of one agent on one scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Portion {
    /// Watered down so many times; 1 is as it is.
    pub times: u32,
    scale_g: Decimal,
}

/// Fewer steps of the scale than this are hard to weigh: the last figure is a tenth of them.
pub(super) const FEW_STEPS: Decimal = Decimal::TEN;
/// Part of the product that watered-down doses may bring at most: more dilutes the formula.
const MOST_PART: Decimal = Decimal::from_parts(2, 0, 0, false, 2);

impl Portion {
    /// For a dose of so many grams. None where the scale cannot weigh it without diluting the formula.
    pub fn of(dose_g: f64, product_g: Decimal, scale_g: Decimal) -> Option<Portion> {
        let most_g = product_g.checked_mul(MOST_PART)?;
        [1, 10, 100]
            .map(|times| Portion { times, scale_g })
            .into_iter()
            .find(|p| p.down(dose_g).is_some_and(|g| !g.is_zero()))
            .filter(|p| p.times == 1 || p.down(dose_g).is_some_and(|g| g <= most_g))
    }

    /// Grams on the scale for so many grams of what is not watered down, rounded down: a drop short is easily put right.
    pub fn down(self, dose_g: f64) -> Option<Decimal> {
        self.steps(dose_g)?.floor().checked_mul(self.scale_g)
    }

    /// The same to the nearest step, but never none: in a sample it costs nothing to pass the target.
    pub fn nearest(self, dose_g: f64) -> Option<Decimal> {
        self.steps(dose_g)?
            .round()
            .max(Decimal::ONE)
            .checked_mul(self.scale_g)
    }

    fn steps(self, dose_g: f64) -> Option<Decimal> {
        decimal(dose_g, 6)?
            .checked_mul(self.times.into())?
            .checked_div(self.scale_g)
    }

    /// Grams of what is not watered down that are in so many grams on the scale.
    pub fn undiluted_g(self, weighed_g: Decimal) -> f64 {
        float(weighed_g) / f64::from(self.times)
    }

    /// What to mix, enough for a dose of so many grams on the scale.
    pub fn dilution(self, of: &str, dose_g: Decimal) -> Option<Dilution> {
        if self.times == 1 {
            return None;
        }
        let times = Decimal::from(self.times);
        let enough = dose_g
            .checked_div(times)?
            .checked_div(self.scale_g)?
            .ceil()
            .checked_mul(self.scale_g)?;
        let take_g = enough
            .max(self.scale_g.checked_mul(FEW_STEPS)?)
            .max(Decimal::ONE)
            .normalize();
        Some(Dilution {
            of: of.to_owned(),
            times: self.times,
            take_g,
            water_g: take_g.checked_mul(times - Decimal::ONE)?.normalize(),
        })
    }
}

/// What is said of few steps, with how to weigh them better where that does not dilute the formula.
pub(super) fn few_steps(
    of: &str,
    dose_g: f64,
    product_g: Decimal,
    scale_g: Decimal,
    else_do: &str,
) -> String {
    let scale = scale_g.normalize();
    let finer = Portion { times: 10, scale_g };
    let better = finer
        .down(dose_g)
        .filter(|g| Some(*g) <= product_g.checked_mul(MOST_PART))
        .and_then(|g| finer.dilution(of, g).map(|d| (g, d)));
    let before = format!("so little is hard to weigh on a scale that reads {scale} g");
    match better {
        Some((grams, mix)) => format!(
            "{before}: {else_do}stir {} g of {of} into {} g of water and weigh in {grams} g of that instead",
            mix.take_g, mix.water_g
        ),
        None => format!("{before}: {else_do}use a finer scale"),
    }
}
