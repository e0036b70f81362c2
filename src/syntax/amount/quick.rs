//! The plain case, read by hand.

use super::Split;
use super::enough::enough_start;
use crate::chem::units::Unit;
use crate::syntax::number;
use crate::syntax::scan::{Part, is_blank, same};
use crate::syntax::tree::{Amount, Measure};
use crate::text::{Span, Spanned};

/// The plain case, a name and `5 %` or `12.5 g`, read by hand: what the grammar would answer, in a tenth of the time.
/// Anything out of the ordinary is left to the grammar.
pub(super) fn quick(row: Part<'_>) -> Option<Split<'_>> {
    let row = row.trim_end();
    let bytes = row.text.as_bytes();
    let end = bytes.len();
    let mut unit_at = end;
    if bytes.last()? == &b'%' {
        unit_at -= 1;
    } else {
        while unit_at > 0 && bytes[unit_at - 1].is_ascii_alphabetic() {
            unit_at -= 1;
        }
    }
    let unit = match &row.text[unit_at..] {
        "%" => Unit::Percent,
        "g" => Unit::Gram,
        "mg" => Unit::Milligram,
        "kg" => Unit::Kilogram,
        "mL" | "ml" => Unit::Millilitre,
        "parts" => Unit::Part,
        _ => return None,
    };
    let mut number_end = unit_at;
    while number_end > 0 && bytes[number_end - 1] == b' ' {
        number_end -= 1;
    }
    let mut number_at = number_end;
    let mut point = None;
    while number_at > 0 {
        match bytes[number_at - 1] {
            b'0'..=b'9' => {}
            b'.' if point.is_none() => point = Some(number_at - 1),
            _ => break,
        }
        number_at -= 1;
    }
    // Digits, or digits on both sides of a point.
    if number_at == number_end
        || !bytes[number_at].is_ascii_digit()
        || point.is_some_and(|p| p + 1 == number_end)
    {
        return None;
    }
    let mut name_end = number_at;
    while name_end > 0 && bytes[name_end - 1] == b' ' {
        name_end -= 1;
    }
    let gap = number_at - name_end;
    let name = row.to(name_end);
    let last_word = name.text.rsplit(is_blank).next()?;
    let ordinary = match name.text.bytes().next_back()? {
        b')' | b'%' => true,
        b'0'..=b'9' => gap > 1,
        b => b.is_ascii_alphabetic() && !SIGNAL.iter().any(|s| same(s, last_word)),
    };
    // A `q.s.` or `balance,` further up begins the amount there.
    let suspect = name.text.contains(['q', 'Q', ',']) && enough_start(name).is_some();
    // `20to 5 %` is a range.
    let ranged = last_word.starts_with(|c: char| c.is_ascii_digit())
        && last_word.to_ascii_lowercase().ends_with("to");
    if gap == 0 || !ordinary || suspect || ranged {
        return None;
    }
    let value = number::exact(&row.text[number_at..number_end])?;
    let value_span = Span::new(row.at + number_at, row.at + number_end);
    let unit_span = Span::new(row.at + unit_at, row.at + end);
    let measure = Measure {
        value,
        unit,
        value_span,
        unit_span,
    };
    Some(Split {
        name,
        amount: Spanned::new(Amount::Measured(measure), value_span.cover(unit_span)),
    })
}

/// Words before a number that make more of it than a plain amount.
const SIGNAL: [&str; 13] = [
    "to",
    "ad",
    "ph",
    "about",
    "ca",
    "circa",
    "approx",
    "approximately",
    "most",
    "max",
    "maximum",
    "qs",
    "s",
];
