//! Lines of `log` and of `observations`: an optional time, then events parted by commas.

mod time;

use super::grammar::{self, Rule, part_of};
use super::heat;
use super::measure::{Figures, syntax};
use super::number;
use super::scan::{Part, same};
use super::tree::{
    Event, LineFix, LogLine, Measure, Node, Observation, SyntaxError, WeightReading,
};
use crate::chem::units::Dimension;
use crate::text::Spanned;
use pest::iterators::Pairs;
use time::time;
pub use time::{is_date, turned_round};

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
    // `add C at 38 °C`, `38 °C added C`: a temperature and an addition.
    if let Some((temperature, addition)) = warm_addition(part) {
        for part in [temperature, addition] {
            out.push(Spanned::new(event(part, errors), part.span()));
        }
        return;
    }
    out.push(Spanned::new(event(part, errors), part.span()));
}

/// The two parts of an addition that names its temperature.
fn warm_addition<'a>(part: Part<'a>) -> Option<(Part<'a>, Part<'a>)> {
    let is_add = |word: &str| same(word, "add") || same(word, "added");
    let is_degrees = |part: Part<'_>| {
        grammar::pair(Rule::temp_part, part)
            .is_some_and(|p| p.into_inner().all(|p| p.as_rule() != Rule::unscaled))
    };
    let words = || part.words();
    if is_add(part.first_word()) {
        let (at, _) = words().filter(|(_, w)| same(w, "at")).last()?;
        let (addition, heat) = (part.to(at).trim_end(), part.from(at + 2).trim());
        let names_something = addition.words().count() > 1;
        return (names_something && is_degrees(heat)).then_some((heat, addition));
    }
    let (at, _) = words().skip(1).find(|(_, w)| is_add(w))?;
    let (heat, addition) = (part.to(at).trim_end(), part.from(at));
    is_degrees(heat).then_some((heat, addition))
}

fn event(part: Part<'_>, errors: &mut Vec<SyntaxError>) -> Event {
    let text = || Event::Text(part.text.to_string());
    let first = part.first_word();
    if let Some(event) = cleaned(part).or_else(|| poured_together(part)) {
        return event;
    }
    let (rule, read): (Rule, Reader) = if same(first, "add") || same(first, "added") {
        (Rule::an_addition, add)
    } else if !part.text.bytes().any(|b| b.is_ascii_digit()) {
        return text();
    } else if first.get(..2).is_some_and(|p| same(p, "ph"))
        && !first[2..].starts_with(char::is_alphabetic)
    {
        (Rule::a_ph_value, ph)
    } else if first
        .get(..5)
        .is_some_and(|y| same(y, "yield") || same(y, "total"))
    {
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

/// `clean pot 2 and blender with ethanol 70 % lot ETH-02`. Without a lot it is a remark.
fn cleaned(part: Part<'_>) -> Option<Event> {
    let first = part.first_word();
    if !same(first, "clean") && !same(first, "cleaned") {
        return None;
    }
    let (before, code) = ending_lot(part.from(first.len()))?;
    let (at, word) = before.words().find(|(_, w)| same(w, "with"))?;
    let with = before.from(at + word.len()).trim();
    (!with.is_empty()).then(|| Event::Clean {
        what: before.to(at).trim().text.to_owned(),
        with: with.text.to_owned(),
        lot: Spanned::new(code.text.to_owned(), code.span()),
    })
}

/// `B into A at 72 °C`, `poured B into A at 72 °C`: two labels, and the temperature at which they met.
fn poured_together(part: Part<'_>) -> Option<Event> {
    let words: Vec<(usize, &str)> = part.words().collect();
    let poured = ["pour", "poured"].iter().any(|w| same(words[0].1, w));
    let [(_, one), (_, into), (_, two), (at, _), ..] = words.get(usize::from(poured)..)? else {
        return None;
    };
    let is_label = |w: &str| {
        w.starts_with(|c: char| c.is_ascii_alphabetic())
            && w.len() <= 3
            && w.bytes().skip(1).all(|b| b.is_ascii_digit())
    };
    if !is_label(one) || !is_label(two) || !same(into, "into") {
        return None;
    }
    let rest = part.from(*at);
    let pair = grammar::pair(Rule::a_reading, rest)?;
    match reading(pair.into_inner(), rest)?.ok()? {
        Event::Temperature {
            vessel: None, at, ..
        } => Some(Event::Temperature {
            vessel: None,
            at,
            combined: true,
        }),
        _ => None,
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
            Rule::vessel | Rule::any_vessel => {
                vessel = Some(label_of(child.as_str().trim()).to_string());
            }
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

/// A vessel without the word `phase` or `premix` before its label.
fn label_of(vessel: &str) -> &str {
    ["phase ", "premix "]
        .iter()
        .find_map(|word| {
            let head = vessel.get(..word.len()).filter(|h| same(h, word))?;
            Some(vessel[head.len()..].trim())
        })
        .unwrap_or(vessel)
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
    let mut upper = None;
    let mut how: Option<String> = None;
    for child in pairs {
        match child.as_rule() {
            Rule::ph_warmth | Rule::how => {
                let said = child.as_str().trim();
                if !said.is_empty() {
                    how = Some(how.map_or(said.to_owned(), |h| format!("{h}, {said}")));
                }
            }
            Rule::ph_upper => {
                let figure = child.into_inner().next()?;
                match number::value(&figure, part_of(&figure, part)) {
                    Ok(v) => upper = Some(v),
                    Err(error) => return Some(Err(error)),
                }
            }
            rule if number::is_figure(rule) => match number::value(&child, part_of(&child, part)) {
                Ok(v) => value = Some(v),
                Err(error) => return Some(Err(error)),
            },
            _ => {}
        }
    }
    Some(Ok(Event::Ph {
        value: value?,
        upper,
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
