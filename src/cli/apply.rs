//! Edits put into the text of a file, and the difference that they make.

use crate::rules::Edit;
use crate::syntax::Tree;
use similar::TextDiff;

/// The text of a tree with edits in it. None of them touches another's place.
pub fn apply(tree: &Tree, text: &str, edits: &[Edit]) -> String {
    let offset = |(line, byte): (u32, u32)| {
        tree.lines.get(line as usize).map_or(text.len(), |at| {
            at.start + (byte as usize).min(at.line.text.len())
        })
    };
    let mut edits: Vec<Edit> = edits.to_vec();
    edits.sort_by_key(|e| (e.start, e.end));
    let mut out = text.to_owned();
    for edit in edits.iter_mut().rev() {
        edit.break_lines_as(tree.line_break);
        out.replace_range(offset(edit.start)..offset(edit.end), &edit.text);
    }
    out
}

/// The difference as `patch` and `git apply` read it; empty where there is none.
pub fn diff(path: &str, old: &str, new: &str) -> String {
    if old == new {
        return String::new();
    }
    TextDiff::from_lines(old, new)
        .unified_diff()
        .header(&format!("a/{path}"), &format!("b/{path}"))
        .to_string()
}
