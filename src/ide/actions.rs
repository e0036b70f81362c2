//! What the editor can do for the maker at some lines: mend a finding, except it, write the formula in another way.

mod describe;
mod exceptions;
mod moves;
mod rewrites;

use super::{Snapshot, words::count};
use crate::rules::{Edit, Finding, Fix};
use crate::syntax::Tree;
use crate::text::Place;
pub use describe::{NewFile, new_files};
pub use rewrites::{Rewrite, rewritten};
use std::collections::{BTreeMap, HashSet};

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
    /// The code of the finding that it is about.
    pub code: Option<&'static str>,
    /// Where that finding stands, if it is gone once the action is applied.
    pub mends: Option<Place>,
    pub edits: Vec<Edit>,
}

impl Action {
    fn rewrite(title: impl Into<String>, edits: Vec<Edit>) -> Action {
        Action {
            title: title.into(),
            kind: ActionKind::Rewrite,
            preferred: false,
            code: None,
            mends: None,
            edits,
        }
    }
}

/// What can be done about some lines, both ends included.
pub fn actions(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Action> {
    let lines = first_line..=last_line;
    let here: Vec<&Finding> = s
        .findings()
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
    let titles: HashSet<&str> = out.iter().map(|a| a.title.as_str()).collect();
    let edits: HashSet<&[Edit]> = out.iter().map(|a| a.edits.as_slice()).collect();
    rewrites.retain(|r| !titles.contains(r.title.as_str()) && !edits.contains(r.edits.as_slice()));
    for r in &mut rewrites {
        r.title = rewrite_title(&r.title);
    }
    out.extend(rewrites);
    out.extend(here.iter().filter_map(|f| exceptions::write_down(s, f)));
    let mut seen: HashSet<(String, Vec<Edit>)> = HashSet::new();
    out.retain(|a| seen.insert((a.title.clone(), a.edits.clone())));
    for edit in out.iter_mut().flat_map(|a| &mut a.edits) {
        edit.break_lines_as(s.tree.line_break);
    }
    out
}

/// Clients that sort by letters show fixes first, then rewrites, then exceptions: all fixes begin with letters before these.
fn rewrite_title(what: &str) -> String {
    let mut letters = what.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string());
    [
        "Rewrite: ",
        first.as_deref().unwrap_or_default(),
        letters.as_str(),
    ]
    .concat()
}

/// Lines put behind the end of a file that ends in no line break begin with one.
pub(crate) fn settled(tree: &Tree, e: &Edit) -> Edit {
    let count = tree.lines.len() as u32;
    if e.start != e.end || e.start.0 < count || count == 0 {
        return e.clone();
    }
    let last = count - 1;
    let end = tree.lines[last as usize].line.text.len() as u32;
    Edit {
        start: (last, end),
        end: (last, end),
        text: format!("\n{}", e.text.trim_end_matches('\n')),
    }
}

fn mend(s: &Snapshot, f: &Finding, fix: &Fix, first: bool) -> Action {
    let edits = fix.edits.iter().map(|e| settled(&s.tree, e)).collect();
    Action {
        title: fix.title.clone(),
        kind: ActionKind::QuickFix,
        preferred: first,
        code: Some(f.code),
        mends: Some(f.place),
        edits,
    }
}

/// The edits of every fix that changes nothing the maker meant, one for each finding, none touching another's place; and how
/// many findings they mend.
pub fn safe_edits(tree: &Tree, findings: &[Finding]) -> (usize, Vec<Edit>) {
    let mut edits: Vec<Edit> = Vec::new();
    let mut taken = Taken::default();
    let mut mended = 0;
    for fix in findings
        .iter()
        .filter_map(|f| f.fixes.iter().find(|x| x.safe))
    {
        if fix.edits.iter().all(|e| taken.leaves_free(e)) {
            fix.edits.iter().for_each(|e| taken.take(e));
            edits.extend(fix.edits.iter().map(|e| settled(tree, e)));
            mended += 1;
        }
    }
    (mended, edits)
}

/// What is safe in the whole file, as one action.
pub fn fix_all(s: &Snapshot) -> Option<Action> {
    let (mended, edits) = safe_edits(&s.tree, s.findings());
    (mended > 0).then(|| Action {
        title: format!(
            "Repair what is safe to repair in the whole file ({})",
            count(mended, "place")
        ),
        kind: ActionKind::FixAll,
        preferred: false,
        code: None,
        mends: None,
        edits,
    })
}

/// Places that are edited already: where each begins and ends.
#[derive(Default)]
struct Taken(BTreeMap<(u32, u32), (u32, u32)>);

impl Taken {
    /// Edits may touch where one ends and the other begins; two that begin at one place have no order.
    fn leaves_free(&self, e: &Edit) -> bool {
        let before = self.0.range(..=e.start).next_back();
        let after = self.0.range(e.start..).find(|(start, _)| **start > e.start);
        before.is_none_or(|(start, end)| *start != e.start && *end <= e.start)
            && after.is_none_or(|(start, _)| e.end <= *start)
    }

    fn take(&mut self, e: &Edit) {
        self.0.insert(e.start, e.end);
    }
}
