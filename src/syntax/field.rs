//! Fields: `key: value` under `formula`, `batch` and `lot`.

use super::measure::syntax;
use super::scan::{self, Part};
use super::tree::{ErrorCode, Field, FieldValue, LineFix, Node, SectionKind, SyntaxError};
use super::values;
use super::words;
use crate::text::Spanned;

/// Where the colon of `key:` stands, if the line begins with a word or a few and a colon.
pub fn colon(line: Part<'_>) -> Option<usize> {
    let at = line.text.find(':')?;
    let key = &line.text[..at];
    let plain = key
        .chars()
        .all(|c| c.is_alphabetic() || scan::is_blank(c) || c == '-' || c == '_');
    let count = key.split(scan::is_blank).filter(|w| !w.is_empty()).count();
    (plain && (1..=4).contains(&count)).then_some(at)
}

pub fn read(
    section: SectionKind,
    line: Part<'_>,
    colon: usize,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    let written = line.to(colon).trim();
    let key = normal(written.text);
    let value = line.from(colon + 1).trim();
    let known = words::fields(section);
    let mut read = FieldValue::Words;
    if !known.contains(&key.as_str()) {
        errors.push(unknown(section, written, &key, known));
    } else if value.is_empty() {
        let message = format!("\"{}:\" has no value.", words::field_written(&key));
        errors.push(*syntax(written.span(), message, vec![]));
    } else {
        match values::read(section, &key, value) {
            Ok(value) => read = value,
            Err(error) => errors.push(*error),
        }
    }
    Node::Field(Field {
        key: Spanned::new(key, written.span()),
        value: Spanned::new(value.text.to_string(), value.span()),
        read,
    })
}

/// Lower case, one blank between words.
fn normal(key: &str) -> String {
    let mut out = String::with_capacity(key.len());
    for word in key
        .split(|c| scan::is_blank(c) || c == '_')
        .filter(|w| !w.is_empty())
    {
        if !out.is_empty() {
            out.push(' ');
        }
        out.extend(word.chars().flat_map(char::to_lowercase));
    }
    out
}

fn unknown(section: SectionKind, written: Part<'_>, key: &str, known: &[&str]) -> SyntaxError {
    let owner = match section {
        SectionKind::Batch => "batch",
        SectionKind::Lot => "lot",
        _ => "formula",
    };
    let nearest = words::nearest(known, key).map(words::field_written);
    let message = match nearest {
        Some(near) => format!(
            "a {owner} has no field \"{}\"\nDid you mean \"{near}\"?",
            written.text
        ),
        None => {
            let list: Vec<&str> = known.iter().map(|k| words::field_written(k)).collect();
            format!(
                "a {owner} has no field \"{}\"\nIts fields are {}",
                written.text,
                list.join(", ")
            )
        }
    };
    let fixes = nearest
        .map(|near| LineFix {
            title: format!("Change to {near}"),
            span: written.span(),
            text: near.to_string(),
        })
        .into_iter()
        .collect();
    SyntaxError::new(ErrorCode::UnknownField, written.span(), &message, fixes)
}

/// A field that stands where there are none.
pub fn misplaced(line: Part<'_>, colon: usize, owner: &str) -> SyntaxError {
    let key = line.to(colon).trim();
    *syntax(
        key.span(),
        format!(
            "\"{}:\" is a field, and fields stand under the heading \"{owner}\"\nMove the line there",
            key.text
        ),
        vec![],
    )
}
