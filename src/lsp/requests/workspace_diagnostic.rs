//! What is found in all files of the folders that are open, judged on all cores. Documents that are open are left out: the client asks for
//! them one by one.

use super::super::analysis::{AnalysisTask, Record};
use super::super::client::ClientMessage;
use super::super::documents::Fingerprint;
use super::super::kinds::DocumentKind;
use super::super::loader::Loader;
use super::super::state::{GlobalState, Server};
use super::super::tasks;
use super::super::to_diagnostics::to_diagnostics;
use super::super::workshops::Workshop;
use crate::ide::Snapshot;
use crate::model::shop::{Facts, folder};
use crate::project::Project;
use crate::syntax::{FileKind, parse};
use crate::text::{Document, MAX_FILE_BYTES, read_file};
use rayon::prelude::*;
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use tower_lsp::gen_lsp_types::{
    Diagnostic, FullDocumentDiagnosticReport, ProgressToken, UnchangedDocumentDiagnosticReport,
    Uri, WorkspaceDiagnosticParams, WorkspaceDiagnosticReport, WorkspaceDocumentDiagnosticReport,
    WorkspaceFullDocumentDiagnosticReport, WorkspaceUnchangedDocumentDiagnosticReport,
};
use tower_lsp::jsonrpc::Result;

/// Progress is told once for so many files.
const FILES_A_STEP: usize = 64;

pub async fn pull(
    server: &Server,
    p: WorkspaceDiagnosticParams,
) -> Result<WorkspaceDiagnosticReport> {
    let state = &server.state;
    let known: HashMap<Uri, String> = p
        .previous_result_ids
        .into_iter()
        .map(|k| (k.uri, k.value))
        .collect();
    // A client that knows all of it is answered when something has changed; one that does not watch the disk cannot wait for that.
    let seen = state.answered_workspace.load(Ordering::SeqCst);
    if !known.is_empty() && seen != 0 && state.client_capabilities().watch {
        state.changed_since(seen).await;
    }
    let revision = state.revision();
    state.look_at_disk();
    state.look_at_workshops().await;
    let files = files(state).await;
    let stop = Stop::default();
    let progress = Progress {
        state: state.clone(),
        token: p.work_done_progress_params.work_done_token,
        all: files.len(),
        done: AtomicUsize::new(0),
    };
    progress.begin();
    let judged = tasks::spawn_blocking({
        let (state, stopped) = (state.clone(), stop.0.clone());
        move || {
            let one = |file: File| {
                if stopped.load(Ordering::Relaxed) {
                    return None;
                }
                let found = file.judge(&state);
                progress.step();
                found
            };
            let found: Vec<(Uri, Vec<Diagnostic>)> =
                files.into_par_iter().filter_map(one).collect();
            progress.end();
            found
        }
    });
    let judged = judged.await.unwrap_or_default();
    state.answered_workspace.store(revision, Ordering::SeqCst);
    Ok(WorkspaceDiagnosticReport {
        items: reports(judged, known),
    })
}

/// When the request is dropped, because the client has cancelled it, the threads stop at the next file.
#[derive(Default)]
struct Stop(Arc<AtomicBool>);

impl Drop for Stop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// One file to judge, with all that it is judged with.
struct File {
    path: PathBuf,
    kind: FileKind,
    project: Arc<Project>,
    workshop: Option<Arc<Workshop>>,
}

