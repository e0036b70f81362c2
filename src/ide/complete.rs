//! What may be written at the cursor. Many editors write the first offer on Enter, so nothing is offered where a line may be finished:
//! behind a name, a word or an amount that is typed in full.

mod amounts;
mod at_hand;
pub mod index;
mod ingredients;
mod list;
mod slot;
mod steps;
mod vocabulary;

use super::Snapshot;
use crate::kb::card::Card;
use crate::rules::{by_code, page};
use crate::text::{Place, Span};
pub(super) use index::MAX_ITEMS;
use ingredients::Around;
pub use ingredients::escaped;
pub(super) use ingredients::is_name as is_material;
pub(super) use list::{List, listed};
use slot::Slot;
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
    /// Shown right behind the label: another name that was typed, what is replaced behind the cursor.
    pub aside: String,
    /// A few words for every row of the list.
    pub brief: String,
    pub detail: String,
    pub replace: Place,
    pub insert: String,
    /// TextMate-style, with one `${1:..}` and nothing behind it that a key could jump to. Only where nothing follows on the line.
    pub snippet: Option<String>,
    pub sort: String,
    /// What is typed of it: clients that compare it leave our order as it is, and drop the offer at the next key.
    pub filter: String,
    /// Of an ingredient its id, of a rule its code: what [`complete_card`] takes.
    pub id: Option<String>,
}

/// How the list came to be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trigger {
    /// By a key that was typed.
    Typing,
    /// By the maker. Editors say so of letters that are typed too; of a blank or a digit it is true.
    Invoked,
}

/// At most a hundred or so, best first. The list depends on what is typed: it is to be asked for again.
pub fn complete(s: &Snapshot, line: u32, byte: u32, trigger: Trigger) -> Vec<Completion> {
    let Some(slot) = slot::slot(s, line, byte) else {
        return Vec::new();
    };
    let mut found = offers(s, line, slot, trigger == Trigger::Invoked);
    finish(s, line, byte, &mut found);
    found
}

/// What all offers of a list share: what is typed of them, and what they replace behind the cursor.
pub(super) fn finish(s: &Snapshot, line: u32, byte: u32, found: &mut [Completion]) {
    let text = s.text(line);
    let at = (byte as usize).min(text.len());
    for c in found {
        let Span { start, end } = c.replace.span;
        c.filter = text.get(start as usize..at).unwrap_or_default().to_owned();
        let behind = text.get(at..end as usize).unwrap_or_default().trim();
        if !behind.is_empty() {
            c.aside
                .push_str(&format!(" (replaces \"{behind}\" behind the cursor)"));
        }
        let rest = text.get(end as usize..).unwrap_or_default().trim();
        if !rest.is_empty() && !rest.starts_with('#') {
            c.snippet = None;
        }
    }
}

fn offers(s: &Snapshot, line: u32, slot: Slot, invoked: bool) -> Vec<Completion> {
    let place = |span| Place { line, span };
    // Where nothing is typed yet, the line may well be meant to stay so.
    let list = |span, typed: &str, fill: &dyn Fn(&mut List)| {
        if typed.trim().is_empty() && !invoked {
            return Vec::new();
        }
        list::listed(line, span, typed, fill)
    };
    // Behind a word that asks for more, what may follow is offered at once.
    let open = |span, typed: &str, fill: &dyn Fn(&mut List)| list::listed(line, span, typed, fill);
    match slot {
        Slot::Keyword { span, typed } => list(span, &typed, &|l| vocabulary::keywords(s, l)),
        Slot::Edge { span, typed } => {
            if vocabulary::is_keyword(&typed) || ingredients::is_name(&s.kb, &typed) {
                return Vec::new();
            }
            let mut out = list(span, &typed, &|l| vocabulary::keywords(s, l));
            out.extend(names(s, &typed, place(span), Around::Edge, invoked));
            for (n, c) in out.iter_mut().enumerate() {
                c.sort = format!("{n:04}");
            }
            out
        }
        Slot::Name { span, typed, open } => {
            let known = |n: &str| ingredients::is_name(&s.kb, n);
            if let Some((name, amount)) = slot::known_with_amount(&typed, &known)
                && open
            {
                let at = span.end as usize;
                let amount_span = Span::new(at - amount.len(), at);
                return amounts(s, line, amount_span, amount, name, invoked);
            }
            let around = if open { Around::Open } else { Around::Name };
            names(s, &typed, place(span), around, invoked)
        }
        Slot::Amount { span, typed, name } => amounts(s, line, span, &typed, &name, invoked),
        Slot::Purpose { span, typed } => open(span, &typed, &|l| vocabulary::purposes(s, l)),
        Slot::File { span, typed } => open(span, &typed, &|l| vocabulary::files(s, l)),
        Slot::FieldKey { span, typed } => list(span, &typed, &|l| vocabulary::field_keys(s, l)),
        Slot::FieldValue { span, typed, key } => open(span, &typed, &|l| {
            vocabulary::field_values(s, &key, invoked, l)
        }),
        Slot::Verb { span, typed } => list(span, &typed, &|l| vocabulary::verbs(s, l)),
        Slot::Clause { span, typed } => steps::offer(s, line, span, &typed, invoked),
        Slot::Label { span, typed } => open(span, &typed, &|l| vocabulary::new_label(s, l)),
        Slot::Into { span, typed } => open(span, &typed, &|l| vocabulary::labels(s, Some(line), l)),
        Slot::PhaseTail {
            span,
            typed,
            premix,
        } => list(span, &typed, &|l| vocabulary::phase_tail(s, premix, l)),
        Slot::Code { span, typed } => open(span, &typed, &|l| vocabulary::codes(s, l)),
        Slot::Except { span, typed } => list(span, &typed, &|l| vocabulary::except(s, l)),
        Slot::Lot { span, typed } => open(span, &typed, &|l| vocabulary::lots(s, l)),
    }
}

/// Materials by name; none where what is typed cannot be the beginning of one.
fn names(s: &Snapshot, typed: &str, at: Place, around: Around, invoked: bool) -> Vec<Completion> {
    let name = typed.trim();
    let ended = name.ends_with([',', ':', ';', '=', '%']) || typed.contains("  ");
    if name.is_empty() && !invoked || ended {
        return Vec::new();
    }
    ingredients::offer(s, at.line, typed, at, around)
}

/// What may stand behind a name: only units behind a number and what begins like it; all of it when the maker asks.
fn amounts(
    s: &Snapshot,
    line: u32,
    span: Span,
    typed: &str,
    name: &str,
    invoked: bool,
) -> Vec<Completion> {
    let unfinished = typed.ends_with(|c: char| c.is_alphabetic());
    if !unfinished && !invoked {
        return Vec::new();
    }
    list::listed(line, span, typed, &|l| amounts::amounts(s, name, typed, l))
}

/// The card of an ingredient or the page of a rule, as Markdown.
pub fn complete_card(s: &Snapshot, id: &str) -> Option<String> {
    if let Some(known) = s.kb.by_id(id) {
        return Some(Card::of(&s.kb, known, s.markets()).markdown(&|c| s.degrees().show(c)));
    }
    by_code(id).map(page::markdown)
}
