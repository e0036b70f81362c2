//! The open documents: newest text, its tree kept in step edit by edit, and what was last said about it.

use super::analysis::AnalyzedDocument;
use super::kinds::DocumentKind;
use super::loader::Used;
use crate::model::shop::Facts;
use crate::project::Project;
use crate::syntax::{FileKind, Tree, parse};
use crate::text::{Document, Encoding, MAX_FILE_BYTES, Position};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::PathBuf;
use std::sync::Arc;
use tokio::sync::OnceCell;
use tower_lsp::gen_lsp_types::{Diagnostic, SemanticToken, TextDocumentContentChangeEvent, Uri};

/// What is known of one state of a document; worked out once, when it is first asked for.
pub type View = Arc<OnceCell<Arc<AnalyzedDocument>>>;

pub struct OpenDocument {
    /// As the client spells it.
    pub uri: Uri,
    pub path: PathBuf,
    pub kind: DocumentKind,
    pub version: i32,
    pub text: Document,
    /// None: the document is out of sight, and its text is read when somebody asks.
    tree: Option<Arc<Tree>>,
    /// What a record says, with the project that its names were looked up in; none: not worked out for this text.
    facts: Option<(Arc<Project>, Arc<Facts>)>,
    pub view: View,
    /// The other files that the last analysis was made from.
    pub used: Vec<Used>,
    pub published: PublishedDiagnostics,
    /// The last answer to a request for the tokens of the whole text.
    pub tokens: Option<AnsweredTokens>,
}

/// The id of an answer, which is the same for the same tokens, and what it told.
pub type AnsweredTokens = (String, Vec<SemanticToken>);

/// What the client was told. Diagnostics are kept as [`fingerprint`]s: thousands of documents may be open.
#[derive(Default)]
pub struct PublishedDiagnostics {
    /// How often its text has changed.
    pub changes: u32,
    /// The version that was pushed last, and what was said of it.
    pub pushed: Option<(i32, Fingerprint)>,
    /// The number of the last answer to a pull, and what it said.
    pub answered: Option<(u64, Fingerprint)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fingerprint(u64);

impl Fingerprint {
    pub fn of(diagnostics: &[Diagnostic]) -> Fingerprint {
        let mut hasher = DefaultHasher::new();
        diagnostics.hash(&mut hasher);
        Fingerprint(hasher.finish())
    }

    /// As a result id: the same for the same findings.
    pub fn id(self) -> String {
        format!("{:016x}", self.0)
    }

    /// Nothing was said.
    pub fn is_silence(self) -> bool {
        self == Fingerprint::of(&[])
    }
}

impl OpenDocument {
    pub fn new(
        uri: Uri,
        path: PathBuf,
        kind: DocumentKind,
        version: i32,
        text: &str,
    ) -> OpenDocument {
        OpenDocument {
            uri,
            path,
            kind,
            version,
            text: Document::new(text),
            tree: None,
            facts: None,
            view: View::default(),
            used: Vec::new(),
            published: PublishedDiagnostics::default(),
            tokens: None,
        }
    }

    /// A longer text is kept but not judged: no formula is that long, and the editor must not wait for it.
    pub fn too_large(&self) -> bool {
        self.text.len() as u64 > MAX_FILE_BYTES
    }

    /// Takes the edits in their order. Gives what was known of the text before.
    pub fn change(
        &mut self,
        version: i32,
        changes: &[TextDocumentContentChangeEvent],
        encoding: Encoding,
    ) -> View {
        for change in changes {
            match change {
                TextDocumentContentChangeEvent::TextDocumentContentChangePartial(part) => {
                    let place = |at: tower_lsp::gen_lsp_types::Position| {
                        Position::new(at.line, at.character)
                    };
                    let (start, end) = (place(part.range.start), place(part.range.end));
                    let touched = self.text.edit_between(start, end, encoding, &part.text);
                    match &mut self.tree {
                        Some(tree) if self.text.len() as u64 <= MAX_FILE_BYTES => {
                            let lines = self.text.lines(touched.new);
                            Arc::make_mut(tree).apply(touched.old, &lines);
                        }
                        _ => self.tree = None,
                    }
                }
                TextDocumentContentChangeEvent::TextDocumentContentChangeWholeDocument(whole) => {
                    self.text.replace(&whole.text);
                    self.tree = None;
                }
            }
        }
        self.version = version;
        self.facts = None;
        self.forget()
    }

    /// A batch or a stock file that is judged.
    pub fn is_record(&self) -> bool {
        matches!(
            self.kind,
            DocumentKind::Text(FileKind::Batch | FileKind::Stock)
        ) && !self.too_large()
    }

    /// The text as it was read; empty where it is not judged.
    pub fn tree(&mut self) -> Arc<Tree> {
        match self.kind {
            DocumentKind::Text(kind) if !self.too_large() => {
                let text = &self.text;
                let tree = self
                    .tree
                    .get_or_insert_with(|| Arc::new(parse(kind, &text.to_string())));
                tree.clone()
            }
            _ => Arc::new(parse(FileKind::Formula, "")),
        }
    }

    /// What a record says.
    pub fn facts(&mut self, project: &Arc<Project>) -> Arc<Facts> {
        if let Some((known, facts)) = &self.facts
            && Arc::ptr_eq(known, project)
        {
            return facts.clone();
        }
        let facts = Arc::new(Facts::of(&self.tree(), &self.path, &project.kb));
        self.facts = Some((project.clone(), facts.clone()));
        facts
    }

    /// What was worked out no longer holds.
    pub fn forget(&mut self) -> View {
        std::mem::take(&mut self.view)
    }

    /// Keeps no more than the text and what was said of it. Gives what was known.
    pub fn put_out_of_sight(&mut self) -> View {
        self.tree = None;
        self.facts = None;
        self.tokens = None;
        self.forget()
    }
}
