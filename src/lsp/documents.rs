//! The open documents: newest text, its tree kept in step edit by edit, and what was last said about it.

use super::diagnose::View;
use super::kinds::Kind;
use super::protocol::{Diagnostic, TextChange};
use crate::syntax::tree::Node;
use crate::syntax::{FileKind, Tree, parse};
use crate::text::{Document, Encoding, Position};
use std::path::PathBuf;
use std::sync::Arc;
use tokio::sync::OnceCell;

/// A longer text is kept but not judged: no formula is that long, and the editor must not wait for it.
pub const LARGEST: usize = 4 << 20;

pub struct Open {
    /// As the client spells it.
    pub uri: String,
    pub path: PathBuf,
    pub kind: Kind,
    pub version: i32,
    pub text: Document,
    pub tree: Arc<Tree>,
    /// What is known of this state; worked out once, by whoever asks first.
    pub view: Arc<OnceCell<Arc<View>>>,
    pub told: Told,
}

/// What the client was told.
#[derive(Default)]
pub struct Told {
    pub pushed: Option<Vec<Diagnostic>>,
    /// The client asks for this document's diagnostics itself: pushing them too would show them twice.
    pub pulls: bool,
    /// The last answer to a pull, and its number.
    pub answered: Option<(u64, Arc<Vec<Diagnostic>>)>,
}

impl Open {
    pub fn new(uri: String, path: PathBuf, kind: Kind, version: i32, text: &str) -> Open {
        let mut open = Open {
            uri,
            path,
            kind,
            version,
            text: Document::new(text),
            tree: Arc::new(empty()),
            view: Arc::default(),
            told: Told::default(),
        };
        open.read_again();
        open
    }

    pub fn too_large(&self) -> bool {
        self.text.len() > LARGEST
    }

    /// Takes the edits in their order. Gives what was known of the text before.
    pub fn change(
        &mut self,
        version: Option<i32>,
        changes: &[TextChange],
        encoding: Encoding,
    ) -> Arc<OnceCell<Arc<View>>> {
        for change in changes {
            let readable = self.readable();
            match change.range {
                Some(range) => {
                    let (start, end) = (
                        Position::new(range.start.line, range.start.character),
                        Position::new(range.end.line, range.end.character),
                    );
                    let touched = self.text.edit_between(start, end, encoding, &change.text);
                    if readable && self.readable() {
                        let lines = self.text.lines(touched.new);
                        Arc::make_mut(&mut self.tree).apply(touched.old, &lines);
                    } else {
                        self.read_again();
                    }
                }
                None => {
                    self.text.replace(&change.text);
                    self.read_again();
                }
            }
        }
        self.version = version.unwrap_or(self.version + 1);
        self.forget()
    }

    /// What was worked out no longer holds.
    pub fn forget(&mut self) -> Arc<OnceCell<Arc<View>>> {
        std::mem::take(&mut self.view)
    }

    /// Takes other files as ingredients, so that a change in those matters here.
    pub fn takes_files(&self) -> bool {
        self.tree
            .lines
            .iter()
            .any(|at| matches!(&at.line.node, Node::Row(r) if r.file))
    }

    fn readable(&self) -> bool {
        matches!(self.kind, Kind::Text(_)) && !self.too_large()
    }

    fn read_again(&mut self) {
        self.tree = Arc::new(match self.kind {
            Kind::Text(kind) if !self.too_large() => parse(kind, &self.text.to_string()),
            _ => empty(),
        });
    }
}

fn empty() -> Tree {
    parse(FileKind::Formula, "")
}
