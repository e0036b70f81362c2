//! `q.s.` and what may follow it.

use super::Split;
use crate::chem::units::Unit;
use crate::syntax::grammar::{self, Rule, part_of};
use crate::syntax::measure::{Figures, syntax};
use crate::syntax::number;
use crate::syntax::scan::{Part, same};
use crate::syntax::tree::{Amount, LineFix, Measure, PhTarget, SyntaxError};
use crate::text::{Span, Spanned};
use pest::iterators::Pair;
use rust_decimal::Decimal;

/// Where a spelled-out q.s. begins.
pub(super) fn enough_start(row: Part<'_>) -> Option<usize> {
    let mut words = row.words().peekable();
    while let Some((at, word)) = words.next() {
        let bytes = word.as_bytes();
        match bytes[0] {
            b'q' | b'Q' => {
                let bare: String = word.chars().filter(|c| *c != '.' && *c != ',').collect();
                let split = same(&bare, "q")
                    && words
                        .peek()
                        .is_some_and(|(_, w)| same(w.trim_end_matches(['.', ',']), "s"));
                let latin = same(&bare, "quantum")
                    && words
                        .peek()
                        .is_some_and(|(_, w)| same(w.trim_end_matches(','), "satis"));
                if same(&bare, "qs") || split || latin {
                    return Some(at);
                }
            }
            b'b' | b'B' | b'r' | b'R' => {
                let bare = word.trim_end_matches(',');
                let last = words.peek().is_none() || word.ends_with(',');
                if last && (same(bare, "balance") || same(bare, "remainder")) {
                    return Some(at);
                }
            }
            _ => {}
        }
    }
    None
}

pub(super) fn enough<'a>(row: Part<'a>, start: usize, errors: &mut Vec<SyntaxError>) -> Split<'a> {
    let name = row.to(start).trim_end();
    let tail = row.from(start).trim_end();
    let amount = match read_enough(tail) {
        Ok(amount) => amount,
        Err(error) => {
            errors.push(*error);
            Amount::Unreadable
        }
    };
    Split {
        name,
        amount: Spanned::new(amount, tail.span()),
    }
}

fn read_enough(tail: Part<'_>) -> Result<Amount, Box<SyntaxError>> {
    if ["q.s.", "qs", "balance"]
        .iter()
        .any(|plain| same(plain, tail.text))
    {
        return Ok(Amount::Fill { to: None });
    }
    let Some(pair) = grammar::pairs(Rule::enough, tail).and_then(|mut p| p.next()) else {
        return Err(after_qs(tail));
    };
    let mut ph = None;
    let mut total = None;
    let mut about = None;
    let mut at_most = None;
    for child in pair.into_inner() {
        let part = part_of(&child, tail);
        match child.as_rule() {
            Rule::ph_goal => ph = Some(ph_goal(child, tail)?),
            Rule::total => total = Some(fill_total(child, tail)?),
            Rule::about => about = Some(share(child, tail)?),
            Rule::at_most => at_most = Some(share(child, tail)?),
            Rule::junk => return Err(after_qs(part)),
            _ => {}
        }
    }
    if ph.is_some() || about.is_some() || at_most.is_some() {
        if total.is_some() {
            return Err(after_qs(tail));
        }
        return Ok(Amount::Enough { ph, about, at_most });
    }
    Ok(Amount::Fill {
        to: total.flatten(),
    })
}

fn after_qs(part: Part<'_>) -> Box<SyntaxError> {
    syntax(
        part.span(),
        format!(
            "\"{}\" is not understood behind q.s.\nWrite \"q.s.\" alone, \"q.s. to 1000 g\", or \"to pH 5.2\", \"about 1 %\", \"at most 2 %\" with commas between them",
            part.text
        ),
        vec![],
    )
}

fn share(pair: Pair<'_, Rule>, tail: Part<'_>) -> Result<Measure, Box<SyntaxError>> {
    match Figures::of(pair.into_inner(), tail) {
        Some(figures) => figures.measure(),
        None => Err(after_qs(tail)),
    }
}

fn fill_total(pair: Pair<'_, Rule>, tail: Part<'_>) -> Result<Option<Measure>, Box<SyntaxError>> {
    let Some(figures) = Figures::of(pair.into_inner(), tail) else {
        return Err(after_qs(tail));
    };
    let value = figures.value()?;
    if figures.unit.is_none() && value == Decimal::ONE_HUNDRED {
        return Ok(None);
    }
    let measure = figures.measure()?;
    match measure.unit {
        Unit::Percent if value == Decimal::ONE_HUNDRED => Ok(None),
        Unit::Percent => Err(syntax(
            figures.whole.span(),
            format!(
                "q.s. fills up to 100 %, not to {} %\nWrite q.s. alone, or q.s. to 100 %",
                figures.whole.text
            ),
            vec![LineFix {
                title: "Change to 100".to_string(),
                span: figures.whole.span(),
                text: "100".to_string(),
            }],
        )),
        _ => Ok(Some(measure)),
    }
}

fn ph_goal(pair: Pair<'_, Rule>, tail: Part<'_>) -> Result<PhTarget, Box<SyntaxError>> {
    let Some(figures) = Figures::of(pair.into_inner(), tail) else {
        return Err(after_qs(tail));
    };
    let span: Span = figures.whole.span();
    if let Some((last_pair, last)) = &figures.last {
        let low = number::value(&figures.first.0, figures.first.1)?;
        let high = number::value(last_pair, *last)?;
        let middle = low
            .checked_add(high)
            .and_then(|sum| sum.checked_div(Decimal::TWO))
            .map(|v| v.normalize());
        return Err(syntax(
            span,
            format!(
                "\"{}\" is a range, and q.s. aims at one pH\nWrite one pH here; the field \"pH:\" of the formula takes the range",
                figures.whole.text
            ),
            middle
                .map(|v| LineFix {
                    title: format!("Aim at the middle, pH {v}"),
                    span,
                    text: v.to_string(),
                })
                .into_iter()
                .collect(),
        ));
    }
    let value = figures.value()?;
    if value < Decimal::ZERO || value > Decimal::from(14) {
        return Err(syntax(
            span,
            format!(
                "\"{}\" is not a pH\nWrite a number between 0 and 14",
                figures.whole.text
            ),
            vec![],
        ));
    }
    Ok(PhTarget { value, span })
}
