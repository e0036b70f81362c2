//! Corrections: `, was OLD (reason)` behind a figure or a lot of a record. The first value counts; the old one is shown.

use super::scan::{Part, is_blank, same};
use super::tree::{Correction, SectionKind};
use crate::text::{Span, Spanned};

/// The corrections of a line, and the line with blanks in their place, so that every other part keeps its bytes.
/// The text is None where there are none.
pub fn cut_out(section: SectionKind, line: Part<'_>) -> (Option<String>, Vec<Correction>) {
    let keeps_old_values = matches!(
        section,
        SectionKind::Weighed
            | SectionKind::Log
            | SectionKind::Observations
            | SectionKind::Packed
            | SectionKind::Ledger
    );
    let mut found = Vec::new();
    if !keeps_old_values || !line.text.contains("was") {
        return (None, found);
    }
    let mut text = line.text.to_owned();
    let mut from = 0;
    while let Some(comma) = line.text[from..].find(',').map(|at| from + at) {
        from = comma + 1;
        let Some(correction) = correction_at(line, comma) else {
            continue;
        };
        let start = correction.span.start as usize - line.at;
        let end = correction.span.end as usize - line.at;
        text.replace_range(start..end, &" ".repeat(end - start));
        from = end;
        found.push(correction);
    }
    (Some(text).filter(|_| !found.is_empty()), found)
}

/// The correction that begins at this comma.
fn correction_at(line: Part<'_>, comma: usize) -> Option<Correction> {
    let after = line.from(comma + 1);
    let was = after.trim();
    let word = was.first_word();
    if !same(word, "was") {
        return None;
    }
    let old = was.from(word.len());
    // The old value ends before a bracket, a comma, `of` or `lot`.
    let stop = old.text.find(['(', ',']).unwrap_or(old.text.len()).min(
        old.words()
            .find(|(_, w)| same(w, "of") || same(w, "lot"))
            .map_or(old.text.len(), |(at, _)| at),
    );
    let value = old.to(stop).trim();
    if value.is_empty() {
        return None;
    }
    let rest = old.from(stop);
    let (reason, end) = match rest.text.strip_prefix('(') {
        Some(_) => {
            let close = rest.text.find(')').unwrap_or(rest.text.len());
            let end = (close + 1).min(rest.text.len());
            (rest.slice(1, close).trim(), rest.at + end)
        }
        None => (rest.to(0), value.at + value.text.len()),
    };
    Some(Correction {
        old: spanned(value),
        reason: spanned(reason),
        span: Span::new(line.at + comma, end),
    })
}

fn spanned(part: Part<'_>) -> Spanned<String> {
    Spanned::new(part.text.trim_matches(is_blank).to_owned(), part.span())
}
