//! Units of amount and of temperature, with their exact factors.
//!
//! Source of the factors: NIST Handbook 44 (Appendix C, general tables of units of measurement) and
//! NIST Special Publication 811 (Appendix B), both exact by definition: the avoirdupois pound is
//! 453.592 37 g, the ounce a sixteenth of it; the US gallon is 231 cubic inches of 16.387 064 mL, the
//! fluid ounce a 128th of it, the cup eight fluid ounces, the tablespoon half and the teaspoon a sixth of
//! the fluid ounce. The drop of 0.05 mL is the
//! pharmacy convention of 20 drops to the millilitre, not a measurement: real drops run from a half to
//! about one and a half of it. Degrees Celsius and Fahrenheit as in SP 811 B.8.
//!
//! Range: any value a `Decimal` holds (28 digits). Conversions that would not fit answer `None`.

mod temperature;

use rust_decimal::Decimal;
use std::fmt;
pub use temperature::{Scale, Temperature};

/// A unit that an amount can be written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    Percent,
    Gram,
    Milligram,
    Kilogram,
    /// Avoirdupois ounce: a weight.
    Ounce,
    Pound,
    Millilitre,
    Litre,
    /// US fluid ounce: a volume.
    FluidOunce,
    /// US customary teaspoon.
    Teaspoon,
    /// US customary tablespoon: three teaspoons.
    Tablespoon,
    /// US customary cup: sixteen tablespoons.
    Cup,
    Drop,
    Part,
    /// A thing that is counted: a jar, a label. Never an amount of a formula.
    Piece,
}

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Percent by weight of the whole.
    Share,
    Mass,
    Volume,
    /// Parts by weight, of a total that is their own sum.
    Ratio,
    /// Things that are counted.
    Count,
}

/// Every spelling that is read, longest first, so that `fl oz` is never taken for `oz`. Upper and lower
/// case are alike. A blank stands for one or more blanks.
const SPELLINGS: &[(&str, Unit)] = &[
    ("fluid ounces", Unit::FluidOunce),
    ("fluid ounce", Unit::FluidOunce),
    ("tablespoons", Unit::Tablespoon),
    ("millilitres", Unit::Millilitre),
    ("milliliters", Unit::Millilitre),
    ("tablespoon", Unit::Tablespoon),
    ("millilitre", Unit::Millilitre),
    ("milliliter", Unit::Millilitre),
    ("milligrams", Unit::Milligram),
    ("kilograms", Unit::Kilogram),
    ("milligram", Unit::Milligram),
    ("teaspoons", Unit::Teaspoon),
    ("kilogram", Unit::Kilogram),
    ("teaspoon", Unit::Teaspoon),
    ("fl. oz.", Unit::FluidOunce),
    ("percent", Unit::Percent),
    ("fl. oz", Unit::FluidOunce),
    ("litres", Unit::Litre),
    ("liters", Unit::Litre),
    ("ounces", Unit::Ounce),
    ("pounds", Unit::Pound),
    ("pieces", Unit::Piece),
    ("fl oz", Unit::FluidOunce),
    ("drops", Unit::Drop),
    ("grams", Unit::Gram),
    ("liter", Unit::Litre),
    ("litre", Unit::Litre),
    ("ounce", Unit::Ounce),
    ("parts", Unit::Part),
    ("piece", Unit::Piece),
    ("tbsps", Unit::Tablespoon),
    ("pound", Unit::Pound),
    ("drop", Unit::Drop),
    ("floz", Unit::FluidOunce),
    ("gram", Unit::Gram),
    ("part", Unit::Part),
    ("tbsp", Unit::Tablespoon),
    ("cups", Unit::Cup),
    ("cup", Unit::Cup),
    ("lbs", Unit::Pound),
    ("pcs", Unit::Piece),
    ("tsp", Unit::Teaspoon),
    ("kg", Unit::Kilogram),
    ("lb", Unit::Pound),
    ("mg", Unit::Milligram),
    ("ml", Unit::Millilitre),
    ("oz", Unit::Ounce),
    ("%", Unit::Percent),
    ("g", Unit::Gram),
    ("l", Unit::Litre),
];

