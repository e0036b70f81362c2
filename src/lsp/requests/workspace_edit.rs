//! Edits of several files in the shape that the client declares.

use super::super::state::GlobalState;
use tower_lsp::gen_lsp_types::{
    DocumentChange, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit,
    TextDocumentIdentifier, TextEdit, Uri, WorkspaceEdit,
};

/// A file that is not open has no version.
pub fn changed(uri: &Uri, version: Option<i32>, edits: Vec<TextEdit>) -> DocumentChange {
    TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier {
            version,
            text_document_identifier: TextDocumentIdentifier { uri: uri.clone() },
        },
        edits: edits.into_iter().map(Into::into).collect(),
    }
    .into()
}

/// In the shape that the client declares. A file that is not open has no version.
pub fn workspace_edit(
    state: &GlobalState,
    by_file: Vec<(Uri, Option<i32>, Vec<TextEdit>)>,
) -> WorkspaceEdit {
    if state.client_capabilities().document_changes {
        let changes = by_file.into_iter();
        let changes = changes.map(|(uri, version, edits)| changed(&uri, version, edits));
        WorkspaceEdit {
            document_changes: Some(changes.collect()),
            ..WorkspaceEdit::default()
        }
    } else {
        let changes = by_file.into_iter().map(|(uri, _, edits)| (uri, edits));
        WorkspaceEdit {
            changes: Some(changes.collect()),
            ..WorkspaceEdit::default()
        }
    }
}