/// The files of all open folders that are not open themselves.
async fn files(state: &Arc<GlobalState>) -> Vec<File> {
    let workshops = state.open_workshops().await;
    let list = {
        let workshops = workshops.clone();
        move || {
            let mut all: Vec<(PathBuf, FileKind, Option<Arc<Workshop>>)> = Vec::new();
            for w in &workshops {
                let formulas = folder::formulas(&w.root).into_iter();
                all.extend(formulas.map(|path| (path, FileKind::Formula, None)));
                let records = folder::find(&w.root).files.into_iter();
                all.extend(records.map(|(path, kind)| (path, kind, Some(w.clone()))));
            }
            all.sort_by(|a, b| a.0.cmp(&b.0));
            all.dedup_by(|a, b| a.0 == b.0);
            all
        }
    };
    let all = tasks::spawn_blocking(list).await.unwrap_or_default();
    let mut state = state.lock();
    let state = &mut *state;
    let documents = &state.documents;
    let closed = all
        .into_iter()
        .filter(|(path, ..)| !documents.contains_key(&*path.to_string_lossy()));
    closed
        .map(|(path, kind, workshop)| File {
            project: state.projects.of(&path),
            path,
            kind,
            workshop,
        })
        .collect()
}

impl File {
    fn judge(self, state: &Arc<GlobalState>) -> Option<(Uri, Vec<Diagnostic>)> {
        let uri = state.uri_of(&self.path)?;
        // One that cannot be read is said where it is used.
        let text = read_file(&self.path).ok()?;
        let tree = parse(self.kind, &text);
        let record = self.workshop.map(|workshop| {
            let facts = workshop
                .with_shop(|shop| shop.facts(&self.path).cloned())
                .unwrap_or_else(|| Arc::new(Facts::of(&tree, &self.path, &self.project.kb)));
            Record { workshop, facts }
        });
        let task = AnalysisTask {
            too_large: text.len() as u64 > MAX_FILE_BYTES,
            text: Document::new(&text),
            path: self.path,
            kind: DocumentKind::Text(self.kind),
            version: 0,
            tree: Arc::new(tree),
            project: self.project,
            loader: Loader::new(state.clone()),
            judge: Snapshot::new,
            record,
            with_rules: true,
        };
        let analyzed = task.work();
        let client = state.client_capabilities();
        let found = to_diagnostics(&analyzed, &uri, client, &|p| state.uri_of(p));
        Some((uri, found))
    }
}

fn reports(
    judged: Vec<(Uri, Vec<Diagnostic>)>,
    mut known: HashMap<Uri, String>,
) -> Vec<WorkspaceDocumentDiagnosticReport> {
    let mut out = Vec::with_capacity(judged.len());
    for (uri, items) in judged {
        let result_id = Fingerprint::of(&items).id();
        let same = known.remove(&uri).is_some_and(|before| before == result_id);
        out.push(match same {
            true => WorkspaceUnchangedDocumentDiagnosticReport {
                uri,
                version: None,
                unchanged_document_diagnostic_report: UnchangedDocumentDiagnosticReport {
                    result_id,
                },
            }
            .into(),
            false => full(uri, Some(result_id), items),
        });
    }
    // What is gone, or open by now, has nothing to say here any more.
    out.extend(known.into_keys().map(|uri| full(uri, None, Vec::new())));
    out
}

fn full(
    uri: Uri,
    result_id: Option<String>,
    items: Vec<Diagnostic>,
) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceFullDocumentDiagnosticReport {
        uri,
        version: None,
        full_document_diagnostic_report: FullDocumentDiagnosticReport { result_id, items },
    }
    .into()
}

/// Tells the client how far the work is, where it wants to know.
struct Progress {
    state: Arc<GlobalState>,
    token: Option<ProgressToken>,
    all: usize,
    done: AtomicUsize,
}

impl Progress {
    fn tell(&self, value: serde_json::Value) {
        if let Some(token) = &self.token {
            let token = token.clone();
            self.state
                .client
                .send(ClientMessage::Progress { token, value });
        }
    }

    fn begin(&self) {
        self.tell(serde_json::json!({
            "kind": "begin",
            "title": "Judging all files",
            "cancellable": true,
            "percentage": 0,
        }));
    }

    fn step(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        if done.is_multiple_of(FILES_A_STEP) {
            self.tell(serde_json::json!({
                "kind": "report",
                "message": format!("{done} of {}", self.all),
                "percentage": done * 100 / self.all.max(1),
            }));
        }
    }

    fn end(&self) {
        self.tell(serde_json::json!({ "kind": "end" }));
    }
}
