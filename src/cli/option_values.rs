//! Values of options, written as the formula language writes them.

use crate::chem::units::Amount;
use crate::syntax::tree::Pack;
use crate::syntax::values;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

/// Several kinds of container in one value; for clap a plain list would be several values.
#[derive(Clone)]
pub struct Packs(pub Vec<Pack>);

/// A weight, in grams.
pub fn grams(text: &str) -> Result<Decimal, String> {
    let measure = values::measure(&whole(text)).map_err(|e| e.whole())?;
    let grams = Amount::new(measure.value, measure.unit).grams(None);
    grams
        .filter(|g| *g > Decimal::ZERO)
        .ok_or_else(|| "write a weight of more than nothing, such as 250 g".to_owned())
}

pub fn packs(text: &str) -> Result<Packs, String> {
    values::packs(&whole(text))
        .map(Packs)
        .map_err(|e| e.whole())
}

/// From the lightest powder to the heaviest paste.
pub fn density(text: &str) -> Result<Decimal, String> {
    let value: Decimal = text
        .trim()
        .parse()
        .map_err(|_| "write a number such as 0.98".to_owned())?;
    let sane = Decimal::new(5, 2)..=Decimal::TEN;
    if sane.contains(&value) {
        Ok(value)
    } else {
        Err("a density lies between 0.05 and 10 g/mL".to_owned())
    }
}

fn whole(text: &str) -> Spanned<String> {
    Spanned::new(text.to_owned(), Span::new(0, text.len()))
}