impl Unit {
    pub const ALL: [Unit; 14] = [
        Unit::Percent,
        Unit::Gram,
        Unit::Milligram,
        Unit::Kilogram,
        Unit::Ounce,
        Unit::Pound,
        Unit::Millilitre,
        Unit::Litre,
        Unit::FluidOunce,
        Unit::Teaspoon,
        Unit::Tablespoon,
        Unit::Cup,
        Unit::Drop,
        Unit::Part,
    ];

    /// The unit that `text` spells, blanks around it aside.
    pub fn parse(text: &str) -> Option<Unit> {
        let text = text.trim();
        match Unit::prefix(text) {
            Some((unit, len)) if len == text.len() => Some(unit),
            _ => None,
        }
    }

    /// The longest unit that `text` begins with, and how many bytes it takes. A letter may not follow:
    /// `glycerin` does not begin with grams.
    pub fn prefix(text: &str) -> Option<(Unit, usize)> {
        SPELLINGS.iter().find_map(|&(spelling, unit)| {
            let len = match_spelling(text, spelling)?;
            let next = text[len..].chars().next();
            let ends = spelling == "%" || next.is_none_or(|c| !c.is_alphanumeric());
            ends.then_some((unit, len))
        })
    }

    pub fn dimension(self) -> Dimension {
        match self {
            Unit::Percent => Dimension::Share,
            Unit::Part => Dimension::Ratio,
            Unit::Piece => Dimension::Count,
            Unit::Gram | Unit::Milligram | Unit::Kilogram | Unit::Ounce | Unit::Pound => {
                Dimension::Mass
            }
            Unit::Millilitre
            | Unit::Litre
            | Unit::FluidOunce
            | Unit::Teaspoon
            | Unit::Tablespoon
            | Unit::Cup
            | Unit::Drop => Dimension::Volume,
        }
    }

    /// Grams in one of a unit of mass.
    pub fn grams(self) -> Option<Decimal> {
        Some(match self {
            Unit::Gram => Decimal::ONE,
            Unit::Milligram => Decimal::new(1, 3),
            Unit::Kilogram => Decimal::ONE_THOUSAND,
            Unit::Ounce => Decimal::new(28_349_523_125, 9),
            Unit::Pound => Decimal::new(45_359_237, 5),
            _ => return None,
        })
    }

    /// Millilitres in one of a unit of volume.
    pub fn millilitres(self) -> Option<Decimal> {
        Some(match self {
            Unit::Millilitre => Decimal::ONE,
            Unit::Litre => Decimal::ONE_THOUSAND,
            Unit::FluidOunce => Decimal::new(295_735_295_625, 10),
            Unit::Teaspoon => Decimal::new(492_892_159_375, 11),
            Unit::Tablespoon => Decimal::new(1_478_676_478_125, 11),
            Unit::Cup => Decimal::new(2_365_882_365, 7),
            Unit::Drop => Decimal::new(5, 2),
            _ => return None,
        })
    }

    /// As it is written behind a number.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Percent => "%",
            Unit::Gram => "g",
            Unit::Milligram => "mg",
            Unit::Kilogram => "kg",
            Unit::Ounce => "oz",
            Unit::Pound => "lb",
            Unit::Millilitre => "mL",
            Unit::Litre => "L",
            Unit::FluidOunce => "fl oz",
            Unit::Teaspoon => "tsp",
            Unit::Tablespoon => "tbsp",
            Unit::Cup => "cup",
            Unit::Drop => "drops",
            Unit::Part => "parts",
            Unit::Piece => "pieces",
        }
    }

    /// The name in full, for one of it.
    pub fn name(self) -> &'static str {
        match self {
            Unit::Percent => "percent by weight",
            Unit::Gram => "gram",
            Unit::Milligram => "milligram",
            Unit::Kilogram => "kilogram",
            Unit::Ounce => "ounce (weight)",
            Unit::Pound => "pound",
            Unit::Millilitre => "millilitre",
            Unit::Litre => "litre",
            Unit::FluidOunce => "US fluid ounce",
            Unit::Teaspoon => "US teaspoon",
            Unit::Tablespoon => "US tablespoon",
            Unit::Cup => "US cup",
            Unit::Drop => "drop",
            Unit::Part => "part by weight",
            Unit::Piece => "piece",
        }
    }
}

