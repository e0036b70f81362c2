//! Places in other files as positions: by the text of the editor where a file is open, else as it is saved.

use super::super::convert::Converter;
use super::super::loader::OpenTexts;
use super::super::state::GlobalState;
use super::workspace_edit::workspace_edit;
use crate::text::{Document, Place, read_file};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use tower_lsp::gen_lsp_types::{Location, Range, TextEdit, Uri, WorkspaceEdit};

pub struct Locations<'a> {
    state: &'a GlobalState,
    texts: HashMap<PathBuf, Option<Document>>,
}

impl<'a> Locations<'a> {
    pub fn new(state: &'a GlobalState) -> Locations<'a> {
        Locations {
            state,
            texts: HashMap::new(),
        }
    }

    fn text(&mut self, path: &Path) -> Option<&Document> {
        let state = self.state;
        let read = || {
            let text = state.text(path).or_else(|| read_file(path).ok());
            text.map(|t| Document::new(&t))
        };
        if !self.texts.contains_key(path) {
            self.texts.insert(path.to_owned(), read());
        }
        self.texts.get(path)?.as_ref()
    }

    pub fn range(&mut self, path: &Path, place: Place) -> Option<Range> {
        let encoding = self.state.client_capabilities().encoding;
        let text = self.text(path)?;
        let to = Converter {
            text,
            encoding,
            tree: None,
        };
        Some(to.range(place))
    }

    pub fn location(&mut self, path: &Path, place: Place) -> Option<Location> {
        Some(Location {
            range: self.range(path, place)?,
            uri: self.state.uri_of(path)?,
        })
    }

    /// New texts for places of several files, in the shape that the client declares. None where a file is gone.
    pub fn edit(&mut self, edits: Vec<(PathBuf, Place, String)>) -> Option<WorkspaceEdit> {
        let mut by_file: Vec<(Uri, Option<i32>, Vec<TextEdit>)> = Vec::new();
        for (path, place, new_text) in edits {
            let range = self.range(&path, place)?;
            let uri = self.state.uri_of(&path)?;
            let edit = TextEdit { range, new_text };
            match by_file.iter_mut().find(|(u, ..)| *u == uri) {
                Some((_, _, all)) => all.push(edit),
                None => {
                    let version = self.state.version_of(&path);
                    by_file.push((uri, version, vec![edit]));
                }
            }
        }
        Some(workspace_edit(self.state, by_file))
    }
}
