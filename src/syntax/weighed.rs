//! A row of `weighed`: `glycerin   12.51 g of 12.50 g   lot GLY-07`.

use super::grammar::{self, Rule};
use super::measure::{Figures, syntax};
use super::scan::{self, Part, same};
use super::tree::{LineFix, Measure, Node, SyntaxError, Weighed};
use crate::chem::units::{Dimension, Unit};
use crate::text::{Span, Spanned};

/// A row of `weighed`: what went on the scale. Jars and labels are read by [`read`] alone.
pub fn material(row: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let mut node = read(row, errors);
    if let Node::Weighed(weighed) = &mut node
        && errors.is_empty()
        && let Some(error) = misread(weighed, row.trim())
    {
        errors.push(error);
        weighed.actual = None;
    }
    node
}

/// What reads as a row and is none: two weights in one, a guess, a plan in percent.
fn misread(weighed: &Weighed, row: Part<'_>) -> Option<SyntaxError> {
    let name = Part::new(&weighed.name.value, weighed.name.span.start as usize);
    if let Some(planned) = weighed.planned.filter(|m| {
        !matches!(
            m.unit.dimension(),
            Dimension::Mass | Dimension::Volume | Dimension::Count
        )
    }) {
        let message =
            "a plan is a weight, a volume or a number of pieces\nWrite the grams behind \"of\"";
        return Some(*syntax(planned.unit_span, message.to_owned(), vec![]));
    }
    if weighed.file {
        return None;
    }
    if let Some((at, word)) = name.words().filter(|(at, w)| *at > 0 && is_guess(w)).last()
        && at + word.len() == name.text.len()
    {
        let message = format!(
            "\"{word}\" is no weight\nWrite what the scale shows, or \"?\" until it is weighed"
        );
        return Some(*syntax(name.from(at).span(), message, vec![]));
    }
    // The name ends before its first weight.
    let (at, one) = name.words().find_map(|(at, word)| {
        let rest = name.from(at);
        let pair = word
            .starts_with(|c: char| c.is_ascii_digit())
            .then(|| grammar::pair(Rule::how_much, rest))??;
        let measure = Figures::of(pair.into_inner(), rest)?.measure().ok()?;
        let is_weight = at > 0 && measure.unit.dimension() == Dimension::Mass;
        is_weight.then_some((at, measure))
    })?;
    let span = name.from(at).span().cover(weighed.actual_span);
    let message = "a row holds one weight\nWrite two rows, one for each lot".to_owned();
    let fixes = two_rows(weighed, name.to(at).trim_end(), one, row).into_iter();
    Some(*syntax(span, message, fixes.collect()))
}

fn is_guess(word: &str) -> bool {
    [
        "about",
        "ca",
        "ca.",
        "circa",
        "approx",
        "approx.",
        "approximately",
        "roughly",
        "~",
    ]
    .iter()
    .any(|guess| same(word, guess))
}

/// `80 g + 45 g of 125 g  lot GLY-07` as two rows: the first weight from this lot, the second from one that is still to be written.
fn two_rows(weighed: &Weighed, name: Part<'_>, one: Measure, row: Part<'_>) -> Option<LineFix> {
    let two = weighed.actual?;
    let lot = weighed.lot.as_ref().map_or("CODE", |l| &l.value);
    let (a, b) = (one.unit.symbol(), two.unit.symbol());
    let text = format!(
        "{0}  {1} {a} of {1} {a}   lot {lot}\n  {0}  {2} {b} of {2} {b}   lot CODE",
        name.text, one.value, two.value
    );
    Some(LineFix {
        title: "Write two rows, one for each lot".to_owned(),
        span: row.span(),
        text,
    })
}

