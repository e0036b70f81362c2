//! What is shown under the cursor.

use super::Snapshot;
use crate::kb::card::Card;
use crate::text::Place;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    pub place: Place,
    /// Short lists and bold; no tables.
    pub markdown: String,
}

pub fn hover(s: &Snapshot, line: u32, byte: u32) -> Option<Hover> {
    let row = &s.formula.as_ref()?.rows[s.row_on(line)?];
    let id = row.id().filter(|_| row.name.span.contains(byte as usize))?;
    Some(Hover {
        place: Place { line, span: row.name.span },
        markdown: Card::of(&s.kb, id, s.markets()).markdown(&|c| s.degrees().show(c)),
    })
}
