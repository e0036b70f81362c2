//! What may be written at the cursor.

use super::Snapshot;
use crate::kb::card::Card;
use crate::rules::{by_code, page};
use crate::text::Place;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompletionKind {
    Ingredient,
    Field,
    Value,
    Verb,
    Phase,
    Unit,
    Code,
    File,
    Heading,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Completion {
    pub label: String,
    pub kind: CompletionKind,
    pub detail: String,
    pub replace: Place,
    pub insert: String,
    /// TextMate-style, with `${1:..}`.
    pub snippet: Option<String>,
    pub sort: String,
    pub filter: String,
    /// Of an ingredient its id, of a rule its code: what [`complete_card`] takes.
    pub id: Option<String>,
}

pub fn complete(s: &Snapshot, line: u32, byte: u32) -> Vec<Completion> {
    let _ = (s, line, byte);
    Vec::new()
}

/// The card of an ingredient or the page of a rule, as Markdown.
pub fn complete_card(s: &Snapshot, id: &str) -> Option<String> {
    if let Some(known) = s.kb.by_id(id) {
        return Some(Card::of(&s.kb, known, s.markets()).markdown(&|c| s.degrees().show(c)));
    }
    by_code(id).map(page::markdown)
}
