//! Values of fields, read as what they are: measures, temperatures, ranges of pH, packs.

mod money;

use super::grammar::{self, Rule};
use super::heat;
use super::log::is_date;
use super::measure::{Figures, syntax};
use super::scan::{self, Part};
use super::tree::{FieldValue, Heat, LineFix, Measure, Pack, SectionKind, SyntaxError};
use crate::chem::date::Date;
use crate::chem::units::Dimension;
use crate::text::Spanned;
use money::bought_part;
pub use money::{Bought, Price, bought, price};
use rust_decimal::Decimal;

pub type Read<T> = Result<T, Box<SyntaxError>>;

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
                "\"{}\" is not an amount\nWrite a number and its unit, such as 250 g",
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
                "\"{}\" is not a temperature\nWrite it as 21 °C or 70 °F",
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
        Some(pair) => match heat::numbers(pair, value)? {
            (low, high) if low >= Decimal::ZERO && high <= Decimal::from(14) => Ok((low, high)),
            _ => Err(syntax(
                value.span(),
                format!(
                    "\"{}\" is not a pH\nWrite numbers between 0 and 14",
                    value.text
                ),
                vec![],
            )),
        },
        None => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is not a pH\nWrite 5.2, or a range such as 5.0 to 5.5",
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
            format!(
                "\"{}\" is not a pack\nWrite 5 x 50 g, or 200 mL",
                value.text
            ),
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
        .measure_or_count()?;
    Ok(Pack { count, each })
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

/// Reads the value of a known field.
pub fn read(section: SectionKind, key: &str, value: Part<'_>) -> Read<FieldValue> {
    match (section, key) {
        (SectionKind::Formula | SectionKind::Top, "batch" | "extra for losses")
        | (SectionKind::Batch, "target") => measure_part(value).map(FieldValue::Measure),
        (SectionKind::Formula | SectionKind::Top, "ph") => {
            ph_part(value).map(|(low, high)| FieldValue::Ph(low, high))
        }
        (SectionKind::Formula | SectionKind::Top, "fill") => {
            let packs = packs_part(value)?;
            match packs
                .iter()
                .find(|p| p.each.unit.dimension() == Dimension::Count)
            {
                Some(p) => Err(syntax(
                    p.each.unit_span,
                    "the field does not say how much goes into each container\nWrite 5 x 50 g, or 200 mL".to_owned(),
                    vec![],
                )),
                None => Ok(FieldValue::Packs(packs)),
            }
        }
        (SectionKind::Batch, "by") => names_alone(value).map(|()| FieldValue::Words),
        (SectionKind::Batch, "room") => heat_part(value).map(|_| FieldValue::Words),
        (SectionKind::Lot, "bought") => bought_part(value).map(|_| FieldValue::Words),
        (SectionKind::Batch, "made") | (SectionKind::Lot, "received" | "opened") => {
            date(value).map(|()| FieldValue::Words)
        }
        (SectionKind::Batch, "best before") | (SectionKind::Lot, "best before" | "retest") => {
            last_day_part(value).map(|_| FieldValue::Words)
        }
        (
            SectionKind::Batch | SectionKind::Lot,
            "released" | "rejected" | "on hold" | "void" | "sealed",
        ) => decision_part(value).map(|_| FieldValue::Words),
        (SectionKind::Batch | SectionKind::Lot, "after opening") => {
            months_part(value).map(|_| FieldValue::Words)
        }
        _ => Ok(FieldValue::Words),
    }
}

/// `Ana, Ben`: who looked over the work has a field of its own.
fn names_alone(value: Part<'_>) -> Read<()> {
    let mut at = 0;
    for name in value.text.split(',') {
        let name = value.slice(at, at + name.len());
        at += name.text.len() + 1;
        let name = name.trim();
        if scan::same(name.first_word(), "checked") {
            let who = name.from(name.first_word().len()).trim();
            let message = format!(
                "\"{}\" is read as a name\nWrite \"checked: {}\" on a line of its own",
                name.text, who.text
            );
            return Err(syntax(name.span(), message, vec![]));
        }
    }
    Ok(())
}

