//! Temperatures and times, as headings, steps and logs write them.

use super::grammar::{Rule, part_of};
use super::measure::syntax;
use super::number;
use super::scan::Part;
use super::tree::{Heat, LineFix, SyntaxError, Temperature};
use pest::iterators::{Pair, Pairs};
use rust_decimal::Decimal;

type Read<T> = Result<T, Box<SyntaxError>>;

/// Degrees to a temperature.
pub fn temperature(degrees: Decimal, fahrenheit: bool) -> Option<Temperature> {
    let celsius = if fahrenheit {
        degrees
            .checked_sub(Decimal::from(32))?
            .checked_mul(Decimal::from(5))?
            .checked_div(Decimal::from(9))?
    } else {
        degrees
    };
    // Nothing is colder than this.
    if celsius < Decimal::new(-27315, 2) {
        return None;
    }
    Some(Temperature {
        celsius,
        fahrenheit,
    })
}

/// The temperature of a `warmth` pair, or the two of a range.
pub fn warmth(pair: Pair<'_, Rule>, base: Part<'_>) -> Read<(Temperature, Option<Temperature>)> {
    degrees(pair.into_inner(), base)
}

/// The same from the figures and scales alone.
pub fn degrees(pairs: Pairs<'_, Rule>, base: Part<'_>) -> Read<(Temperature, Option<Temperature>)> {
    let mut whole: Option<Part<'_>> = None;
    let mut figures = Vec::with_capacity(2);
    // A scale belongs to the figure before it; a figure without one takes the scale that comes last.
    let mut scales = [None, None];
    for child in pairs {
        let part = part_of(&child, base);
        if number::is_figure(child.as_rule())
            || matches!(
                child.as_rule(),
                Rule::celsius | Rule::fahrenheit | Rule::no_scale
            )
        {
            let from = whole.map_or(part.at, |w| w.at);
            whole = Some(Part::new(
                &base.text[from - base.at..part.at + part.text.len() - base.at],
                from,
            ));
        }
        match child.as_rule() {
            Rule::celsius | Rule::fahrenheit | Rule::no_scale => {
                let at = figures.len().max(1) - 1;
                scales[at.min(1)] = Some((child.as_rule(), part_of(&child, base)));
            }
            rule if number::is_figure(rule) => {
                figures.push(number::value(&child, part_of(&child, base))?)
            }
            _ => {}
        }
    }
    let whole = whole.unwrap_or(base);
    let last = scales[figures.len().saturating_sub(1).min(1)];
    let read = |at: usize| -> Read<Temperature> {
        let (rule, part) = scales[at].or(last).ok_or_else(|| scale_missing(whole))?;
        if rule == Rule::no_scale {
            return Err(scale_missing_at(whole, part));
        }
        temperature(figures[at], rule == Rule::fahrenheit).ok_or_else(|| {
            syntax(
                whole.span(),
                format!(
                    "\"{}\" is not a temperature\nWrite it as 21 °C or 70 °F",
                    whole.text
                ),
                vec![],
            )
        })
    };
    match figures.len() {
        0 => Err(scale_missing(whole)),
        1 => Ok((read(0)?, None)),
        _ => Ok((read(0)?, Some(read(1)?))),
    }
}

/// `75` where a temperature is due.
pub fn scale_missing(number: Part<'_>) -> Box<SyntaxError> {
    let text = number.text;
    let fix = |scale: &str| LineFix {
        title: format!("Change to {text} {scale}"),
        span: number.span(),
        text: format!("{text} {scale}"),
    };
    syntax(
        number.span(),
        format!("\"{text}\" has no scale\nWrite {text} °C or {text} °F"),
        vec![fix("°C"), fix("°F")],
    )
}

/// `75°`.
fn scale_missing_at(whole: Part<'_>, sign: Part<'_>) -> Box<SyntaxError> {
    let number = Part::new(&whole.text[..sign.at - whole.at], whole.at).trim();
    let fix = |scale: &str| LineFix {
        title: format!("Change to {} {scale}", number.text),
        span: sign.span(),
        text: format!(" {scale}"),
    };
    syntax(
        whole.span(),
        format!(
            "\"{}\" does not say which scale\nWrite {1} °C or {1} °F",
            whole.text, number.text
        ),
        vec![fix("°C"), fix("°F")],
    )
}

/// One temperature, or two in either order.
pub fn at(low: Temperature, high: Option<Temperature>) -> Heat {
    match high {
        None => Heat::At(low),
        Some(high) if low.celsius <= high.celsius => Heat::Between(low, high),
        Some(high) => Heat::Between(high, low),
    }
}

/// The heat of a pair that holds `below`/`above`, then temperatures or `room`.
pub fn heat(pair: Pair<'_, Rule>, base: Part<'_>) -> Read<Option<Heat>> {
    let mut bound = None;
    let mut found = None;
    for child in pair.into_inner() {
        match child.as_rule() {
            rule @ (Rule::below | Rule::above) => bound = Some(rule),
            Rule::room | Rule::cold => found = Some(Heat::Room),
            Rule::warmth => {
                let (low, high) = warmth(child, base)?;
                found = Some(match (high, bound) {
                    (_, None) => at(low, high),
                    (None, Some(Rule::below)) => Heat::Below(low),
                    (None, Some(_)) => Heat::Above(low),
                    // `below 35-40 °C`: the lower is sure to be meant, as the upper is for `above`.
                    (Some(high), Some(Rule::below)) => {
                        Heat::Below(if low.celsius <= high.celsius {
                            low
                        } else {
                            high
                        })
                    }
                    (Some(high), Some(_)) => Heat::Above(if low.celsius <= high.celsius {
                        high
                    } else {
                        low
                    }),
                });
            }
            _ => {}
        }
    }
    Ok(found)
}

/// Low and high of a `duration` pair, in minutes.
pub fn minutes(pair: Pair<'_, Rule>, base: Part<'_>) -> Read<(Decimal, Decimal)> {
    let whole = part_of(&pair, base);
    let mut figures = Vec::with_capacity(2);
    let mut unit = Rule::minutes;
    for child in pair.into_inner() {
        match child.as_rule() {
            rule @ (Rule::minutes | Rule::hours | Rule::seconds | Rule::days) => unit = rule,
            rule if number::is_figure(rule) => {
                figures.push(number::value(&child, part_of(&child, base))?)
            }
            _ => {}
        }
    }
    let in_minutes = |v: &Decimal| match unit {
        Rule::hours => v.checked_mul(Decimal::from(60)),
        Rule::days => v.checked_mul(Decimal::from(1440)),
        Rule::seconds => v.checked_div(Decimal::from(60)),
        _ => Some(*v),
    };
    let low = figures.first().and_then(in_minutes);
    let high = figures.last().and_then(in_minutes);
    match (low, high) {
        (Some(low), Some(high)) if low.min(high) >= Decimal::ZERO => {
            Ok((low.min(high), low.max(high)))
        }
        _ => Err(syntax(
            whole.span(),
            format!("\"{}\" is not a time\nWrite it as 20 min", whole.text),
            vec![],
        )),
    }
}

/// Two figures of a pair, low first; one figure counts as both.
pub fn numbers(pair: Pair<'_, Rule>, base: Part<'_>) -> Read<(Decimal, Decimal)> {
    let mut figures = Vec::with_capacity(2);
    for child in pair.into_inner() {
        if number::is_figure(child.as_rule()) {
            figures.push(number::value(&child, part_of(&child, base))?);
        }
    }
    let low = figures.first().copied().unwrap_or_default();
    let high = figures.last().copied().unwrap_or_default();
    Ok((low.min(high), low.max(high)))
}
