//! The amount at the end of a row.

mod enough;
mod quick;

use super::grammar::{self, Rule, part_of};
use super::measure::{self, Figures, syntax};
use super::number;
use super::scan::{Part, is_blank, same};
use super::tree::{Amount, ErrorCode, LineFix, SyntaxError};
use crate::text::Spanned;
use enough::{enough, enough_start};
use pest::iterators::Pair;
use quick::quick;

/// A row parted into what is named and how much of it.
pub struct Split<'a> {
    pub name: Part<'a>,
    pub amount: Spanned<Amount>,
}

/// Parts a row, or the end of one. What is wrong goes to `errors`.
pub fn split<'a>(row: Part<'a>, errors: &mut Vec<SyntaxError>) -> Split<'a> {
    if let Some(split) = quick(row) {
        return split;
    }
    by_grammar(row, errors)
}

fn by_grammar<'a>(row: Part<'a>, errors: &mut Vec<SyntaxError>) -> Split<'a> {
    if let Some(start) = enough_start(row) {
        return enough(row, start, errors);
    }
    let mut before: Option<(usize, &str)> = None;
    let mut earlier: Option<(usize, &str)> = None;
    for (at, word) in row.words() {
        if word.starts_with(starts_figure)
            && let Some(pair) = grammar::pair(Rule::tail, row.from(at))
        {
            // `to 1000 mL`, `to pH 5.2`: a q.s. that is not spelled out.
            if let Some((start, goal)) = before {
                if (same(goal, "to") || same(goal, "ad"))
                    && start > 0
                    && is_total(pair.clone(), row.from(at))
                {
                    return enough(row, start, errors);
                }
                if same(goal, "ph") {
                    let start = earlier
                        .filter(|(_, w)| same(w, "to") || same(w, "ad"))
                        .map_or(start, |(at, _)| at);
                    return enough(row, start, errors);
                }
            }
            if let Some(split) = measured(row, at, pair, errors) {
                return split;
            }
        }
        earlier = before;
        before = Some((at, word));
    }
    missing(row, errors)
}

/// `1000 mL`, or `100` alone: what a row can be filled up to. `75 °C` is not.
fn is_total(pair: Pair<'_, Rule>, base: Part<'_>) -> bool {
    Figures::of(pair.into_inner(), base).is_some_and(|f| match f.unit {
        Some(unit) => measure::unit(unit.text).is_some(),
        None => f.whole.text == "100",
    })
}

/// True if the text ends in an amount, readable or not. Used to tell rows from steps and headings.
pub fn ends_in_amount(row: Part<'_>) -> bool {
    let mut unheard = Vec::new();
    !matches!(split(row, &mut unheard).amount.value, Amount::Missing)
}

fn starts_figure(c: char) -> bool {
    c.is_ascii_digit()
        || matches!(
            c,
            '.' | ','
                | '-'
                | '+'
                | '\u{2212}'
                | '~'
                | '<'
                | '>'
                | '≈'
                | '≤'
                | '≥'
                | '±'
                | '¼'
                | '½'
                | '¾'
                | '⅓'
                | '⅔'
                | '⅛'
                | '⅜'
                | '⅝'
                | '⅞'
        )
}

fn measured<'a>(
    row: Part<'a>,
    at: usize,
    pair: Pair<'a, Rule>,
    errors: &mut Vec<SyntaxError>,
) -> Option<Split<'a>> {
    let tail = row.from(at).trim_end();
    let figures = Figures::of(pair.into_inner(), row.from(at))?;
    let name = row.to(at).trim_end();
    let gap = &row.text[name.text.len()..at];
    let apart = name.is_empty() || gap.contains('\t') || gap.chars().count() > 1;
    match figures.unit {
        // `polysorbate 20`: the number may belong to the name, `glycerin   5` or `glycerin 0.5` hardly.
        None if !apart
            && figures.last.is_none()
            && figures.whole.text.bytes().all(|b| b.is_ascii_digit()) =>
        {
            return None;
        }
        Some(unit)
            if !apart
                && measure::unit(unit.text).is_none()
                && !measure::looks_like_unit(unit.text) =>
        {
            return None;
        }
        _ => {}
    }
    let mut push = |error: Box<SyntaxError>| {
        errors.push(*error);
        Amount::Unreadable
    };
    let roughly = figures.whole.at > tail.at;
    let amount = match figures.measure() {
        Ok(_) if !apart && !name.is_empty() && number::is_mixed(figures.whole.text) => {
            push(number::mixed_clash(figures.whole))
        }
        Ok(_) if roughly => {
            let sign = Part::new(&tail.text[..figures.whole.at - tail.at], tail.at);
            push(not_exact(sign, figures.whole))
        }
        Ok(measure) => Amount::Measured(measure),
        Err(error) => push(error),
    };
    let amount = Spanned::new(amount, tail.span());
    match about_word(name) {
        Some(word) if matches!(amount.value, Amount::Measured(_)) => {
            errors.push(*about_alone(name.from(word), tail));
            let name = name.to(word).trim_end();
            Some(Split {
                name,
                amount: Spanned::new(Amount::Unreadable, amount.span),
            })
        }
        _ => Some(Split { name, amount }),
    }
}

fn not_exact(sign: Part<'_>, number: Part<'_>) -> Box<SyntaxError> {
    let sign_text = sign.trim().text;
    syntax(
        sign.trim().span().cover(number.span()),
        format!(
            "an amount is exact, and \"{sign_text}\" says that this one is not\nWrite the number that you weigh"
        ),
        vec![LineFix {
            title: format!("Delete {sign_text}"),
            span: sign.span(),
            text: String::new(),
        }],
    )
}