/// The last day that a date names: a day is itself, `2028-01` is the last day of that month.
pub fn last_day(value: &Spanned<String>) -> Read<Date> {
    last_day_part(part(value))
}

fn last_day_part(value: Part<'_>) -> Read<Date> {
    if let (true, Ok(date)) = (is_date(value.text), value.text.parse()) {
        return Ok(date);
    }
    if let Some(date) = value
        .text
        .split_once('-')
        .and_then(|(y, m)| end_of_month(y, m))
    {
        return Ok(date);
    }
    let turned = value
        .text
        .split_once('/')
        .filter(|(m, y)| end_of_month(y, m).is_some())
        .map(|(m, y)| format!("{y}-{m:0>2}"));
    let fixes = turned
        .or_else(|| super::log::turned_round(value.text))
        .map(|text| LineFix {
            title: format!("Change to {text}"),
            span: value.span(),
            text,
        })
        .into_iter()
        .collect();
    Err(syntax(
        value.span(),
        format!(
            "\"{}\" is not a date\nWrite 2028-01-31, or 2028-01 for the end of that month",
            value.text
        ),
        fixes,
    ))
}

fn end_of_month(year: &str, month: &str) -> Option<Date> {
    if year.len() != 4 || month.is_empty() || month.len() > 2 {
        return None;
    }
    let first = Date::new(year.parse().ok()?, month.parse().ok()?, 1)?;
    first.plus_months(1)?.plus_days(-1)
}

/// `2026-03-20 by Ana, both papers seen` of `released` and its like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decision {
    pub date: Date,
    /// Empty where no name stands there.
    pub by: String,
    /// Behind a comma; of a sealed record the eight signs behind the name are no part of it.
    pub reason: String,
}

pub fn decision(value: &Spanned<String>) -> Read<Decision> {
    decision_part(part(value))
}

fn decision_part(value: Part<'_>) -> Read<Decision> {
    let word = value.first_word();
    let day = value.to(word.trim_end_matches(',').len());
    let (true, Ok(date)) = (is_date(day.text), day.text.parse()) else {
        return Err(syntax(
            value.span(),
            format!(
                "\"{}\" does not begin with a day\nWrite 2026-03-20 by and a name, and a reason behind a comma",
                value.text
            ),
            vec![],
        ));
    };
    let rest = value.from(day.text.len());
    let comma = rest.text.find(',').unwrap_or(rest.text.len());
    let by = rest.to(comma).trim();
    let by = scan::strip_prefix(by.text, "by").map_or(by.text, str::trim);
    let reason = rest.from(comma).text.trim_start_matches(',').trim();
    Ok(Decision {
        date,
        by: by.to_owned(),
        reason: reason.to_owned(),
    })
}

/// `6 months` of `after opening`.
pub fn months(value: &Spanned<String>) -> Read<u32> {
    months_part(part(value))
}

fn months_part(value: Part<'_>) -> Read<u32> {
    let number = value.first_word();
    let unit = value.from(number.len()).trim();
    let known = ["month", "months", "M"]
        .iter()
        .any(|u| scan::same(unit.text, u));
    match number.parse::<u32>() {
        Ok(n) if known && (1..=240).contains(&n) => Ok(n),
        _ => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is not a time\nWrite it in months, as in 6 months",
                value.text
            ),
            vec![],
        )),
    }
}

fn date(value: Part<'_>) -> Read<()> {
    match is_date(value.text) {
        true => Ok(()),
        false => Err(syntax(
            value.span(),
            format!(
                "\"{}\" is not a date in the calendar\nWrite year-month-day, as in 2026-03-14",
                value.text
            ),
            vec![],
        )),
    }
}
