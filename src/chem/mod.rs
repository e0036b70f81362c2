//! Pure science and arithmetic: numbers with units in, numbers with units out.
//!
//! Nothing here knows of files, editors, the knowledge base or the language. The maker's own figures
//! (weights, percent, prices) are exact decimals; floating point is used only where a method is an
//! estimate by nature (equilibria, partition, cooling). No function answers NaN or infinity: outside its
//! range it hands back a [`Refusal`] that says why in words a maker can act on.

pub mod rounding;
pub mod units;

use std::borrow::Cow;
use std::fmt;

/// Why a calculation was not done, as one plain sentence without a full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    reason: Cow<'static, str>,
}

impl Refusal {
    pub fn new(reason: impl Into<Cow<'static, str>>) -> Self {
        Refusal { reason: reason.into() }
    }

    pub fn reason(&self) -> &str {
        &self.reason
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.reason)
    }
}

impl std::error::Error for Refusal {}
