//! What the client tells: documents that are opened, edited and closed, files and folders that change. Each is taken in before the first
//! await, so that edits are applied in the order in which they were sent.

use super::convert::path_of;
use super::diagnostics;
use super::state::{Server, key};
use std::path::PathBuf;
use tower_lsp::gen_lsp_types::{
    DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidChangeWorkspaceFoldersParams,
    DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
    WorkspaceFolder,
};

/// A client that is held for one that pulls, and has not asked by this many changes, is pushed to.
const UNASKED_CHANGES: u32 = 3;

pub async fn did_open(server: &Server, p: DidOpenTextDocumentParams) {
    let d = p.text_document;
    let language = String::from(d.language_id);
    server
        .state
        .open(d.uri.clone(), &language, d.version, &d.text);
    server.state.file_changed(&d.uri);
    server.state.check_soon(&d.uri);
    server.state.workspace_changed();
}

pub async fn did_change(server: &Server, p: DidChangeTextDocumentParams) {
    let uri = p.text_document.text_document_identifier.uri;
    {
        let mut state = server.state.lock();
        let Some(open) = state.documents.get_mut(&key(&uri)) else {
            return;
        };
        let encoding = server.state.client_capabilities().encoding;
        let before = open.change(p.text_document.version, &p.content_changes, encoding);
        open.published.changes += 1;
        let asks_for_nothing = open.published.changes >= UNASKED_CHANGES;
        state.outdated.push(before);
        if asks_for_nothing && state.pulls && !state.has_pulled {
            state.push_from_now_on();
        }
    }
    server.state.file_changed(&uri);
    server.state.check_soon(&uri);
}

pub async fn did_save(server: &Server, p: DidSaveTextDocumentParams) {
    server.state.look_at_disk();
    server.state.file_changed(&p.text_document.uri);
    server.state.workspace_changed();
}

pub async fn did_close(server: &Server, p: DidCloseTextDocumentParams) {
    let uri = p.text_document.uri;
    let closed = server.state.lock().documents.remove(&key(&uri));
    let Some(mut open) = closed else { return };
    diagnostics::withdraw(&server.state, &mut open, None);
    server.state.lock().close_workshops();
    server.state.file_changed(&uri);
    server.state.workspace_changed();
}

pub async fn did_change_watched_files(server: &Server, p: DidChangeWatchedFilesParams) {
    server.state.look_at_disk();
    // A file may be written twice within what its date can tell apart.
    for change in &p.changes {
        server.state.file_changed(&change.uri);
    }
    server.state.workspace_changed();
}

/// Which folders are open changes nothing of what is found in a document; it changes what is asked of all files.
pub async fn did_change_workspace_folders(server: &Server, p: DidChangeWorkspaceFoldersParams) {
    let paths = |all: Vec<WorkspaceFolder>| all.into_iter().filter_map(|f| path_of(&f.uri.0));
    {
        let mut state = server.state.lock();
        let gone: Vec<PathBuf> = paths(p.event.removed).collect();
        state.folders.retain(|f| !gone.contains(f));
        state.folders.extend(paths(p.event.added));
    }
    server.state.look_at_disk();
    server.state.workspace_changed();
}
