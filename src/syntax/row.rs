//! A row of a phase: an ingredient and its amount.

use super::amount;
use super::measure::syntax;
use super::scan::{self, Part, same};
use super::tree::{Amount, LineFix, Node, Row, SyntaxError};
use crate::text::{Span, Spanned};
use smol_str::SmolStr;

/// Reads a row whose comment is already off.
pub fn read(row: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let (row, purpose) = purpose(row.trim());
    if let Some(quoted) = scan::quoted(row) {
        return from_file(&quoted, purpose, errors);
    }
    let split = amount::split(row, errors);
    if split.name.is_empty() {
        let fault = syntax(
            split.amount.span,
            format!(
                "the name is missing before \"{}\"\nWrite the ingredient before its amount, as in glycerin  5 %",
                row.text
            ),
            vec![],
        );
        errors.push(*fault);
        return Node::Broken;
    }
    let name = tidy(split.name, errors);
    Node::Row(Row {
        name: spanned(name),
        file: false,
        amount: split.amount,
        purpose,
    })
}

/// `"stock gel.formula"   20 %`.
fn from_file(
    quoted: &scan::Quoted<'_>,
    purpose: Option<Spanned<String>>,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    if !quoted.closed {
        let split = amount::split(quoted.inner, errors);
        errors.push(unclosed(split.name));
        return Node::Row(Row {
            name: spanned(split.name),
            file: true,
            amount: split.amount,
            purpose,
        });
    }
    let rest = quoted.rest.trim();
    if rest.is_empty() {
        let message = format!(
            "the amount is missing after \"{}\"\nEnd the line with one, such as 5 %, 12 g or q.s.",
            quoted.inner.text
        );
        let span = quoted.inner.span();
        let code = super::tree::ErrorCode::MissingAmount;
        errors.push(SyntaxError::new(code, span, &message, vec![]));
        let end = quoted.rest.span();
        let amount = Spanned::new(
            Amount::Missing,
            Span {
                start: end.start,
                end: end.start,
            },
        );
        return Node::Row(Row {
            name: spanned(quoted.inner),
            file: true,
            amount,
            purpose,
        });
    }
    let mut faults = Vec::new();
    let split = amount::split(rest, &mut faults);
    if !split.name.is_empty() {
        let part = split.name;
        let fix = LineFix {
            title: format!("Delete {}", part.text),
            span: part.span(),
            text: String::new(),
        };
        faults = vec![*syntax(
            part.span(),
            format!(
                "\"{}\" is not understood behind the quoted file\nWrite nothing but the amount there",
                part.text
            ),
            vec![fix],
        )];
    }
    errors.append(&mut faults);
    Node::Row(Row {
        name: spanned(quoted.inner),
        file: true,
        amount: split.amount,
        purpose,
    })
}

/// The closing quote is missing after `text`.
pub fn unclosed(text: Part<'_>) -> SyntaxError {
    let end = text.span().end;
    let at = Span { start: end, end };
    *syntax(
        text.span(),
        format!(
            "the closing quote is missing after \"{}\"\nWrite one behind it",
            text.text
        ),
        vec![LineFix {
            title: "Close the quote".to_string(),
            span: at,
            text: "\"".to_string(),
        }],
    )
}

/// `... as preservative` at the end of a row.
fn purpose(row: Part<'_>) -> (Part<'_>, Option<Spanned<String>>) {
    let Some((at, len)) = row
        .words()
        .filter(|(at, w)| *at > 0 && same(w, "as"))
        .last()
        .map(|(at, w)| (at, w.len()))
    else {
        return (row, None);
    };
    let words = row.from(at + len).trim();
    let count = words.words().count();
    let plain = words
        .text
        .chars()
        .all(|c| c.is_alphabetic() || c == '-' || scan::is_blank(c));
    if !(1..=3).contains(&count) || !plain {
        return (row, None);
    }
    let value = words.text.to_lowercase();
    (
        row.to(at).trim_end(),
        Some(Spanned::new(value, words.span())),
    )
}

/// Marks that lead the eye to the amount are no part of a name.
fn tidy<'a>(name: Part<'a>, errors: &mut Vec<SyntaxError>) -> Part<'a> {
    let last = name.words().last().map_or((0, ""), |w| w);
    let leader = |c: char| {
        matches!(
            c,
            ':' | ',' | ';' | '=' | '-' | '–' | '—' | '.' | '…' | '·' | '|'
        )
    };
    let clean = if last.0 > 0 && last.1.chars().all(leader) {
        name.to(last.0).trim_end()
    } else if name.text.ends_with([':', ',', ';', '=', '|'])
        || name.text.ends_with("...")
        || name.text.ends_with('…')
    {
        let text = name.text.trim_end_matches(leader);
        name.to(text.len()).trim_end()
    } else {
        return name;
    };
    if clean.is_empty() {
        return name;
    }
    let marks = name.from(clean.text.len());
    let fix = LineFix {
        title: "Delete it".to_string(),
        span: marks.span(),
        text: String::new(),
    };
    let sign = marks.trim();
    errors.push(*syntax(
        sign.span(),
        format!(
            "\"{}\" stands between the name and its amount\nPut blanks alone there",
            sign.text
        ),
        vec![fix],
    ));
    clean
}

fn spanned(part: Part<'_>) -> Spanned<SmolStr> {
    Spanned::new(part.text.into(), part.span())
}