/// How many bytes of `text` the spelling takes at its start.
fn match_spelling(text: &str, spelling: &str) -> Option<usize> {
    let mut rest = text;
    for want in spelling.chars() {
        if want == ' ' {
            let trimmed = rest.trim_start();
            if trimmed.len() == rest.len() {
                return None;
            }
            rest = trimmed;
        } else {
            let got = rest.chars().next()?;
            if !got.eq_ignore_ascii_case(&want) {
                return None;
            }
            rest = &rest[got.len_utf8()..];
        }
    }
    Some(text.len() - rest.len())
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// A number with its unit, as the maker wrote it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Amount {
    pub value: Decimal,
    pub unit: Unit,
}

impl Amount {
    pub fn new(value: Decimal, unit: Unit) -> Self {
        Amount { value, unit }
    }

    /// Grams, exactly, of a weight; of a volume through its density in g/mL. Shares and parts have none
    /// of their own.
    pub fn grams(self, density_g_ml: Option<Decimal>) -> Option<Decimal> {
        match self.unit.dimension() {
            Dimension::Mass => self.value.checked_mul(self.unit.grams()?),
            Dimension::Volume => self.millilitres()?.checked_mul(density_g_ml?),
            Dimension::Share | Dimension::Ratio | Dimension::Count => None,
        }
    }

    /// Millilitres, exactly, of a volume.
    pub fn millilitres(self) -> Option<Decimal> {
        self.value.checked_mul(self.unit.millilitres()?)
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = match self.unit {
            Unit::Drop if self.value == Decimal::ONE => "drop",
            Unit::Part if self.value == Decimal::ONE => "part",
            Unit::Cup if self.value != Decimal::ONE => "cups",
            unit => unit.symbol(),
        };
        write!(f, "{} {unit}", self.value)
    }
}

/// Grams as another unit of mass; rounded only where 28 digits do not hold the quotient.
pub fn grams_in(grams: Decimal, unit: Unit) -> Option<Decimal> {
    grams.checked_div(unit.grams()?)
}