/// `glycerin about 5 %`.
fn about_word(name: Part<'_>) -> Option<usize> {
    let (at, word) = name.words().last()?;
    let word = word.trim_end_matches('.');
    (at > 0
        && ["about", "ca", "circa", "approx", "approximately"]
            .iter()
            .any(|w| same(w, word)))
    .then_some(at)
}

fn about_alone(word: Part<'_>, tail: Part<'_>) -> Box<SyntaxError> {
    let span = word.span().cover(tail.span());
    let text = format!("q.s., about {}", tail.text);
    syntax(
        span,
        format!(
            "\"{}\" goes with q.s.\nWrite \"{text}\", or the exact amount alone",
            word.trim_end().text
        ),
        vec![
            LineFix {
                title: format!("Change to {text}"),
                span,
                text,
            },
            LineFix {
                title: format!("Change to {}", tail.text),
                span,
                text: tail.text.to_string(),
            },
        ],
    )
}

fn missing<'a>(row: Part<'a>, errors: &mut Vec<SyntaxError>) -> Split<'a> {
    let row = row.trim_end();
    let end = row.text.len();
    let none = Spanned::new(Amount::Missing, row.from(end).span());
    let unreadable = |part: Part<'_>| Spanned::new(Amount::Unreadable, part.span());
    if let Some(split) = amount_first(row, errors) {
        return split;
    }
    let last = row.words().last();
    // `x %`: a unit with something before it that is no number.
    if row.text.ends_with(['%', '\u{FF05}']) {
        let body = row
            .to(end - row.text.chars().next_back().map_or(0, char::len_utf8))
            .trim_end();
        let at = body.words().last().map_or(0, |(at, _)| at);
        let wrong = body.from(at);
        let digits = wrong.text.bytes().any(|b| b.is_ascii_digit());
        let alone = body.is_empty();
        if alone
            || !digits
            || !wrong.text.ends_with(|c: char| c.is_ascii_digit())
            || wrong.text.starts_with(starts_figure)
        {
            let (part, message) = if digits && wrong.text.starts_with(starts_figure) {
                (
                    wrong,
                    format!(
                        "\"{}\" cannot be read as a number\nWrite it with digits and one decimal point, such as 0.5",
                        wrong.text
                    ),
                )
            } else {
                (
                    row.from(body.text.len()).trim(),
                    "the number before \"%\" is missing\nWrite it, as in 5 %".to_string(),
                )
            };
            errors.push(*syntax(part.span(), message, vec![]));
            let name = if digits && wrong.text.starts_with(starts_figure) {
                body.to(at).trim_end()
            } else {
                body
            };
            return Split {
                name,
                amount: unreadable(row.from(name.text.len()).trim()),
            };
        }
    }
    let number = last.filter(|(at, w)| *at > 0 && w.bytes().all(|b| b.is_ascii_digit()));
    let (message, fixes) = match number {
        Some((at, w)) => {
            let put = |unit: &str| LineFix {
                title: format!("Change {w} to the amount: {w} {unit}"),
                span: row.from(at).span(),
                text: format!(" {w} {unit}"),
            };
            let message = format!(
                "the amount is missing after \"{}\"\nIf {w} is the amount, give it a unit: {w} % or {w} g",
                row.text
            );
            (message, vec![put("%"), put("g")])
        }
        None => (
            format!(
                "the amount is missing after \"{}\"\nEnd the line with one, such as 5 %, 12 g or q.s.",
                row.text
            ),
            vec![],
        ),
    };
    errors.push(SyntaxError::new(
        ErrorCode::MissingAmount,
        row.span(),
        &message,
        fixes,
    ));
    Split {
        name: row,
        amount: none,
    }
}

/// `5 % glycerin`: the amount stands before the name.
fn amount_first<'a>(row: Part<'a>, errors: &mut Vec<SyntaxError>) -> Option<Split<'a>> {
    if !row.text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let pair = grammar::pair(Rule::dose_first, row)?;
    let dose = part_of(&pair, row);
    let rest = row.from(dose.at + dose.text.len() - row.at);
    let name = rest.trim();
    if name.is_empty() || !rest.text.starts_with(is_blank) {
        return None;
    }
    let text = format!("{}  {}", name.text, dose.text);
    errors.push(*syntax(
        dose.span(),
        format!("the amount stands before the name\nPut it at the end of the line: \"{text}\""),
        vec![LineFix {
            title: "Move the amount to the end".to_string(),
            span: row.span(),
            text,
        }],
    ));
    Some(Split {
        name,
        amount: Spanned::new(Amount::Unreadable, dose.span()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        /// The short way answers what the grammar answers, wherever it answers at all.
        #[test]
        fn the_quick_way_and_the_grammar_agree(words in prop::collection::vec(prop::sample::select(vec![
            "glycerin", "polysorbate", "20", "80 %", "5", "0.5", "12.50", "1,000", "500", "-", "to", "ad", "pH", "about", "q.s.", "qs", "q.", "s", "balance", "at most", "max",
            "5-6", "½", "~", "%", "g", "mL", "parts", "as", "(and)", "é", "(x)", "1.", ".5", "5%", "5g", ",", "quantum", "satis", "fl", "oz", "mg",
        ]), 1..6), gaps in prop::collection::vec(prop::sample::select(vec![" ", "  ", ""]), 6)) {
            let text: String = words.iter().zip(&gaps).flat_map(|(w, g)| [*w, *g]).collect();
            let row = Part::new(&text, 2).trim();
            if let Some(short) = quick(row) {
                let mut errors = Vec::new();
                let long = by_grammar(row, &mut errors);
                prop_assert_eq!(&short.amount, &long.amount);
                prop_assert_eq!(short.name.span(), long.name.span());
                prop_assert_eq!(errors, vec![]);
            }
        }
    }
}
