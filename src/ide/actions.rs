//! What the editor can do for the maker at some lines.

use super::Snapshot;
use crate::rules::Edit;

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
    pub preferred: bool,
    /// The code of the finding that it mends.
    pub code: Option<&'static str>,
    pub edits: Vec<Edit>,
}

/// Both lines included.
pub fn actions(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Action> {
    let mut out = Vec::new();
    for f in s.findings.iter().filter(|f| (first_line..=last_line).contains(&f.place.line)) {
        for (n, fix) in f.fixes.iter().enumerate() {
            out.push(Action {
                title: fix.title.clone(),
                kind: ActionKind::QuickFix,
                preferred: n == 0,
                code: Some(f.code),
                edits: fix.edits.clone(),
            });
        }
    }
    out
}
