//! How much of an aroma allergen a product holds, from all that brings it.
//!
//! Shapes: for each source its percent in the product and the percent of the allergen in the source: lowest,
//! usual, highest known. Exact decimals. Method: the sums of the products; a natural oil varies from lot to
//! lot, so there are three sums and a verdict that says which of them pass the threshold. A source whose
//! content is not known cannot be summed and has to be named by the caller.
//! Thresholds ((EU) 2023/1545): more than 0.001 % in leave-on, more than 0.01 % in rinse-off products.

use super::ChemError;
use rust_decimal::Decimal;

/// Percent: lowest, usual, highest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct ShareRange {
    pub low: Decimal,
    pub usual: Decimal,
    pub high: Decimal,
}

/// One source of the allergen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AllergenSource {
    /// Percent of the essential oil, perfume or extract in the product.
    pub percent: Decimal,
    /// Percent of the allergen in it.
    pub content: ShareRange,
}

/// Whether it goes on the label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Even the lowest sum is above the threshold.
    Declare,
    /// The usual sum is above it.
    Likely,
    /// Only the worst case is above it: the lot's own analysis decides.
    Possible,
    /// Not even the highest sum is above it.
    Below,
}

/// The allergen in the whole product, percent.
pub fn total(sources: &[AllergenSource]) -> Result<ShareRange, ChemError> {
    let mut sum = ShareRange::default();
    for source in sources {
        let ShareRange { low, usual, high } = source.content;
        if low < Decimal::ZERO || low > usual || usual > high || high > Decimal::ONE_HUNDRED {
            return Err(ChemError::new(
                "contents run from low over usual to high, within 0 and 100 %",
            ));
        }
        if source.percent < Decimal::ZERO || source.percent > Decimal::ONE_HUNDRED {
            return Err(ChemError::new("a percentage lies between 0 and 100"));
        }
        let share = source.percent / Decimal::ONE_HUNDRED;
        sum.low += low * share;
        sum.usual += usual * share;
        sum.high += high * share;
    }
    Ok(sum)
}

/// Against a threshold in percent, which has to be passed.
pub fn verdict(total: ShareRange, threshold: Decimal) -> Verdict {
    if total.low > threshold {
        Verdict::Declare
    } else if total.usual > threshold {
        Verdict::Likely
    } else if total.high > threshold {
        Verdict::Possible
    } else {
        Verdict::Below
    }
}
