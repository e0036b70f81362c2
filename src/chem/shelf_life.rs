//! How long it will keep: the earliest of all the dates that bear on it.
//!
//! Shapes: the day it was made, the best-before dates of the lots that went in, the months that its oils and
//! its preservative allow; the date out, with which of them set it. Method: the earliest wins; nothing is
//! averaged. What no date is known for cannot shorten it and has to be named by the caller. A date on paper
//! is no stability test.

use super::ChemError;
use super::date::Date;

/// One thing that ends the shelf life.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShelfLifeLimit {
    /// A lot's best-before date.
    Until(Date),
    /// Months from the making: an oil that turns, a system that holds so long.
    Months(u32),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShelfLife {
    pub until: Date,
    /// Which of the limits set it, by its place in the list; the first of equals.
    pub limiting: usize,
    /// Whole months from the making.
    pub months: i32,
    /// A lot was past its date on the day of making, by so many days.
    pub already_past_days: Option<i64>,
}

pub fn earliest(made: Date, limits: &[ShelfLifeLimit]) -> Result<ShelfLife, ChemError> {
    let mut best: Option<(Date, usize)> = None;
    for (place, limit) in limits.iter().enumerate() {
        let until = match *limit {
            ShelfLifeLimit::Until(date) => date,
            ShelfLifeLimit::Months(months) => i32::try_from(months)
                .ok()
                .and_then(|m| made.plus_months(m))
                .ok_or_else(|| ChemError::new("that many months lead out of the calendar"))?,
        };
        if best.is_none_or(|(earliest, _)| until < earliest) {
            best = Some((until, place));
        }
    }
    let Some((until, limiting)) = best else {
        return Err(ChemError::new("no date is known for anything in it"));
    };
    let past = made.days() - until.days();
    Ok(ShelfLife {
        until,
        limiting,
        months: made.whole_months_to(until),
        already_past_days: (past > 0).then_some(past),
    })
}
