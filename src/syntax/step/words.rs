//! The words of a clause, gathered for what they are about.

use crate::syntax::scan::Part;
use crate::syntax::verbs;
use crate::text::Spanned;
use smol_str::SmolStr;

/// Where the words of a clause go.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Slot {
    Objects,
    Into,
    With,
    Nowhere,
}

pub(super) struct Reader<'a> {
    pub(super) base: Part<'a>,
    pub(super) slot: Slot,
    /// First and last byte of the words that are being gathered.
    pub(super) open: Option<(usize, usize)>,
    pub(super) objects: Vec<Spanned<SmolStr>>,
    pub(super) into: Option<Spanned<SmolStr>>,
    pub(super) with: Option<Spanned<SmolStr>>,
}

impl<'a> Reader<'a> {
    pub(super) fn word(&mut self, part: Part<'a>) {
        if self.slot == Slot::Nowhere {
            return;
        }
        let start = part.at - self.base.at;
        let end = start + part.text.len();
        self.open = Some(self.open.map_or((start, end), |(from, _)| (from, end)));
    }

    /// Ends the words that are being gathered; more of the same may follow.
    pub(super) fn pause(&mut self) {
        self.close(self.slot);
    }

    /// Ends the words that are being gathered and goes on with `slot`.
    pub(super) fn close(&mut self, slot: Slot) {
        let from = std::mem::replace(&mut self.slot, slot);
        let Some((start, end)) = self.open.take() else {
            return;
        };
        let part = strip(self.base.slice(start, end));
        if part.is_empty() {
            return;
        }
        let value = Spanned::new(part.text.into(), part.span());
        match from {
            Slot::Objects => self.objects.push(value),
            Slot::Into => self.into = self.into.take().or(Some(value)),
            // `with stirring` says how, not with what.
            Slot::With if !verbs::begins(part) => self.with = self.with.take().or(Some(value)),
            _ => {}
        }
    }
}

/// Without `the`, `of`, `some` before and stops behind.
fn strip(part: Part<'_>) -> Part<'_> {
    let mut part = Part::new(part.text.trim_end_matches(['.', ';', ':']), part.at).trim();
    loop {
        let first = part.first_word();
        let skip = ["the", "of", "some", "all", "a", "remaining", "rest"].contains(&first);
        if !skip || first.len() == part.text.len() {
            return part;
        }
        part = part.from(first.len()).trim();
    }
}