pub fn read(row: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let row = row.trim();
    let (row, lot) = lot(row, errors);
    let (name, file, rest) = match scan::quoted(row) {
        Some(q) if q.closed => (q.inner, true, q.rest),
        _ => match weights(row) {
            Some(at) => (row.to(at).trim_end(), false, row.from(at)),
            None => (row, false, row.from(row.text.len())),
        },
    };
    if name.is_empty() {
        let message = format!(
            "the name is missing before \"{}\"\nWrite what was weighed before the weight",
            row.text
        );
        errors.push(*syntax(row.span(), message, vec![]));
        return Node::Broken;
    }
    let rest = rest.trim();
    let mut out = Weighed {
        name: Spanned::new(name.text.to_string(), name.span()),
        file,
        actual: None,
        actual_span: rest.span(),
        planned: None,
        lot,
    };
    let Some(pair) = grammar::pair(Rule::weighed, rest).filter(|_| !rest.is_empty()) else {
        let message = format!(
            "the weight is missing after \"{}\"\nWrite \"12.51 g of 12.50 g\", or \"? of 12.50 g\" until it is weighed",
            name.text
        );
        let end = name.span().end;
        let span = if rest.is_empty() {
            name.span()
        } else {
            rest.span()
        };
        out.actual_span = if rest.is_empty() {
            Span { start: end, end }
        } else {
            rest.span()
        };
        errors.push(*syntax(span, message, vec![]));
        return Node::Weighed(out);
    };
    let mut told = false;
    for child in pair.into_inner() {
        let span = grammar::part_of(&child, rest).trim().span();
        match child.as_rule() {
            Rule::not_weighed => {
                out.actual_span = span;
                told = true;
            }
            Rule::measure => {
                out.actual_span = span;
                out.actual = weight(child, rest, errors);
                told = true;
            }
            Rule::planned => {
                let pieces = out.actual.filter(|m| m.unit == Unit::Piece);
                out.planned = match pieces {
                    Some(pieces) => planned_pieces(child, rest, pieces, errors),
                    None => weight(child, rest, errors),
                };
            }
            _ => {}
        }
    }
    if !told {
        let message =
            "the line does not say how much was weighed\nWrite the weight before \"of\", or \"?\" until it is weighed"
                .to_string();
        errors.push(*syntax(rest.span(), message, vec![]));
        out.actual_span = Span {
            start: rest.span().start,
            end: rest.span().start,
        };
    }
    Node::Weighed(out)
}

/// `49 pieces of 50`: the unit stands once.
fn planned_pieces(
    pair: pest::iterators::Pair<'_, Rule>,
    base: Part<'_>,
    actual: Measure,
    errors: &mut Vec<SyntaxError>,
) -> Option<Measure> {
    let figures = Figures::of(pair.clone().into_inner(), base)?;
    if figures.unit.is_some() {
        return weight(pair, base, errors);
    }
    match figures.value() {
        Ok(value) => Some(Measure {
            value,
            value_span: figures.whole.span(),
            unit_span: figures.whole.span(),
            ..actual
        }),
        Err(error) => {
            errors.push(*error);
            None
        }
    }
}

fn weight(
    pair: pest::iterators::Pair<'_, Rule>,
    base: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Option<Measure> {
    match Figures::of(pair.into_inner(), base)?.measure_or_count() {
        Ok(measure) => Some(measure),
        Err(error) => {
            errors.push(*error);
            None
        }
    }
}

/// `lot CODE` at the end.
fn lot<'a>(row: Part<'a>, errors: &mut Vec<SyntaxError>) -> (Part<'a>, Option<Spanned<String>>) {
    let mut found = None;
    for (at, word) in row.words() {
        if at > 0 && same(word, "lot") {
            found = Some(at);
        }
    }
    let Some(at) = found else {
        return (row, None);
    };
    let code = row.from(at + 3).trim();
    let before = row.to(at).trim_end();
    match code.words().count() {
        0 => {
            errors.push(*syntax(
                row.from(at).span(),
                "the lot's code is missing behind \"lot\"\nWrite it, as in lot GL-07".to_string(),
                vec![],
            ));
            (before, None)
        }
        1 => (
            before,
            Some(Spanned::new(code.text.to_string(), code.span())),
        ),
        // `lot` as a word of a name.
        _ if weights(before).is_none() => (row, None),
        _ => {
            let first = code.to(code.first_word().trim_end_matches(',').len());
            let more = code.from(first.text.len()).trim();
            errors.push(*syntax(
                more.span(),
                format!(
                    "\"{}\" is not understood: a lot's code holds no blank\nWrite the code in one piece, with hyphens",
                    more.text
                ),
                vec![],
            ));
            (
                before,
                Some(Spanned::new(first.text.to_string(), first.span())),
            )
        }
    }
}

/// Where the weights begin: the first word from which on the line is weights alone.
fn weights(row: Part<'_>) -> Option<usize> {
    row.words()
        .filter(|(at, w)| {
            *at > 0
                && (w.starts_with(|c: char| {
                    c.is_ascii_digit() || matches!(c, '?' | '.' | ',' | '½')
                }) || same(w, "of"))
        })
        .map(|(at, _)| at)
        .find(|&at| grammar::pair(Rule::weighed, row.from(at)).is_some())
}
