//! When diagnostics are worked out, and to whom they are told.

use super::analysis::{AnalysisResult, AnalyzedDocument, LONG};
use super::client::ClientMessage;
use super::convert;
use super::documents::{Fingerprint, OpenDocument};
use super::state::{GlobalState, key};
use super::tasks;
use super::to_diagnostics::to_diagnostics;
use crate::text::Document;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tower_lsp::gen_lsp_types::{Diagnostic, PublishDiagnosticsParams, Uri};

/// A moment between two looks at the dates of all batches and stock.
const BETWEEN_LOOKS: Duration = Duration::from_millis(300);

/// Checks documents for as long as the server lives. Other tasks come first in between, so that edits that have piled up are taken in before
/// the next check begins.
pub async fn check_loop(state: Arc<GlobalState>) {
    loop {
        state.check.notified().await;
        if !state.lock().pulls {
            state.look_at_disk();
        }
        state.update_workshops();
        let (mut affected, mut changed) = (false, false);
        loop {
            tokio::task::yield_now().await;
            let Some((next, is_affected)) = state.lock().next_to_check() else {
                break;
            };
            let told_otherwise = check(&state, &next, is_affected).await;
            affected |= is_affected;
            changed |= is_affected && told_otherwise;
            let outdated = std::mem::take(&mut state.lock().outdated);
            drop(outdated);
        }
        let client = state.client_capabilities();
        if changed && client.refresh_diagnostics && state.lock().pulls {
            state.client.send(ClientMessage::RefreshDiagnostics);
        }
        if affected && client.refresh_hints {
            state.client.send(ClientMessage::RefreshHints);
        }
        publish_of_closed_files(&state);
    }
}

/// Looks at the disk for batches and stock that have changed. The client is told afterwards where what it was told is no longer so.
pub async fn look_loop(state: Arc<GlobalState>) {
    loop {
        state.look.notified().await;
        state.look_at_workshops().await;
        tasks::pause(BETWEEN_LOOKS).await;
    }
}

/// Pushes what is found to a client that is pushed to. Where another file has changed: whether a client that pulls was last told something
/// else.
async fn check(state: &Arc<GlobalState>, document: &str, affected: bool) -> bool {
    let (uri, pulls) = {
        let state = state.lock();
        match state.documents.get(document) {
            Some(open) => (open.uri.clone(), state.pulls),
            None => return false,
        }
    };
    if pulls && !affected {
        precompute(state, &uri).await;
        return false;
    }
    let told_otherwise = with_fresh_diagnostics(state, &uri, |open, pulls, found| {
        let before = open.published.answered;
        let otherwise = before.is_some_and(|(_, before)| before != Fingerprint::of(&found));
        if !pulls {
            push(state, open, found);
        }
        otherwise
    });
    told_otherwise.await.unwrap_or(false)
}

/// Judges a text that will be asked about in a moment. A long one waits until it is asked about: it may change again before that.
async fn precompute(state: &Arc<GlobalState>, uri: &Uri) {
    let is_short = {
        let state = state.lock();
        let open = state.documents.get(&key(uri));
        open.is_some_and(|o| o.text.len() <= LONG)
    };
    if is_short {
        state.view(uri).await;
    }
}

/// The diagnostics of the newest text, handed to `then` while the text cannot move on, with whether the client pulls by now.
pub async fn with_fresh_diagnostics<T>(
    state: &Arc<GlobalState>,
    uri: &Uri,
    then: impl Fn(&mut OpenDocument, bool, Vec<Diagnostic>) -> T,
) -> Option<T> {
    loop {
        let (view, own) = {
            let state = state.lock();
            let open = state.documents.get(&key(uri))?;
            (open.view.clone(), open.uri.clone())
        };
        let analyzed = state.view(uri).await?;
        let client = state.client_capabilities();
        let found = to_diagnostics(&analyzed, &own, client, &|p| state.uri_of(p));
        let mut state = state.lock();
        let pulls = state.pulls;
        let open = state.documents.get_mut(&key(uri))?;
        // The text may have moved on while it was judged.
        if Arc::ptr_eq(&open.view, &view) {
            return Some(then(open, pulls, found));
        }
    }
}

/// Pushes every version that was judged, for some clients drop what was found in another; one version is pushed again where anything is new.
fn push(state: &GlobalState, open: &mut OpenDocument, found: Vec<Diagnostic>) {
    let now = (open.version, Fingerprint::of(&found));
    if open.published.pushed == Some(now) {
        return;
    }
    publish(state, open.uri.clone(), Some(open.version), found);
    open.published.pushed = Some(now);
}

fn publish(state: &GlobalState, uri: Uri, version: Option<i32>, diagnostics: Vec<Diagnostic>) {
    state
        .client
        .send(ClientMessage::Publish(PublishDiagnosticsParams {
            uri,
            version,
            diagnostics,
        }));
}

/// Takes back what was pushed for a document.
pub fn withdraw(state: &GlobalState, open: &mut OpenDocument, version: Option<i32>) {
    let pushed = open.published.pushed.take();
    if pushed.is_some_and(|(_, said)| !said.is_silence()) {
        publish(state, open.uri.clone(), version, Vec::new());
    }
}

/// The client has asked for diagnostics: from now on nothing is pushed, and what was is withdrawn.
pub fn client_pulls(state: &GlobalState) {
    let mut locked = state.lock();
    locked.has_pulled = true;
    if std::mem::replace(&mut locked.pulls, true) {
        return;
    }
    for open in locked.documents.values_mut() {
        let version = Some(open.version);
        withdraw(state, open, version);
    }
}

/// What is wrong in settings and ingredients that are not open themselves.
fn publish_of_closed_files(state: &GlobalState) {
    let client = state.client_capabilities();
    let mut now: HashMap<PathBuf, Vec<Diagnostic>> = HashMap::new();
    let mut locked = state.lock();
    for project in locked.projects.all() {
        for (path, text, findings) in project.faulty() {
            let is_open = locked.documents.contains_key(&*path.to_string_lossy());
            let Some(uri) = convert::uri_of(path).filter(|_| !is_open) else {
                continue;
            };
            let document = AnalyzedDocument {
                text: Document::new(text),
                version: 0,
                body: AnalysisResult::Findings(findings.to_vec()),
                project: project.clone(),
                used: Vec::new(),
                unreadable: Vec::new(),
                record: None,
            };
            let found = to_diagnostics(&document, &uri, client, &convert::uri_of);
            now.insert(path.to_owned(), found);
        }
    }
    let before = std::mem::take(&mut locked.said_of_closed);
    let told = |path: &Path, diagnostics: Vec<Diagnostic>| {
        if let Some(uri) = convert::uri_of(path) {
            publish(state, uri, None, diagnostics);
        }
    };
    // An open document has its own pushes, unless the client pulls.
    for path in before.keys().filter(|path| {
        let is_open = locked.documents.contains_key(&*path.to_string_lossy());
        !now.contains_key(*path) && (locked.pulls || !is_open)
    }) {
        told(path, Vec::new());
    }
    for (path, found) in now.iter().filter(|(p, f)| before.get(*p) != Some(f)) {
        told(path, found.clone());
    }
    locked.said_of_closed = now;
}
