//! The open documents: newest text, its tree kept in step edit by edit, and what was last said about it.

use super::diagnose::AnalyzedDocument;
use super::kinds::Kind;
use super::loader::Used;
use super::protocol::{Diagnostic, TextChange};
use super::workspace::Project;
use crate::model::shop::Facts;
use crate::syntax::{FileKind, Tree, parse};
use crate::text::{Document, Encoding, MAX_FILE_BYTES, Position};
use std::path::PathBuf;
use std::sync::Arc;
use tokio::sync::OnceCell;

pub struct OpenDocument {
    /// As the client spells it.
    pub uri: String,
    pub path: PathBuf,
    pub kind: Kind,
    pub version: i32,
    pub text: Document,
    pub tree: Arc<Tree>,
    /// What a record says, with the project that its names were looked up in; none: not worked out for this text.
    facts: Option<(Arc<Project>, Arc<Facts>)>,
    /// What is known of this state; worked out once, by whoever asks first.
    pub view: Arc<OnceCell<Arc<AnalyzedDocument>>>,
    pub told: PublishedDiagnostics,
}

/// What the client was told.
#[derive(Default)]
pub struct PublishedDiagnostics {
    /// How often its text has changed.
    pub changes: u32,
    /// The version that was pushed last, with its diagnostics.
    pub pushed: Option<(i32, Vec<Diagnostic>)>,
    /// The last answer to a pull, and its number.
    pub answered: Option<(u64, Arc<Vec<Diagnostic>>)>,
}

impl OpenDocument {
    pub fn new(uri: String, path: PathBuf, kind: Kind, version: i32, text: &str) -> OpenDocument {
        let mut open = OpenDocument {
            uri,
            path,
            kind,
            version,
            text: Document::new(text),
            tree: Arc::new(empty()),
            facts: None,
            view: Arc::default(),
            told: PublishedDiagnostics::default(),
        };
        open.read_again();
        open
    }

    /// A longer text is kept but not judged: no formula is that long, and the editor must not wait for it.
    pub fn too_large(&self) -> bool {
        self.text.len() as u64 > MAX_FILE_BYTES
    }

    /// Takes the edits in their order. Gives what was known of the text before.
    pub fn change(
        &mut self,
        version: Option<i32>,
        changes: &[TextChange],
        encoding: Encoding,
    ) -> Arc<OnceCell<Arc<AnalyzedDocument>>> {
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
        self.facts = None;
        self.forget()
    }

    /// A batch or a stock file that is judged.
    pub fn is_record(&self) -> bool {
        matches!(self.kind, Kind::Text(FileKind::Batch | FileKind::Stock)) && !self.too_large()
    }

    /// What a record says.
    pub fn facts(&mut self, project: &Arc<Project>) -> Arc<Facts> {
        if let Some((known, facts)) = &self.facts
            && Arc::ptr_eq(known, project)
        {
            return facts.clone();
        }
        let facts = Arc::new(Facts::of(&self.tree, &self.path, &project.kb));
        self.facts = Some((project.clone(), facts.clone()));
        facts
    }

    /// What was worked out no longer holds.
    pub fn forget(&mut self) -> Arc<OnceCell<Arc<AnalyzedDocument>>> {
        std::mem::take(&mut self.view)
    }

    /// The other files that what is known was worked out from.
    pub fn used(&self) -> &[Used] {
        self.view.get().map_or(&[], |view| &view.used)
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