/// Millilitres as another unit of volume.
pub fn millilitres_in(millilitres: Decimal, unit: Unit) -> Option<Decimal> {
    millilitres.checked_div(unit.millilitres()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn d(text: &str) -> Decimal {
        text.parse().unwrap()
    }

    #[test]
    fn spellings_stand_longest_first() {
        for pair in SPELLINGS.windows(2) {
            assert!(
                pair[0].0.len() >= pair[1].0.len(),
                "{} before {}",
                pair[0].0,
                pair[1].0
            );
        }
    }

    #[test]
    fn every_symbol_is_read_back() {
        for unit in Unit::ALL {
            assert_eq!(Unit::parse(unit.symbol()), Some(unit));
        }
    }

    #[test]
    fn the_fluid_ounce_is_not_the_ounce() {
        assert_eq!(Unit::prefix("fl oz of water"), Some((Unit::FluidOunce, 5)));
        assert_eq!(Unit::prefix("fl   oz"), Some((Unit::FluidOunce, 7)));
        assert_eq!(Unit::prefix("oz fl"), Some((Unit::Ounce, 2)));
        assert_eq!(Unit::parse("FL. OZ."), Some(Unit::FluidOunce));
    }

    #[test]
    fn a_word_that_begins_like_a_unit_is_none() {
        for word in [
            "glycerin", "lanolin", "mlx", "partsum", "g2", "ozone", "", " ", "fl", "µg",
        ] {
            assert_eq!(Unit::parse(word), None, "{word}");
            assert_eq!(Unit::prefix(word), None, "{word}");
        }
        assert_eq!(Unit::prefix("%of"), Some((Unit::Percent, 1)));
    }

    #[test]
    fn each_unit_has_the_factor_of_its_dimension_alone() {
        for unit in Unit::ALL {
            assert_eq!(unit.grams().is_some(), unit.dimension() == Dimension::Mass);
            assert_eq!(
                unit.millilitres().is_some(),
                unit.dimension() == Dimension::Volume
            );
        }
    }

    #[test]
    fn factors_hang_together_as_handbook_44_defines_them() {
        let inch3 = d("16.387064");
        let gallon = Decimal::from(231) * inch3;
        assert_eq!(
            Unit::FluidOunce.millilitres().unwrap() * Decimal::from(128),
            gallon
        );
        assert_eq!(
            Unit::Teaspoon.millilitres().unwrap() * Decimal::from(6),
            Unit::FluidOunce.millilitres().unwrap()
        );
        assert_eq!(
            Unit::Tablespoon.millilitres().unwrap() * Decimal::from(2),
            Unit::FluidOunce.millilitres().unwrap()
        );
        assert_eq!(Unit::Cup.millilitres().unwrap() * Decimal::from(16), gallon);
        assert_eq!(
            Unit::Ounce.grams().unwrap() * Decimal::from(16),
            Unit::Pound.grams().unwrap()
        );
    }

    #[test]
    fn three_ounces_in_grams() {
        assert_eq!(
            Amount::new(d("3"), Unit::Ounce).grams(None),
            Some(d("85.048569375"))
        );
        assert_eq!(Amount::new(d("3"), Unit::FluidOunce).grams(None), None);
        assert_eq!(
            Amount::new(d("10"), Unit::Drop).grams(Some(d("0.9"))),
            Some(d("0.45"))
        );
        assert_eq!(Amount::new(d("3"), Unit::Percent).grams(Some(d("1"))), None);
        assert_eq!(grams_in(d("453.59237"), Unit::Ounce), Some(d("16")));
        assert_eq!(
            millilitres_in(d("29.5735295625"), Unit::Teaspoon),
            Some(d("6"))
        );
        assert_eq!(grams_in(d("1"), Unit::Drop), None);
    }

    #[test]
    fn amounts_read_as_a_person_writes_them() {
        assert_eq!(Amount::new(d("2.50"), Unit::Gram).to_string(), "2.50 g");
        assert_eq!(Amount::new(d("1"), Unit::Drop).to_string(), "1 drop");
        assert_eq!(Amount::new(d("3"), Unit::Part).to_string(), "3 parts");
    }

    #[test]
    fn degrees() {
        // NIST SP 811, B.8: t/°C = (t/°F - 32)/1.8.
        for (f, c) in [
            (32, 0),
            (104, 40),
            (140, 60),
            (158, 70),
            (167, 75),
            (176, 80),
            (212, 100),
            (-40, -40),
        ] {
            assert_eq!(Temperature::fahrenheit(f), Temperature::celsius(c));
            assert_eq!(Temperature::fahrenheit(f).in_celsius(), Decimal::from(c));
            assert_eq!(Temperature::celsius(c).in_fahrenheit(), Decimal::from(f));
        }
        assert!(Temperature::fahrenheit(100) < Temperature::celsius(38));
        assert!(Temperature::fahrenheit(101) > Temperature::celsius(38));
        assert_eq!(
            Temperature::fahrenheit(119).to(Scale::Celsius).to_string(),
            "48.3 °C"
        );
        assert_eq!(Temperature::celsius(d("71.5")).to_string(), "71.5 °C");
    }

    #[test]
    fn degree_signs() {
        for text in ["°C", "C", "º C", "℃", "c", " ° C "] {
            assert_eq!(Scale::parse(text), Some(Scale::Celsius), "{text}");
        }
        assert_eq!(Scale::parse("°F"), Some(Scale::Fahrenheit));
        assert_eq!(Scale::parse("K"), None);
        assert_eq!(Scale::parse("°"), None);
    }
}
