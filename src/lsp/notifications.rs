//! What the client tells: documents that are opened, edited and closed, files and folders that change. Each is taken in before the first
//! await, so that edits are applied in the order in which they were sent.

use super::diagnostics;
use super::state::{Server, key};
use tower_lsp::gen_lsp_types::{
    DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidChangeWorkspaceFoldersParams,
    DidCloseTextDocumentParams, DidOpenTextDocumentParams, DidSaveTextDocumentParams,
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
}

pub async fn did_close(server: &Server, p: DidCloseTextDocumentParams) {
    let uri = p.text_document.uri;
    let closed = server.state.lock().documents.remove(&key(&uri));
    let Some(mut open) = closed else { return };
    diagnostics::withdraw(&server.state, &mut open, None);
    server.state.lock().close_workshops();
    server.state.file_changed(&uri);
}

pub async fn did_change_watched_files(server: &Server, p: DidChangeWatchedFilesParams) {
    server.state.look_at_disk();
    // A file may be written twice within what its date can tell apart.
    for change in &p.changes {
        server.state.file_changed(&change.uri);
    }
}

/// Which folders are open changes nothing of what is found.
pub async fn did_change_workspace_folders(server: &Server, _: DidChangeWorkspaceFoldersParams) {
    server.state.look_at_disk();
}
