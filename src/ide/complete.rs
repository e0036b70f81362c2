//! What may be written at the cursor.

pub mod index;
mod ingredients;
mod slot;
mod vocabulary;

use super::Snapshot;
use crate::kb::card::Card;
use crate::rules::{by_code, page};
use crate::text::Place;
use ingredients::Around;
use slot::Slot;
use vocabulary::List;
pub(super) use vocabulary::next_label;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompletionKind {
    Heading,
    Ingredient,
    Field,
    Value,
    Verb,
    Phase,
    Unit,
    Code,
    File,
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

/// At most a hundred or so, best first. The list depends on what is typed: it is to be asked for again.
pub fn complete(s: &Snapshot, line: u32, byte: u32) -> Vec<Completion> {
    let Some(slot) = slot::slot(s, line, byte) else {
        return Vec::new();
    };
    let place = |span| Place { line, span };
    let list = |span, typed: &str, fill: &dyn Fn(&mut List)| {
        let mut list = List::new(line, span, typed);
        fill(&mut list);
        list.out
    };
    match slot {
        Slot::Keyword { span, typed } => list(span, &typed, &|l| vocabulary::keywords(s, l)),
        Slot::Edge { span, typed } => {
            let mut out = list(span, &typed, &|l| vocabulary::keywords(s, l));
            let headings = out.len();
            out.extend(ingredients::offer(
                s,
                line,
                &typed,
                place(span),
                Around::Edge,
            ));
            for (n, c) in out.iter_mut().enumerate().skip(headings) {
                c.sort = format!("{n:04}");
            }
            out
        }
        Slot::Name { span, typed, open } => ingredients::offer(
            s,
            line,
            &typed,
            place(span),
            if open { Around::Open } else { Around::Name },
        ),
        Slot::Amount { span, typed, name } => {
            // Units are filtered by themselves, behind the number.
            list(span, &typed, &|l| vocabulary::amounts(s, &name, &typed, l))
        }
        Slot::Purpose { span, typed } => list(span, &typed, &|l| vocabulary::purposes(s, l)),
        Slot::File { span, typed } => list(span, &typed, &|l| vocabulary::files(s, l)),
        Slot::FieldKey { span, typed } => list(span, &typed, &|l| vocabulary::field_keys(s, l)),
        Slot::FieldValue { span, typed, key } => {
            list(span, &typed, &|l| vocabulary::field_values(s, &key, l))
        }
        Slot::Verb { span, typed } => list(span, &typed, &|l| vocabulary::verbs(s, l)),
        Slot::Object { span, typed, after } => {
            list(span, &typed, &|l| vocabulary::objects(s, &after, l))
        }
        Slot::Label { span, typed } => list(span, &typed, &|l| vocabulary::new_label(s, l)),
        Slot::PhaseTail {
            span,
            typed,
            into: true,
            ..
        } => list(span, &typed, &|l| vocabulary::labels(s, Some(line), l)),
        Slot::PhaseTail {
            span,
            typed,
            premix,
            into: false,
        } => list(span, &typed, &|l| vocabulary::phase_tail(s, premix, l)),
        Slot::Code { span, typed } => list(span, &typed, &|l| vocabulary::codes(s, l)),
        Slot::Except { span, typed } => list(span, &typed, &vocabulary::except),
        Slot::Lot { span, typed } => list(span, &typed, &|l| vocabulary::lots(s, l)),
    }
}

/// The card of an ingredient or the page of a rule, as Markdown.
pub fn complete_card(s: &Snapshot, id: &str) -> Option<String> {
    if let Some(known) = s.kb.by_id(id) {
        return Some(Card::of(&s.kb, known, s.markets()).markdown(&|c| s.degrees().show(c)));
    }
    by_code(id).map(page::markdown)
}
