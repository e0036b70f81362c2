//! Temperatures in Celsius and Fahrenheit.

use rust_decimal::Decimal;
use std::cmp::Ordering;
use std::fmt;

/// Celsius or Fahrenheit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scale {
    Celsius,
    Fahrenheit,
}

impl Scale {
    /// Reads `°C`, `C`, `º C` (the ordinal sign, a common slip), `℃`, and the same for Fahrenheit.
    pub fn parse(text: &str) -> Option<Scale> {
        let text = text.trim();
        let letter = text
            .strip_prefix(['°', 'º', '˚'])
            .unwrap_or(text)
            .trim_start();
        match letter {
            "C" | "c" | "℃" => Some(Scale::Celsius),
            "F" | "f" | "℉" => Some(Scale::Fahrenheit),
            _ => None,
        }
    }

    pub fn symbol(self) -> &'static str {
        match self {
            Scale::Celsius => "°C",
            Scale::Fahrenheit => "°F",
        }
    }
}

/// A temperature, kept in the scale that it was written in so that nothing is lost by rounding. Two are
/// equal when they mean the same heat: 104 °F is 40 °C.
#[derive(Clone, Copy, Debug)]
pub struct Temperature {
    pub degrees: Decimal,
    pub scale: Scale,
}

impl Temperature {
    pub fn new(degrees: Decimal, scale: Scale) -> Self {
        Temperature { degrees, scale }
    }

    pub fn celsius(degrees: impl Into<Decimal>) -> Self {
        Temperature::new(degrees.into(), Scale::Celsius)
    }

    pub fn fahrenheit(degrees: impl Into<Decimal>) -> Self {
        Temperature::new(degrees.into(), Scale::Fahrenheit)
    }

    /// Ninths of a degree Celsius: exact in either scale. A typing slip of thirty digits must not end
    /// the program, hence the saturating steps.
    pub(super) fn ninths(self) -> Decimal {
        match self.scale {
            Scale::Celsius => self.degrees.saturating_mul(Decimal::from(9)),
            Scale::Fahrenheit => self
                .degrees
                .saturating_sub(Decimal::from(32))
                .saturating_mul(Decimal::from(5)),
        }
    }

    /// Degrees Celsius, to 28 digits.
    pub fn in_celsius(self) -> Decimal {
        match self.scale {
            Scale::Celsius => self.degrees,
            Scale::Fahrenheit => self.ninths() / Decimal::from(9),
        }
    }

    /// Degrees Fahrenheit, exact.
    pub fn in_fahrenheit(self) -> Decimal {
        match self.scale {
            Scale::Celsius => (self.ninths() / Decimal::from(5)).saturating_add(Decimal::from(32)),
            Scale::Fahrenheit => self.degrees,
        }
    }

    /// The same heat in the scale that a message has to speak in.
    pub fn to(self, scale: Scale) -> Temperature {
        let degrees = match scale {
            Scale::Celsius => self.in_celsius(),
            Scale::Fahrenheit => self.in_fahrenheit(),
        };
        Temperature::new(degrees, scale)
    }
}

impl PartialEq for Temperature {
    fn eq(&self, other: &Self) -> bool {
        self.ninths() == other.ninths()
    }
}

impl Eq for Temperature {}

impl PartialOrd for Temperature {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Temperature {
    fn cmp(&self, other: &Self) -> Ordering {
        self.ninths().cmp(&other.ninths())
    }
}

/// To a tenth of a degree at most: no kitchen thermometer shows more.
impl fmt::Display for Temperature {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}",
            self.degrees.round_dp(1).normalize(),
            self.scale.symbol()
        )
    }
}
