//! Volumes of a whole product: its density from those of its rows.
//!
//! Volumes are taken as additive, which is right within a few percent for creams and lotions, and off where air is whipped in or
//! alcohol meets water. A row without a known density counts as 1.00 g/mL and is named.

use super::composition::row_density;
use super::formula::Formula;
use crate::kb::Kb;
use rust_decimal::Decimal;

/// An estimate, g/mL.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Density {
    pub g_per_ml: Decimal,
    /// Rows whose density is not known.
    pub unknown: Vec<usize>,
}

/// None where a share is not known, or nothing is there.
pub fn density(f: &Formula, kb: &Kb) -> Option<Density> {
    let mut grams = Decimal::ZERO;
    let mut millilitres = Decimal::ZERO;
    let mut unknown = Vec::new();
    for (n, row) in f.rows.iter().enumerate() {
        let part = row.percent?;
        let own = row_density(kb, &row.material);
        if own.is_none() && !part.is_zero() {
            unknown.push(n);
        }
        grams = grams.checked_add(part)?;
        millilitres = millilitres.checked_add(part.checked_div(own.unwrap_or(Decimal::ONE))?)?;
    }
    Some(Density {
        g_per_ml: grams.checked_div(millilitres)?,
        unknown,
    })
}
