//! The time at the head of a line of a record: a clock, a date, a day counted from the making.

use crate::syntax::grammar::{self, Rule, part_of};
use crate::syntax::measure::syntax;
use crate::syntax::scan::{Part, same};
use crate::syntax::tree::{LineFix, LogTime, SyntaxError};
use crate::text::Spanned;

pub(super) fn time<'a>(
    line: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) -> (Option<Spanned<LogTime>>, Part<'a>) {
    if let Some((error, rest)) = misspelt_time(line) {
        errors.push(*error);
        return (None, rest);
    }
    let day_said = line.text.get(..4).is_some_and(|d| same(d, "day "));
    if !day_said
        && !line
            .text
            .starts_with(|c: char| c.is_ascii_digit() || c == '+')
    {
        return (None, line);
    }
    let Some(pair) = grammar::pair(Rule::log_start, line) else {
        return (None, line);
    };
    let part = part_of(&pair, line);
    let rest = line.from(part.text.len());
    let rest = Part::new(
        rest.text.trim_start_matches([',']),
        rest.at + (rest.text.len() - rest.text.trim_start_matches([',']).len()),
    )
    .trim();
    let mut date = None;
    let mut clock = None;
    let mut day = None;
    for child in pair.into_inner() {
        let child_part = part_of(&child, line);
        match child.as_rule() {
            Rule::date if is_date(child_part.text) => date = Some(child_part.text.to_string()),
            Rule::clock => {
                clock = minutes_of(child_part.text).or_else(|| {
                    errors.push(*syntax(
                        child_part.span(),
                        format!(
                            "\"{}\" is not a time of day\nWrite 00:00 to 23:59",
                            child_part.text
                        ),
                        vec![],
                    ));
                    None
                })
            }
            Rule::date => errors.push(*syntax(
                child_part.span(),
                format!(
                    "\"{}\" is not a date in the calendar\nWrite year-month-day, as in 2026-03-14",
                    child_part.text
                ),
                vec![],
            )),
            Rule::day => {
                let digits: String = child_part
                    .text
                    .chars()
                    .filter(char::is_ascii_digit)
                    .collect();
                let unit = child.into_inner().next().map(|u| u.as_rule());
                match digits.parse::<u32>().ok().and_then(|n| in_days(n, unit)) {
                    Some(n) => day = Some(n),
                    None => errors.push(*syntax(
                        child_part.span(),
                        format!(
                            "\"{}\" is too many days\nWrite the date instead, as in 2026-03-14",
                            child_part.text
                        ),
                        vec![],
                    )),
                }
            }
            _ => {}
        }
    }
    let value = match (date, clock, day) {
        (Some(date), clock, _) => Some(LogTime::Date(date, clock)),
        (None, Some(clock), _) => Some(LogTime::Clock(clock)),
        (None, None, Some(day)) => Some(LogTime::Day(day)),
        _ => None,
    };
    (value.map(|v| Spanned::new(v, part.span())), rest)
}

/// `10.05`, `10h05`, `14.3.2026` at the start of a line: how it is written, and what stands behind it.
fn misspelt_time<'a>(line: Part<'a>) -> Option<(Box<SyntaxError>, Part<'a>)> {
    let word = line.first_word().trim_end_matches(',');
    let first = line.to(word.len());
    let rest = line.from(line.first_word().len()).trim();
    let right = match turned_round(word) {
        Some(date) => date,
        None => {
            let (hours, minutes) = word.split_once(['.', 'h', 'H'])?;
            let is_number = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
            let is_time = is_number(hours) && is_number(minutes) && minutes.len() == 2;
            let right = format!("{hours}:{minutes}");
            // `10.05 g` is a weight.
            let next = rest.first_word();
            let measures = next.starts_with(['\u{B0}', '\u{BA}', '%'])
                || crate::chem::units::Unit::parse(next).is_some();
            if !is_time || minutes_of(&right).is_none() || measures || rest.is_empty() {
                return None;
            }
            right
        }
    };
    let fix = LineFix {
        title: format!("Change to {right}"),
        span: first.span(),
        text: right.clone(),
    };
    let message = format!("\"{word}\" is not read as a time or a day\nWrite {right}");
    Some((syntax(first.span(), message, vec![fix]), rest))
}

/// Days in so many weeks or months of 30.4 days, the length of a mean month to one place.
fn in_days(n: u32, unit: Option<Rule>) -> Option<u32> {
    match unit {
        Some(Rule::weeks) => n.checked_mul(7),
        Some(Rule::months) => n.checked_mul(304).map(|tenths| (tenths + 5) / 10),
        _ => Some(n),
    }
}

fn minutes_of(clock: &str) -> Option<u16> {
    let (hours, minutes) = clock.split_once(':')?;
    let (hours, minutes) = (hours.parse::<u16>().ok()?, minutes.parse::<u16>().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}

/// A day of the calendar, leap years and all.
pub fn is_date(text: &str) -> bool {
    let mut numbers = text.split('-').map(str::parse::<u32>);
    let (Some(Ok(year)), Some(Ok(month)), Some(Ok(day)), None) = (
        numbers.next(),
        numbers.next(),
        numbers.next(),
        numbers.next(),
    ) else {
        return false;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => return false,
    };
    text.len() == 10 && (1..=days).contains(&day)
}

/// `14.3.2026` as year-month-day.
pub fn turned_round(text: &str) -> Option<String> {
    let numbers: Vec<u32> = text
        .split('.')
        .map(|n| n.parse().ok())
        .collect::<Option<_>>()?;
    let [day, month, year] = numbers[..] else {
        return None;
    };
    let text = format!("{year:04}-{month:02}-{day:02}");
    is_date(&text).then_some(text)
}
