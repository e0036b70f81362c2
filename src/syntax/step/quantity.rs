//! The numbers of a clause: heat, time, a dose.

use super::words::{Reader, Slot};
use crate::syntax::grammar::{Rule, part_of};
use crate::syntax::measure::Figures;
use crate::syntax::scan::{Part, same};
use crate::syntax::tree::{Clause, SyntaxError, Verb};
use crate::syntax::{heat, number};
use crate::text::Spanned;
use pest::iterators::Pair;
use rust_decimal::Decimal;

/// What to ask the grammar for at a word: a figure, or one that leads to a figure.
pub(super) fn quantity_rule(word: &str) -> Option<Rule> {
    const LEADS: [&str; 23] = [
        "to",
        "at",
        "for",
        "below",
        "under",
        "above",
        "over",
        "between",
        "when",
        "once",
        "as",
        "after",
        "while",
        "until",
        "till",
        "down",
        "up",
        "about",
        "around",
        "approximately",
        "approx",
        "room",
        "ambient",
    ];
    match word.as_bytes()[0] {
        b'0'..=b'9' | b'.' => Some(Rule::a_count),
        b'~' => Some(Rule::quantity),
        b'p' | b'P' => same(word, "ph").then_some(Rule::a_ph),
        _ if word.starts_with(['½', '¼', '¾']) => Some(Rule::a_count),
        _ => LEADS
            .iter()
            .any(|l| same(l, word))
            .then_some(Rule::quantity),
    }
}

pub(super) fn quantity<'a>(
    clause: &mut Clause,
    reader: &mut Reader<'a>,
    pair: Pair<'a, Rule>,
    base: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) {
    let part = part_of(&pair, base).trim();
    let span = part.span();
    if pair.as_rule() == Rule::counted {
        let unit = pair.clone().into_inner().last().map(|u| u.as_rule());
        match unit {
            Some(Rule::dose_unit) => dose(clause, reader, pair, part, base, errors),
            Some(Rule::celsius | Rule::fahrenheit | Rule::no_scale) => {
                reader.pause();
                keep(heat::warmth(pair, base), errors, |(low, high)| {
                    let heat = heat::at(low, high);
                    clause.heat = clause.heat.take().or(Some(Spanned::new(heat, span)));
                });
            }
            _ => {
                reader.pause();
                keep(heat::minutes(pair, base), errors, |m| {
                    clause.minutes = clause.minutes.take().or(Some(Spanned::new(m, span)))
                });
            }
        }
        return;
    }
    reader.pause();
    match pair.as_rule() {
        Rule::step_heat => keep(heat::heat(pair, base), errors, |h| {
            clause.heat = clause.heat.take().or(h.map(|h| Spanned::new(h, span)));
        }),
        Rule::step_for => {
            if let Some(d) = pair.into_inner().find(|p| p.as_rule() == Rule::duration) {
                keep(heat::minutes(d, base), errors, |m| {
                    clause.minutes = clause.minutes.take().or(Some(Spanned::new(m, span)))
                });
            }
        }
        Rule::step_ph => keep(heat::numbers(pair, base), errors, |n| {
            clause.ph = clause.ph.take().or(Some(Spanned::new(n, span)))
        }),
        _ => {
            let verb = clause.verb.as_ref().map(|v| v.value);
            bare(clause, verb, pair, part, base, errors);
        }
    }
}

fn keep<T>(
    read: Result<T, Box<SyntaxError>>,
    errors: &mut Vec<SyntaxError>,
    mut take: impl FnMut(T),
) {
    match read {
        Ok(value) => take(value),
        Err(error) => errors.push(*error),
    }
}

/// `to 75`: a pH where pH is adjusted; where heat is due, its scale is missing.
pub(super) fn bare(
    clause: &mut Clause,
    verb: Option<Verb>,
    piece: Pair<'_, Rule>,
    part: Part<'_>,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) {
    let figures: Vec<Part<'_>> = piece
        .clone()
        .into_inner()
        .filter(|c| number::is_figure(c.as_rule()))
        .map(|c| part_of(&c, body))
        .collect();
    match verb {
        Some(Verb::AdjustPh | Verb::MeasurePh | Verb::Neutralize) => {
            keep(
                heat::numbers(piece, body),
                errors,
                |n: (Decimal, Decimal)| clause.ph = Some(Spanned::new(n, part.span())),
            );
        }
        Some(Verb::Heat | Verb::Cool | Verb::Melt | Verb::Hold) => {
            if let Some(last) = figures.last() {
                errors.push(*heat::scale_missing(*last));
            }
        }
        _ => {}
    }
}

/// `0.60 g` before a name is what is added; `10 %` behind one is a strength and part of it.
fn dose<'a>(
    clause: &mut Clause,
    reader: &mut Reader<'a>,
    piece: Pair<'a, Rule>,
    part: Part<'a>,
    body: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) {
    let Some(figures) = Figures::of(piece.into_inner(), body) else {
        return;
    };
    let percent = figures
        .unit
        .is_some_and(|u| u.text.starts_with(['%', '\u{FF05}']));
    let named = reader.open.is_some();
    if clause.amount.is_some() || percent && named || reader.slot == Slot::Nowhere {
        reader.word(part);
        return;
    }
    match figures.measure() {
        Ok(measure) => clause.amount = Some(measure),
        Err(error) => errors.push(*error),
    }
}
