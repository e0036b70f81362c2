//! What the editor can do for the maker at some lines: mend a finding, except it, write the formula in another way.

mod exceptions;
mod moves;
mod rewrites;

use super::{Snapshot, words::count};
use crate::rules::{Edit, Finding, Fix};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActionKind {
    /// Mends a finding.
    QuickFix,
    /// Writes the same, or the maker's intent, in another way.
    Rewrite,
    FixAll,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Action {
    pub title: String,
    pub kind: ActionKind,
    /// The one to offer first for its finding.
    pub preferred: bool,
    /// The code of the finding that it mends.
    pub code: Option<&'static str>,
    pub edits: Vec<Edit>,
}

impl Action {
    fn rewrite(title: impl Into<String>, edits: Vec<Edit>) -> Action {
        Action {
            title: title.into(),
            kind: ActionKind::Rewrite,
            preferred: false,
            code: None,
            edits,
        }
    }
}

/// What can be done about some lines, both ends included.
pub fn actions(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Action> {
    let lines = first_line..=last_line;
    let here: Vec<&Finding> = s
        .findings
        .iter()
        .filter(|f| lines.contains(&f.place.line))
        .collect();
    let mut out = Vec::new();
    for f in &here {
        out.extend(
            f.fixes
                .iter()
                .enumerate()
                .map(|(n, fix)| mend(s, f, fix, n == 0)),
        );
    }
    out.extend(fix_all(s));
    let mut rewrites = rewrites::offer(s, first_line, last_line);
    rewrites.extend(moves::offer(s, first_line, last_line));
    // What a finding's fix does already is not offered twice.
    rewrites.retain(|r| {
        !out.iter()
            .any(|a: &Action| a.title == r.title || a.edits == r.edits)
    });
    out.extend(rewrites);
    out.extend(here.iter().filter_map(|f| exceptions::write_down(s, f)));
    let mut seen: Vec<(String, Vec<Edit>)> = Vec::new();
    out.retain(|a| {
        let new = !seen.iter().any(|(t, e)| *t == a.title && *e == a.edits);
        if new {
            seen.push((a.title.clone(), a.edits.clone()));
        }
        new
    });
    out
}

/// Lines put behind the end of a file that ends in no line break begin with one.
pub(crate) fn settled(s: &Snapshot, e: &Edit) -> Edit {
    let count = s.tree.lines.len() as u32;
    if e.start != e.end || e.start.0 < count || count == 0 {
        return e.clone();
    }
    let last = count - 1;
    let end = s.text(last).len() as u32;
    Edit {
        start: (last, end),
        end: (last, end),
        text: format!("\n{}", e.text.trim_end_matches('\n')),
    }
}

fn mend(s: &Snapshot, f: &Finding, fix: &Fix, first: bool) -> Action {
    let edits = fix.edits.iter().map(|e| settled(s, e)).collect();
    Action {
        title: fix.title.clone(),
        kind: ActionKind::QuickFix,
        preferred: first,
        code: Some(f.code),
        edits,
    }
}

/// Every fix of the file that changes nothing the maker meant, one for each finding, none touching another's place.
pub fn fix_all(s: &Snapshot) -> Option<Action> {
    let mut edits: Vec<Edit> = Vec::new();
    let mut mended = 0;
    for fix in s
        .findings
        .iter()
        .filter_map(|f| f.fixes.iter().find(|x| x.safe))
    {
        let free = fix.edits.iter().all(|e| edits.iter().all(|o| apart(e, o)));
        if free {
            edits.extend(fix.edits.iter().map(|e| settled(s, e)));
            mended += 1;
        }
    }
    (mended > 0).then(|| Action {
        title: format!(
            "Mend what is safe to mend in the whole file ({})",
            count(mended, "place")
        ),
        kind: ActionKind::FixAll,
        preferred: false,
        code: None,
        edits,
    })
}

fn apart(a: &Edit, b: &Edit) -> bool {
    a.end < b.start
        || b.end < a.start
        || (a.end == b.start || b.end == a.start) && a.start != b.start
}
