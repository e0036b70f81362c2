//! An exact decimal that reads a TOML number as it is written and packs small.

use rust_decimal::Decimal;
use serde::de::{Error, Visitor};
use serde::ser::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Number(pub Decimal);

impl Number {
    /// For arithmetic with the maker's own exact numbers.
    pub fn decimal(self) -> Decimal {
        self.0
    }

    /// The nearest float while both sides of the division fit a float without loss, as those of every written figure do; else, for what
    /// was worked out, within two units in the last place of it.
    pub fn f64(self) -> f64 {
        const EXACT: i128 = 1 << 53;
        let (mantissa, scale) = (self.0.mantissa(), self.0.scale());
        if (-EXACT..=EXACT).contains(&mantissa) && scale <= 22 {
            return mantissa as i64 as f64 / 10f64.powi(scale as i32);
        }
        mantissa as f64 / 10f64.powi(scale as i32)
    }
}

impl fmt::Debug for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0.normalize(), f)
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        if s.is_human_readable() {
            return s.serialize_f64(self.f64());
        }
        let n = self.0.normalize();
        let mantissa = i64::try_from(n.mantissa())
            .map_err(|_| S::Error::custom("more digits than a figure of the base has"))?;
        (mantissa, n.scale()).serialize(s)
    }
}

impl<'de> Deserialize<'de> for Number {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        if d.is_human_readable() {
            d.deserialize_any(Written)
        } else {
            let (mantissa, scale) = <(i64, u32)>::deserialize(d)?;
            Decimal::try_new(mantissa, scale)
                .map(Number)
                .map_err(D::Error::custom)
        }
    }
}

struct Written;

impl Visitor<'_> for Written {
    type Value = Number;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number")
    }
    fn visit_i64<E: Error>(self, v: i64) -> Result<Number, E> {
        Ok(Number(v.into()))
    }
    fn visit_u64<E: Error>(self, v: u64) -> Result<Number, E> {
        Ok(Number(v.into()))
    }
    /// The shortest text that reads back as this float is what the author wrote.
    fn visit_f64<E: Error>(self, v: f64) -> Result<Number, E> {
        Decimal::from_str(&format!("{v}"))
            .map(Number)
            .map_err(|_| E::custom("not a number that can be kept exactly"))
    }
}

#[cfg(test)]
impl schemars::JsonSchema for Number {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Number".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number" })
    }
}
