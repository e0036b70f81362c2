//! Another code for a lot or a batch, as long as nothing on paper carries the old one.

use super::RecordView;
pub use super::code::CodePlace;
use super::code::{Texts, code_at};
use crate::model::record::{DecisionKind, Record, decided};
use crate::model::shop::fold;
use crate::text::Span;
use std::collections::BTreeSet;
use std::path::Path;

/// What can be renamed at the cursor. None: no code stands there. The error says why it keeps its code.
pub fn prepare(view: &RecordView, line: u32, byte: u32) -> Option<Result<Span, String>> {
    let (code, span) = code_at(view, line, byte)?;
    Some(match kept_by(view, &code) {
        Some(why) => Err(why),
        None => Ok(span),
    })
}

/// Every place of the code. The error says why it cannot have the new one.
pub fn rename(
    view: &RecordView,
    line: u32,
    byte: u32,
    new: &str,
) -> Option<Result<Vec<CodePlace>, String>> {
    let (code, _) = code_at(view, line, byte)?;
    if let Some(why) = kept_by(view, &code) {
        return Some(Err(why));
    }
    let is_code = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/');
    if new.is_empty() || !new.chars().all(is_code) {
        let why =
            format!("\"{new}\" is no code. Letters, digits and hyphens make one, such as GLY-07.");
        return Some(Err(why));
    }
    let is_new = fold(new) != fold(&code);
    if is_new && (view.shop.lot(new).is_some() || view.shop.batch(new).is_some()) {
        return Some(Err(format!(
            "The code {new} is used already. Take one that is free."
        )));
    }
    Some(Ok(Texts::new(view.loader).places(view.shop, &code)))
}

/// Why a code stays: jars, papers and drums carry it.
fn kept_by(view: &RecordView, code: &str) -> Option<String> {
    let shop = view.shop;
    let all: BTreeSet<(&Path, u32)> = shop
        .batches_of_code(code)
        .chain(shop.uses(code).map(|(record, _)| record))
        .map(|r| (r.path.as_path(), r.line))
        .collect();
    let records = all
        .iter()
        .filter_map(|(path, line)| shop.facts(path)?.records.iter().find(|r| r.line == *line));
    let states: Vec<&str> = records.filter_map(|r| state(view, r)).collect();
    let first = *states.first()?;
    let state = match states.iter().all(|s| *s == first) {
        true => first,
        false => "sealed, released or sold",
    };
    if shop.batch(code).is_some() {
        return Some(format!(
            "{code} is {state}; the code on paper stays. Begin a new batch, or correct one line."
        ));
    }
    let (batches, are) = match states.len() {
        1 => ("1 batch".to_owned(), "is"),
        n => (format!("{n} batches"), "are"),
    };
    Some(format!(
        "{code} is on {batches} that {are} {state}; the code on paper stays. Write a new lot, or correct one line."
    ))
}

/// Sealed, released or sold.
fn state(view: &RecordView, record: &Record) -> Option<&'static str> {
    let released = record
        .decisions
        .iter()
        .any(|d| d.kind == DecisionKind::Released);
    if released && decided(&record.decisions, None).is_some() {
        Some("released")
    } else if record.sealed.is_some() {
        Some("sealed")
    } else if view.shop.jars(record, None).sold > 0 {
        Some("sold")
    } else {
        None
    }
}
