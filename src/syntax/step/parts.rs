//! Where a step is parted into clauses.

use crate::syntax::scan::{self, Part, same};
use crate::syntax::verbs;

/// Parts the step at commas and semicolons, at `then`, and at `and` or `while` before a verb. A comma between two digits is
/// a decimal mark or part of a name, one inside brackets or quotes parts nothing, and so does one in a list of phases
/// (`heat A, B and C`).
pub(super) fn parts(line: Part<'_>) -> Vec<Part<'_>> {
    let mut out = Vec::with_capacity(3);
    let text = line.text;
    let bytes = text.as_bytes();
    let mut start = 0;
    let mut depth = 0usize;
    let mut quoted = false;
    let mut push = |from: usize, to: usize| {
        let part = line.slice(from, to).trim();
        if !part.is_empty() {
            out.push(part);
        }
    };
    let mut at = 0;
    while at < bytes.len() {
        match bytes[at] {
            b'(' | b'[' => depth += 1,
            b')' | b']' => depth = depth.saturating_sub(1),
            b'"' => quoted = !quoted,
            b',' | b';' if depth == 0 && !quoted => {
                let digits = at > 0
                    && bytes[at - 1].is_ascii_digit()
                    && bytes.get(at + 1).is_some_and(u8::is_ascii_digit);
                let listed = bytes[at] == b','
                    && is_label(last_word(&text[start..at]))
                    && is_list_word(line.from(at + 1).first_word());
                if !digits && !listed {
                    push(start, at);
                    start = at + 1;
                }
            }
            b' ' | b'\t' if depth == 0 && !quoted => {
                if let Some((from, to)) = joint(line, start, at) {
                    push(start, from);
                    start = to;
                    at = to;
                    continue;
                }
            }
            _ => {}
        }
        at += 1;
    }
    push(start, text.len());
    out
}

fn last_word(text: &str) -> &str {
    text.rsplit(scan::is_blank).next().unwrap_or("")
}

/// `and then`, `then`, and `and`/`while` before a verb: from where to where the joint runs.
fn joint(line: Part<'_>, start: usize, at: usize) -> Option<(usize, usize)> {
    if line.slice(start, at).trim().is_empty() {
        return None;
    }
    let rest = line.from(at);
    let mut words = rest.words();
    let (first_at, first) = words.next()?;
    let after_first = at + first_at + first.len();
    if same(first, "then") {
        return Some((at, after_first));
    }
    if same(first, "and") || same(first, "while") {
        let (second_at, second) = words.next()?;
        if same(second, "then") {
            return Some((at, at + second_at + second.len()));
        }
        if verbs::begins(line.from(after_first)) {
            return Some((at, after_first));
        }
    }
    None
}

/// `A`, `B2`, `A1.`
pub(super) fn is_label(word: &str) -> bool {
    let word = word.trim_end_matches(['.', ',']);
    let mut chars = word.chars();
    chars.next().is_some_and(|c| c.is_ascii_uppercase())
        && chars.clone().count() <= 3
        && chars.all(|c| c.is_ascii_digit() || c.is_ascii_uppercase())
}

fn is_list_word(word: &str) -> bool {
    is_label(word) || same(word, "phase")
}
