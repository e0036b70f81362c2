//! The headings of batches and lots.

use super::spanned;
use crate::syntax::measure::syntax;
use crate::syntax::row::unclosed;
use crate::syntax::scan::{self, Part, same};
use crate::syntax::tree::{Heading, LineFix, SyntaxError};
use crate::text::Spanned;

/// A quoted file, or a bare name that should be one.
fn file<'a>(
    rest: Part<'a>,
    stop: &str,
    errors: &mut Vec<SyntaxError>,
) -> (Option<Spanned<String>>, Part<'a>) {
    if let Some(q) = scan::quoted(rest) {
        if !q.closed {
            errors.push(unclosed(q.inner));
        }
        return (Some(spanned(q.inner)), q.rest);
    }
    let end = rest
        .words()
        .find(|(_, w)| same(w, stop))
        .map_or(rest.text.len(), |(at, _)| at);
    let name = rest.to(end).trim();
    if name.is_empty() {
        return (None, rest.from(end));
    }
    let fix = LineFix {
        title: "Put the file in quotes".to_string(),
        span: name.span(),
        text: format!("\"{}\"", name.text),
    };
    errors.push(*syntax(
        name.span(),
        format!(
            "the formula's file stands in quotes\nWrite \"{}\"",
            name.text
        ),
        vec![fix],
    ));
    (Some(spanned(name)), rest.from(end))
}

/// A code without blanks, then `of`; answers the code and what follows `of`.
fn code_of<'a>(
    word: Part<'_>,
    rest: Part<'a>,
    such: &str,
    errors: &mut Vec<SyntaxError>,
) -> (Option<Spanned<String>>, Option<Part<'a>>) {
    let of = rest.words().find(|(_, w)| same(w, "of")).map(|(at, _)| at);
    let code = rest.to(of.unwrap_or(rest.text.len())).trim();
    let after = of.map(|at| rest.from(at + 2).trim());
    if code.is_empty() {
        errors.push(*syntax(
            word.span(),
            format!(
                "the code is missing behind \"{}\"\nWrite one, as in {such}",
                word.text
            ),
            vec![],
        ));
        return (None, after);
    }
    if code.words().count() > 1 {
        let joined: Vec<&str> = code.words().map(|(_, w)| w).collect();
        let text = joined.join("-");
        let fix = LineFix {
            title: format!("Change to {text}"),
            span: code.span(),
            text,
        };
        errors.push(*syntax(
            code.span(),
            format!(
                "a code holds no blank: \"{}\"\nWrite it in one piece, with hyphens",
                code.text
            ),
            vec![fix],
        ));
    }
    (Some(spanned(code)), after.filter(|p| !p.is_empty()))
}

pub(super) fn batch(word: Part<'_>, rest: Part<'_>, errors: &mut Vec<SyntaxError>) -> Heading {
    let such = "batch HC-031 of \"hand cream.formula\" version 4";
    let (code, of) = code_of(word, rest, such, errors);
    let Some(of) = of else {
        if code.is_some() {
            errors.push(*syntax(
                rest.span(),
                format!("the heading does not say of which formula\nWrite its file, as in {such}"),
                vec![],
            ));
        }
        return Heading::Batch {
            code,
            formula: None,
            version: None,
        };
    };
    let (formula, tail) = file(of, "version", errors);
    let tail = tail.trim();
    let mut version = None;
    if !tail.is_empty() {
        match scan::strip_prefix(tail.text, "version").map(|v| tail.from(tail.text.len() - v.len()))
        {
            Some(v) if v.text.starts_with(scan::is_blank) => version = Some(spanned(v.trim())),
            _ => errors.push(*syntax(
                tail.span(),
                format!(
                    "\"{}\" is not understood behind the file\nWrite nothing there, or \"version 4\"",
                    tail.text
                ),
                vec![],
            )),
        }
    }
    Heading::Batch {
        code,
        formula,
        version,
    }
}

pub(super) fn lot(word: Part<'_>, rest: Part<'_>, errors: &mut Vec<SyntaxError>) -> Heading {
    let such = "lot GLY-07 of glycerin";
    let (code, of) = code_of(word, rest, such, errors);
    let Some(of) = of else {
        if code.is_some() {
            errors.push(*syntax(
                rest.span(),
                format!("the heading does not say of what\nName the ingredient, as in {such}"),
                vec![],
            ));
        }
        return Heading::Lot {
            code,
            of: None,
            of_file: false,
        };
    };
    if let Some(q) = scan::quoted(of) {
        if !q.closed {
            errors.push(unclosed(q.inner));
        }
        let more = q.rest.trim();
        if !more.is_empty() {
            errors.push(*syntax(
                more.span(),
                format!(
                    "\"{}\" is not understood behind the quoted file\nWrite nothing there",
                    more.text
                ),
                vec![],
            ));
        }
        return Heading::Lot {
            code,
            of: Some(spanned(q.inner)),
            of_file: true,
        };
    }
    Heading::Lot {
        code,
        of: Some(spanned(of)),
        of_file: false,
    }
}
