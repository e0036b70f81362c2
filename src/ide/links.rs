//! Files that are named in rows and headings.

use super::Snapshot;
use crate::model::file_loader::resolve_relative;
use crate::syntax::tree::{Heading, Node};
use crate::text::{Place, Span};
use std::path::PathBuf;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    pub place: Place,
    /// Where the file would lie; whether it is there, the editor finds out.
    pub path: PathBuf,
    pub tooltip: String,
}

pub fn links(s: &Snapshot) -> Vec<Link> {
    let mut out = Vec::new();
    for (n, at) in s.tree.lines.iter().enumerate() {
        let named: Option<(&str, Span)> = match &at.line.node {
            Node::Row(r) if r.file => Some((&r.name.value, r.name.span)),
            Node::Weighed(w) if w.file => Some((&w.name.value, w.name.span)),
            Node::Heading(Heading::Batch {
                formula: Some(f), ..
            }) => Some((&f.value, f.span)),
            Node::Heading(Heading::Lot {
                of: Some(f),
                of_file: true,
                ..
            }) => Some((&f.value, f.span)),
            _ => None,
        };
        let Some((name, span)) = named.filter(|(name, _)| !name.trim().is_empty()) else {
            continue;
        };
        out.push(Link {
            place: Place {
                line: n as u32,
                span,
            },
            path: resolve_relative(&s.path, name),
            tooltip: format!("Open {name}"),
        });
    }
    out
}

/// The link under the cursor.
pub fn link_at(s: &Snapshot, line: u32, byte: u32) -> Option<Link> {
    links(s)
        .into_iter()
        .find(|l| l.place.line == line && l.place.span.contains(byte as usize))
}
