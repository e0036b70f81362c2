//! Values of fields, read as what they are: measures, temperatures, ranges of pH, packs.

use super::grammar::{self, Rule};
use super::heat;
use super::log::is_date;
use super::measure::{Figures, syntax};
use super::scan::{self, Part};
use super::tree::{Heat, LineFix, Measure, SectionKind, SyntaxError};
use crate::chem::units::Dimension;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;

pub type Read<T> = Result<T, Box<SyntaxError>>;

/// `5 x 50 g` of the field `fill`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    pub count: u32,
    pub each: Measure,
}

fn part(value: &Spanned<String>) -> Part<'_> {
    Part::new(&value.value, value.span.start as usize)
}

/// `250 g`, `3 %`.
pub fn measure(value: &Spanned<String>) -> Read<Measure> {
    measure_part(part(value))
}

fn measure_part(value: Part<'_>) -> Read<Measure> {
    match grammar::pair(Rule::a_measure, value).and_then(|p| Figures::of(p.into_inner(), value)) {
        Some(figures) => figures.measure(),
        None => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is no amount: write a number and its unit, such as 250 g.",
                value.text
            ),
            vec![],
        )),
    }
}

/// `21 °C`, `room temperature`, `70-75 °C`.
pub fn heat(value: &Spanned<String>) -> Read<Heat> {
    heat_part(part(value))
}

fn heat_part(value: Part<'_>) -> Read<Heat> {
    let Some(pair) = grammar::pair(Rule::temp_part, value) else {
        return Err(syntax(
            value.span(),
            format!(
                "\"{}\" is no temperature: write it as 21 °C or 70 °F.",
                value.text
            ),
            vec![],
        ));
    };
    if let Some(bare) = pair
        .clone()
        .into_inner()
        .find(|p| p.as_rule() == Rule::unscaled)
    {
        return Err(heat::scale_missing(grammar::part_of(&bare, value).trim()));
    }
    heat::heat(pair, value).map(|h| h.unwrap_or(Heat::Room))
}

/// `5.0 to 5.5`, `5.2`: low and high.
pub fn ph(value: &Spanned<String>) -> Read<(Decimal, Decimal)> {
    ph_part(part(value))
}

fn ph_part(value: Part<'_>) -> Read<(Decimal, Decimal)> {
    match grammar::pair(Rule::a_span, value) {
        Some(pair) => heat::numbers(pair, value),
        None => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is no pH: write 5.2, or a range such as 5.0 to 5.5.",
                value.text
            ),
            vec![],
        )),
    }
}

/// `5 x 50 g`, `200 mL`, several parted by commas.
pub fn packs(value: &Spanned<String>) -> Read<Vec<Pack>> {
    packs_part(part(value))
}

fn packs_part(value: Part<'_>) -> Read<Vec<Pack>> {
    list_part(value).into_iter().map(pack).collect()
}

fn pack(value: Part<'_>) -> Read<Pack> {
    let none = || {
        syntax(
            value.span(),
            format!("\"{}\" is no pack: write 5 x 50 g, or 200 mL.", value.text),
            vec![],
        )
    };
    let pair = grammar::pair(Rule::a_fill, value).ok_or_else(none)?;
    let count = pair
        .clone()
        .into_inner()
        .find(|p| p.as_rule() == Rule::count);
    let count = count
        .map_or(Some(1), |c| c.as_str().parse().ok())
        .ok_or_else(none)?;
    let each = Figures::of(pair.into_inner(), value)
        .ok_or_else(none)?
        .measure()?;
    Ok(Pack { count, each })
}

/// `1 kg for 9.40 EUR` of the field `bought`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bought {
    pub pack: Pack,
    pub price: Option<Price>,
}

/// Exact, in the money that is written; nothing is ever changed from one into another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    pub amount: Decimal,
    /// `EUR`; a sign other than € and £ stays as it is, since several countries share it.
    pub currency: String,
}

/// `1 kg for 9.40 EUR`, `2 x 500 g for 18 EUR`; without a price, `250 g`.
pub fn bought(value: &Spanned<String>) -> Read<Bought> {
    bought_part(part(value))
}

fn bought_part(value: Part<'_>) -> Read<Bought> {
    let none = |span| {
        syntax(
            span,
            format!(
                "\"{}\" is no purchase: write 1 kg for 9.40 EUR.",
                value.text
            ),
            vec![],
        )
    };
    let parted = value
        .words()
        .find(|(_, w)| scan::same(w, "for"))
        .map(|(at, _)| at);
    let amount = value.to(parted.unwrap_or(value.text.len())).trim();
    if amount.is_empty() {
        return Err(none(value.span()));
    }
    let pack = pack(amount).map_err(|e| {
        if e.span == amount.span() {
            none(amount.span())
        } else {
            e
        }
    })?;
    if !matches!(
        pack.each.unit.dimension(),
        Dimension::Mass | Dimension::Volume
    ) {
        return Err(syntax(
            pack.each.unit_span,
            "What was bought is a weight or a volume: write 1 kg for 9.40 EUR.".to_owned(),
            vec![],
        ));
    }
    if pack.count == 0 || pack.each.value <= Decimal::ZERO {
        return Err(syntax(
            amount.span(),
            format!("\"{}\" holds nothing.", amount.text),
            vec![],
        ));
    }
    let price = parted.map(|at| value.from(at + 3).trim());
    if price.is_some_and(Part::is_empty) {
        return Err(none(value.span()));
    }
    let price = price.map(price_part).transpose()?;
    Ok(Bought { pack, price })
}

