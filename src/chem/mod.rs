//! Pure science and arithmetic: numbers with units in, numbers with units out.
//!
//! Nothing here knows of files, editors, the knowledge base or the language. The maker's own figures
//! (weights, percent, prices) are exact decimals; floating point is used only where a method is an
//! estimate by nature (equilibria, partition, cooling). No function answers NaN or infinity: outside its
//! range it hands back a [`ChemError`] that says why in words a maker can act on.

pub mod acid_base;
pub mod allergens;
pub mod cooling;
pub mod cost;
pub mod date;
pub mod dose;
pub mod exposure;
pub mod hlb;
pub mod losses;
pub mod molar;
pub mod partition;
pub mod root;
pub mod rounding;
pub mod shelf_life;
pub mod units;
pub mod water_activity;
pub mod weighing;

use rust_decimal::Decimal;
use std::borrow::Cow;
use std::fmt;

/// Why a calculation was not done, as one plain sentence without a full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChemError {
    reason: Cow<'static, str>,
}

impl ChemError {
    pub fn new(reason: impl Into<Cow<'static, str>>) -> Self {
        ChemError {
            reason: reason.into(),
        }
    }

    pub fn reason(&self) -> &str {
        &self.reason
    }
}

impl fmt::Display for ChemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.reason)
    }
}

impl std::error::Error for ChemError {}

/// e to the power of `x`. None of these is the machine's own: an estimate is the same to the last digit wherever it is made.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// 10 to the power of `x`.
pub fn ten_to(x: f64) -> f64 {
    libm::pow(10.0, x)
}

pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// A maker's exact figure for a method that estimates.
pub fn float(exact: Decimal) -> f64 {
    // A `Decimal` is finite and far within what a double spans; the text is its shortest exact form.
    exact.to_string().parse().unwrap_or(0.0)
}

/// An estimate as a figure to weigh by, rounded to `places` decimals; none beyond what 28 digits hold.
pub fn decimal(estimate: f64, places: u32) -> Option<Decimal> {
    if !estimate.is_finite() || estimate.abs() > 1e15 {
        return None;
    }
    format!("{estimate:.places$}", places = places.min(12) as usize)
        .parse()
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_figures_and_estimates_pass_the_border_both_ways() {
        assert_eq!(float("28.349523125".parse().unwrap()), 28.349_523_125);
        assert_eq!(
            float(Decimal::MAX),
            79_228_162_514_264_337_593_543_950_335.0
        );
        assert_eq!(decimal(0.1 + 0.2, 3), Some("0.300".parse().unwrap()));
        assert_eq!(
            decimal(1.0 / 3.0, 40),
            Some("0.333333333333".parse().unwrap())
        );
        assert_eq!(decimal(-2.5, 0), Some("-2".parse().unwrap()));
        for none in [f64::NAN, f64::INFINITY, 1e16, -1e16] {
            assert_eq!(decimal(none, 2), None);
        }
    }
}
