//! Values of fields, read as what they are: measures, temperatures, ranges of pH, packs.

use super::grammar::{self, Rule};
use super::heat;
use super::log::is_date;
use super::measure::{Figures, syntax};
use super::scan::{self, Part};
use super::tree::{Heat, Measure, SectionKind, SyntaxError};
use crate::text::Spanned;
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
        None => Err(syntax(value.span(), format!("\"{}\" is no amount: write a number and its unit, such as 250 g.", value.text), vec![])),
    }
}

/// `21 °C`, `room temperature`, `70-75 °C`.
pub fn heat(value: &Spanned<String>) -> Read<Heat> {
    heat_part(part(value))
}

fn heat_part(value: Part<'_>) -> Read<Heat> {
    let Some(pair) = grammar::pair(Rule::temp_part, value) else {
        return Err(syntax(value.span(), format!("\"{}\" is no temperature: write it as 21 °C or 70 °F.", value.text), vec![]));
    };
    if let Some(bare) = pair.clone().into_inner().find(|p| p.as_rule() == Rule::unscaled) {
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
        None => Err(syntax(value.span(), format!("\"{}\" is no pH: write 5.2, or a range such as 5.0 to 5.5.", value.text), vec![])),
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
    let none = || syntax(value.span(), format!("\"{}\" is no pack: write 5 x 50 g, or 200 mL.", value.text), vec![]);
    let pair = grammar::pair(Rule::a_fill, value).ok_or_else(none)?;
    let count = pair.clone().into_inner().find(|p| p.as_rule() == Rule::count);
    let count = count.map_or(Some(1), |c| c.as_str().parse().ok()).ok_or_else(none)?;
    let each = Figures::of(pair.into_inner(), value).ok_or_else(none)?.measure()?;
    Ok(Pack { count, each })
}

/// The items of a list, parted by commas.
pub fn list(value: &Spanned<String>) -> Vec<Spanned<String>> {
    list_part(part(value)).into_iter().map(|p| Spanned::new(p.text.to_string(), p.span())).collect()
}

fn list_part(value: Part<'_>) -> Vec<Part<'_>> {
    let bytes = value.text.as_bytes();
    let mut out = Vec::new();
    let mut start = 0;
    for at in 0..=bytes.len() {
        let parts = match bytes.get(at) {
            None => true,
            Some(b',' | b';') => !(at > 0 && bytes[at - 1].is_ascii_digit() && bytes.get(at + 1).is_some_and(u8::is_ascii_digit)),
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

/// What is wrong with the value of a known field whose form the language fixes.
pub fn check(section: SectionKind, key: &str, value: Part<'_>) -> Read<()> {
    match (section, key) {
        (SectionKind::Formula | SectionKind::Top, "batch") | (SectionKind::Batch, "target") => measure_part(value).map(|_| ()),
        (SectionKind::Formula | SectionKind::Top, "extra for losses") => measure_part(value).map(|_| ()),
        (SectionKind::Formula | SectionKind::Top, "ph") => ph_part(value).map(|_| ()),
        (SectionKind::Formula | SectionKind::Top, "fill") => packs_part(value).map(|_| ()),
        (SectionKind::Batch, "room") => heat_part(value).map(|_| ()),
        (SectionKind::Batch, "made") | (SectionKind::Lot, "received" | "best before" | "opened") => date(value),
        _ => Ok(()),
    }
}

fn date(value: Part<'_>) -> Read<()> {
    match is_date(value.text) {
        true => Ok(()),
        false => Err(syntax(
            value.span(),
            format!("\"{}\" is no date of the calendar: write year-month-day, as in 2026-03-14.", value.text),
            vec![],
        )),
    }
}