/// `9.40 EUR`, `€ 9.40`.
pub fn price(value: &Spanned<String>) -> Read<Price> {
    price_part(part(value))
}

fn price_part(value: Part<'_>) -> Read<Price> {
    let none = || {
        syntax(
            value.span(),
            format!("\"{}\" is no price: write 9.40 EUR.", value.text),
            vec![],
        )
    };
    // A sign or a code before the number, where none stands behind it.
    let digits = value
        .text
        .find(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '\u{2212}'))
        .ok_or_else(none)?;
    let before = value.to(digits).trim();
    let figures = grammar::pair(Rule::a_measure, value.from(digits))
        .and_then(|p| Figures::of(p.into_inner(), value.from(digits)));
    let figures = figures.ok_or_else(none)?;
    let amount = figures.value()?;
    let currency = match (before.is_empty(), figures.unit) {
        (false, None) => before,
        (true, Some(unit)) => unit,
        (true, None) => {
            let end = Span::new(
                figures.whole.span().range().end,
                figures.whole.span().range().end,
            );
            let fix = LineFix {
                title: format!("Write {} EUR", figures.whole.text),
                span: end,
                text: " EUR".to_owned(),
            };
            return Err(syntax(
                value.span(),
                format!(
                    "In which money? Write it behind the number, as in {} EUR.",
                    figures.whole.text
                ),
                vec![fix],
            ));
        }
        (false, Some(_)) => return Err(none()),
    };
    if amount < Decimal::ZERO {
        return Err(syntax(
            figures.whole.span(),
            "A price is not less than nothing.".to_owned(),
            vec![],
        ));
    }
    Ok(Price {
        amount,
        currency: money(currency.text).ok_or_else(none)?,
    })
}

/// The name of a money: its code in capitals, or a sign as it is.
fn money(text: &str) -> Option<String> {
    let text = text.trim_end_matches('.');
    match text {
        "€" => return Some("EUR".to_owned()),
        "£" => return Some("GBP".to_owned()),
        _ if scan::same(text, "euro") || scan::same(text, "euros") => {
            return Some("EUR".to_owned());
        }
        _ => {}
    }
    let sign = |c: char| matches!(c, '$' | '¢' | '¥' | '\u{20A0}'..='\u{20CF}');
    if text.is_empty()
        || !text.chars().all(|c| c.is_alphabetic() || sign(c))
        || text.chars().count() > 12
    {
        return None;
    }
    // A code of three letters is one whichever way it is typed.
    let code = text.chars().count() == 3 && text.chars().all(|c| c.is_ascii_alphabetic());
    Some(if code {
        text.to_ascii_uppercase()
    } else {
        text.to_owned()
    })
}

/// The items of a list, parted by commas.
pub fn list(value: &Spanned<String>) -> Vec<Spanned<String>> {
    list_part(part(value))
        .into_iter()
        .map(|p| Spanned::new(p.text.to_string(), p.span()))
        .collect()
}

fn list_part(value: Part<'_>) -> Vec<Part<'_>> {
    let bytes = value.text.as_bytes();
    let mut out = Vec::new();
    let mut start = 0;
    for at in 0..=bytes.len() {
        let parts = match bytes.get(at) {
            None => true,
            Some(b',' | b';') => {
                !(at > 0
                    && bytes[at - 1].is_ascii_digit()
                    && bytes.get(at + 1).is_some_and(u8::is_ascii_digit))
            }
            Some(_) => false,
        };
        if parts {
            let item = value.slice(start, at).trim();
            if !item.is_empty() {
                out.push(item);
            }
            start = at + 1;
        }
    }
    out
}

/// A file in quotes, or the bare text.
pub fn unquoted(value: &Spanned<String>) -> Spanned<String> {
    match scan::quoted(part(value)) {
        Some(q) => Spanned::new(q.inner.text.to_string(), q.inner.span()),
        None => value.clone(),
    }
}

/// What the value of a field says, where the language fixes its form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FieldValue {
    /// As it is written; also where it is malformed.
    Words,
    Measure(Measure),
    /// Low and high.
    Ph(Decimal, Decimal),
    Packs(Vec<Pack>),
}

/// Reads the value of a known field.
pub fn read(section: SectionKind, key: &str, value: Part<'_>) -> Read<FieldValue> {
    match (section, key) {
        (SectionKind::Formula | SectionKind::Top, "batch" | "extra for losses")
        | (SectionKind::Batch, "target") => measure_part(value).map(FieldValue::Measure),
        (SectionKind::Formula | SectionKind::Top, "ph") => {
            ph_part(value).map(|(low, high)| FieldValue::Ph(low, high))
        }
        (SectionKind::Formula | SectionKind::Top, "fill") => {
            packs_part(value).map(FieldValue::Packs)
        }
        (SectionKind::Batch, "room") => heat_part(value).map(|_| FieldValue::Words),
        (SectionKind::Lot, "bought") => bought_part(value).map(|_| FieldValue::Words),
        (SectionKind::Batch, "made")
        | (SectionKind::Lot, "received" | "best before" | "opened") => {
            date(value).map(|()| FieldValue::Words)
        }
        _ => Ok(FieldValue::Words),
    }
}

fn date(value: Part<'_>) -> Read<()> {
    match is_date(value.text) {
        true => Ok(()),
        false => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is no date of the calendar: write year-month-day, as in 2026-03-14.",
                value.text
            ),
            vec![],
        )),
    }
}
