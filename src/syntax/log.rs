//! Lines of `log` and of `observations`: an optional time, then events parted by commas.

use super::grammar::{self, Rule, part_of};
use super::heat;
use super::measure::{Figures, syntax};
use super::number;
use super::scan::{Part, same};
use super::tree::{
    Event, LineFix, LogLine, LogTime, Measure, Node, Observation, SyntaxError, WeightReading,
};
use crate::chem::units::Dimension;
use crate::text::Spanned;
use pest::iterators::Pairs;

pub fn log(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let (time, rest) = time(line.trim(), errors);
    Node::Log(LogLine {
        time,
        events: events(rest, errors),
    })
}

/// Without a day, an observation is a note.
pub fn observation(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let line = line.trim();
    let (time, rest) = time(line, errors);
    if time.is_none() && errors.is_empty() {
        return Node::Note;
    }
    Node::Observation(Observation {
        time,
        events: events(rest, errors),
    })
}

fn time<'a>(line: Part<'a>, errors: &mut Vec<SyntaxError>) -> (Option<Spanned<LogTime>>, Part<'a>) {
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

/// Parts at commas; not inside brackets, not between two digits.
fn events(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Vec<Spanned<Event>> {
    let bytes = line.text.as_bytes();
    let mut out = Vec::new();
    let mut depth = 0usize;
    let mut start = 0;
    for at in 0..=bytes.len() {
        match bytes.get(at) {
            Some(b'(') => depth += 1,
            Some(b')') => depth = depth.saturating_sub(1),
            Some(b',') if depth > 0 => continue,
            Some(b',')
                if at > 0
                    && bytes[at - 1].is_ascii_digit()
                    && bytes.get(at + 1).is_some_and(u8::is_ascii_digit) =>
            {
                continue;
            }
            Some(b',') | None => {
                let part = line.slice(start, at).trim();
                if !part.is_empty() {
                    take(&mut out, part, errors);
                }
                start = at + 1;
            }
            _ => {}
        }
    }
    out
}

/// Puts one event behind the others. `lot CODE` by itself belongs to the addition before it.
fn take(out: &mut Vec<Spanned<Event>>, part: Part<'_>, errors: &mut Vec<SyntaxError>) {
    if let Some(Spanned {
        value: Event::Add {
            lot: lot @ None, ..
        },
        span,
    }) = out.last_mut()
        && same(part.first_word(), "lot")
    {
        let code = part.from(3).trim();
        if code.words().count() == 1 {
            *lot = Some(Spanned::new(code.text.to_string(), code.span()));
            *span = span.cover(part.span());
            return;
        }
    }
    out.push(Spanned::new(event(part, errors), part.span()));
}

fn event(part: Part<'_>, errors: &mut Vec<SyntaxError>) -> Event {
    let text = || Event::Text(part.text.to_string());
    let first = part.first_word();
    let (rule, read): (Rule, Reader) = if same(first, "add") || same(first, "added") {
        (Rule::an_addition, add)
    } else if !part.text.bytes().any(|b| b.is_ascii_digit()) {
        return text();
    } else if first.get(..2).is_some_and(|p| same(p, "ph")) {
        (Rule::a_ph_value, ph)
    } else if first.get(..5).is_some_and(|y| same(y, "yield")) {
        (Rule::a_yield, yielded)
    } else if same(first, "sample") {
        (Rule::a_sample, sample)
    } else {
        (Rule::a_reading, reading)
    };
    match grammar::pair(rule, part).and_then(|pair| read(pair.into_inner(), part)) {
        Some(Ok(event)) => event,
        Some(Err(error)) => {
            errors.push(*error);
            text()
        }
        None => text(),
    }
}

type Read = Option<Result<Event, Box<SyntaxError>>>;
type Reader = fn(Pairs<'_, Rule>, Part<'_>) -> Read;

/// A temperature or a weight, of a vessel or of what was named last.
fn reading(pairs: Pairs<'_, Rule>, part: Part<'_>) -> Read {
    let mut vessel = None;
    let mut combined = false;
    let mut kind = WeightReading::Net;
    let mut figure = None;
    let mut scale = None;
    for child in pairs.clone() {
        match child.as_rule() {
            Rule::vessel => vessel = Some(child.as_str().trim().to_string()),
            Rule::combined => combined = true,
            Rule::tare => kind = WeightReading::Tare,
            Rule::gross => kind = WeightReading::Gross,
            rule @ (Rule::celsius | Rule::fahrenheit | Rule::no_scale | Rule::dose_unit) => {
                scale = Some(rule)
            }
            rule if number::is_figure(rule) => figure = Some(part_of(&child, part)),
            _ => {}
        }
    }
    match scale {
        Some(Rule::dose_unit) => {
            let figures = Figures::of(pairs, part)?;
            // `25 %` of something is no weight.
            if figures
                .unit
                .is_some_and(|u| u.text.starts_with(['%', '\u{FF05}']))
            {
                return None;
            }
            Some(figures.measure().map(|weight| Event::Weight {
                vessel,
                weight,
                reading: kind,
            }))
        }
        Some(_) => Some(
            heat::degrees(pairs, part).map(|(at, _)| Event::Temperature {
                vessel,
                at,
                combined,
            }),
        ),
        // `A 76`: a vessel and a number without a unit.
        None => vessel.and(figure).map(|number| Err(bare(number))),
    }
}

fn yielded(pairs: Pairs<'_, Rule>, part: Part<'_>) -> Read {
    Figures::of(pairs, part).map(|f| f.measure().map(Event::Yield))
}

/// What a sample weighs, or its pH.
fn sample(pairs: Pairs<'_, Rule>, part: Part<'_>) -> Read {
    if grammar::pair(Rule::a_sample, part).is_some_and(|p| p.as_rule() == Rule::sample_ph) {
        return ph_of(pairs, part, true);
    }
    if grammar::pair(Rule::a_sample, part).is_some_and(|p| p.as_rule() == Rule::event_read) {
        return reading(pairs, part);
    }
    let figures = Figures::of(pairs, part)?;
    let Some(unit) = figures.unit else {
        return Some(Err(weightless(figures.whole)));
    };
    Some(figures.measure().and_then(|m| match m.unit.dimension() {
        Dimension::Mass => Ok(Event::Sample(m)),
        _ => Err(syntax(
            figures.whole.span().cover(unit.span()),
            "a sample is weighed\nWrite it in grams".to_owned(),
            vec![],
        )),
    }))
}

fn ph(pairs: Pairs<'_, Rule>, part: Part<'_>) -> Read {
    ph_of(pairs, part, false)
}

fn ph_of(pairs: Pairs<'_, Rule>, part: Part<'_>, sample: bool) -> Read {
    let mut value = None;
    let mut how = None;
    for child in pairs {
        match child.as_rule() {
            Rule::how => how = Some(child.as_str().trim().to_string()).filter(|h| !h.is_empty()),
            rule if number::is_figure(rule) => match number::value(&child, part_of(&child, part)) {
                Ok(v) => value = Some(v),
                Err(error) => return Some(Err(error)),
            },
            _ => {}
        }
    }
    Some(Ok(Event::Ph {
        value: value?,
        how,
        sample,
    }))
}

fn add(pairs: Pairs<'_, Rule>, part: Part<'_>) -> Read {
    let mut amount: Option<Measure> = None;
    let mut what = part.from(part.text.len());
    for child in pairs {
        let child_part = part_of(&child, part);
        match child.as_rule() {
            Rule::dose => match Figures::of(child.into_inner(), part)?.measure() {
                Ok(measure) => amount = Some(measure),
                Err(error) => return Some(Err(error)),
            },
            Rule::what => what = child_part.trim(),
            _ => {}
        }
    }
    let (what, lot) = match ending_lot(what) {
        Some((before, code)) => (
            before,
            Some(Spanned::new(code.text.to_string(), code.span())),
        ),
        None => (what, None),
    };
    // The last `to` or `into` names the vessel.
    let into = what
        .words()
        .filter(|(at, w)| *at > 0 && (same(w, "to") || same(w, "into")))
        .last()
        .map(|(at, w)| (at, at + w.len()));
    let (what, into) = match into {
        Some((at, end)) if !what.from(end).trim().is_empty() => (
            what.to(at).trim_end(),
            Some(what.from(end).trim().text.to_string()),
        ),
        _ => (what, None),
    };
    let (what, lot) = match (lot, ending_lot(what)) {
        (None, Some((before, code))) => (
            before,
            Some(Spanned::new(code.text.to_string(), code.span())),
        ),
        (lot, _) => (what, lot),
    };
    let (what, amount) = match amount {
        None => match ending_weight(what) {
            Some((before, measure)) => (before, Some(measure)),
            None => (what, None),
        },
        some => (what, some),
    };
    Some(Ok(Event::Add {
        amount,
        what: what.text.to_string(),
        into,
        lot,
    }))
}

/// `lot CODE` at the end, in brackets or not: what stands before it, and the code.
fn ending_lot(what: Part<'_>) -> Option<(Part<'_>, Part<'_>)> {
    let (at, word) = what
        .words()
        .filter(|(_, w)| same(w, "lot") || same(w, "(lot"))
        .last()?;
    let code = what.from(at + word.len()).trim();
    let closed = word.starts_with('(');
    let code = match code.text.strip_suffix(')') {
        Some(inner) if closed => code.to(inner.len()).trim(),
        _ if closed => return None,
        _ => code,
    };
    let before = what.to(at).trim_end();
    (code.words().count() == 1 && !before.is_empty()).then_some((before, code))
}

/// `D 25.0 g`, `lactic acid 10 % 12 g`: a weight or a volume at the end; a strength is none.
fn ending_weight(what: Part<'_>) -> Option<(Part<'_>, Measure)> {
    let starts = what
        .words()
        .filter(|(at, w)| *at > 0 && w.starts_with(|c: char| c.is_ascii_digit()));
    for (at, _) in starts {
        let rest = what.from(at);
        let Some(pair) = grammar::pair(Rule::a_measure, rest) else {
            continue;
        };
        let Some(Ok(measure)) = Figures::of(pair.into_inner(), rest).map(|f| f.measure()) else {
            continue;
        };
        if matches!(
            measure.unit.dimension(),
            Dimension::Mass | Dimension::Volume
        ) {
            return Some((what.to(at).trim_end(), measure));
        }
    }
    None
}

fn weightless(number: Part<'_>) -> Box<SyntaxError> {
    let fix = LineFix {
        title: format!("Change to {} g", number.text),
        span: number.span(),
        text: format!("{} g", number.text),
    };
    syntax(
        number.span(),
        format!("\"{0}\" has no unit\nWrite {0} g", number.text),
        vec![fix],
    )
}

fn bare(number: Part<'_>) -> Box<SyntaxError> {
    let fix = |unit: &str| LineFix {
        title: format!("Change to {} {unit}", number.text),
        span: number.span(),
        text: format!("{} {unit}", number.text),
    };
    syntax(
        number.span(),
        format!(
            "\"{0}\" has no unit\nWrite {0} °C, {0} °F or {0} g",
            number.text
        ),
        vec![fix("°C"), fix("°F"), fix("g")],
    )
}
