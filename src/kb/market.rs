//! The markets whose law is in the base.

use serde::Serialize;
use std::fmt;

/// A market. Sorted by its code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Market {
    #[serde(rename = "CA")]
    Canada,
    #[serde(rename = "EU")]
    EuropeanUnion,
    #[serde(rename = "UK")]
    UnitedKingdom,
    #[serde(rename = "US")]
    UnitedStates,
}

impl Market {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Market; 4] = [
        Market::EuropeanUnion,
        Market::UnitedKingdom,
        Market::UnitedStates,
        Market::Canada,
    ];

    /// Their codes, in the same order.
    pub const CODES: [&str; 4] = ["EU", "UK", "US", "CA"];

    /// As files and answers write it.
    pub fn code(self) -> &'static str {
        match self {
            Market::Canada => "CA",
            Market::EuropeanUnion => "EU",
            Market::UnitedKingdom => "UK",
            Market::UnitedStates => "US",
        }
    }

    /// The market with this code.
    pub fn from_code(code: &str) -> Option<Market> {
        Market::ALL.into_iter().find(|m| m.code() == code)
    }

    /// The market that a word names, in any case, by code or by name.
    pub fn named(word: &str) -> Option<Market> {
        match word.trim().to_ascii_lowercase().as_str() {
            "eu" | "european union" => Some(Market::EuropeanUnion),
            "uk" | "gb" | "united kingdom" => Some(Market::UnitedKingdom),
            "us" | "usa" | "united states" => Some(Market::UnitedStates),
            "ca" | "canada" => Some(Market::Canada),
            _ => None,
        }
    }
}

impl fmt::Display for Market {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.code())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_market_is_found_by_its_code_and_by_its_name() {
        for (market, code) in Market::ALL.into_iter().zip(Market::CODES) {
            assert_eq!(market.code(), code);
            assert_eq!(Market::from_code(code), Some(market));
            assert_eq!(Market::named(&code.to_lowercase()), Some(market));
        }
        assert_eq!(Market::named(" Canada "), Some(Market::Canada));
        assert_eq!(Market::named("Mars"), None);
        assert!(Market::Canada < Market::EuropeanUnion);
    }
}
