//! What can be folded away: sections, and runs of comments.

use super::Snapshot;
use crate::syntax::tree::Node;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoldKind {
    Section,
    Comment,
}

/// Lines that fold into the first; both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fold {
    pub first_line: u32,
    pub last_line: u32,
    pub kind: FoldKind,
}

pub fn folds(s: &Snapshot) -> Vec<Fold> {
    let mut out = Vec::new();
    for section in &s.tree.sections {
        let Some(first_line) = section.heading.filter(|h| *h == section.first) else {
            continue;
        };
        // Blank lines before the next heading stay visible.
        let last_line = last_written(s, section.first, section.end);
        if last_line > first_line {
            out.push(Fold {
                first_line,
                last_line,
                kind: FoldKind::Section,
            });
        }
    }
    out.extend(comments(s));
    out.sort_by_key(|f| (f.first_line, f.last_line));
    out
}

/// The last line of a run that holds anything.
pub(super) fn last_written(s: &Snapshot, first: u32, end: u32) -> u32 {
    (first..end)
        .rev()
        .find(|n| !matches!(s.line(*n).map(|l| &l.node), Some(Node::Blank) | None))
        .unwrap_or(first)
}

fn comments(s: &Snapshot) -> Vec<Fold> {
    let mut out = Vec::new();
    let mut run: Option<u32> = None;
    for n in 0..=s.tree.lines.len() as u32 {
        let comment = matches!(s.line(n).map(|l| &l.node), Some(Node::Comment));
        match (run, comment) {
            (None, true) => run = Some(n),
            (Some(first), false) => {
                if n - first > 1 {
                    out.push(Fold {
                        first_line: first,
                        last_line: n - 1,
                        kind: FoldKind::Comment,
                    });
                }
                run = None;
            }
            _ => {}
        }
    }
    out
}
