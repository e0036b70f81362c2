//! The state of the server: the session, the open documents, the projects. Every lock is short and none is held over an await.

use super::client::{ClientMessage, ClientSender};
use super::convert;
use super::diagnose::{self, AnalysisTask, AnalyzedDocument, Record};
use super::documents::OpenDocument;
use super::guard::Lifecycle;
use super::kinds;
use super::loader::{Loader, UsedFrom};
use super::protocol::{Diagnostic, Publish};
use super::session::ClientCapabilities;
use super::workshops::Workshops;
use super::workspace::{Projects, Stamp};
use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::shop::folder;
use crate::model::{Library, Settings};
use crate::syntax::{FileKind, Tree};
use crate::text::Document;
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use std::time::Duration;
use tokio::sync::{Notify, OnceCell};

/// Saved files that are read again in the loop itself; more are left to the look at the disk.
const MOST_READ_AT_ONCE: usize = 16;

/// A moment between two looks at the dates of all batches and stock.
const BETWEEN_LOOKS: Duration = Duration::from_millis(300);

/// Resolves and judges a file; a test puts a faulty one in its place.
pub type Judge = fn(&Path, FileKind, Tree, &Kb, &Settings, &dyn Library) -> Snapshot;

pub struct Options {
    pub judge: Judge,
    /// The server is a process of its own, which ends with the editor's.
    pub own_process: bool,
    /// Where papers are written; none: the maker's cache folder.
    pub papers: Option<PathBuf>,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            judge: Snapshot::new,
            own_process: false,
            papers: None,
        }
    }
}

pub struct GlobalState {
    pub options: Options,
    pub life: Arc<Lifecycle>,
    pub client: ClientSender,
    session: OnceLock<ClientCapabilities>,
    state: Mutex<State>,
    wake: Notify,
    /// Look at the dates of all batches and stock.
    look: Notify,
}

#[derive(Default)]
pub struct State {
    /// By [`key`].
    pub documents: HashMap<Arc<str>, OpenDocument>,
    pub projects: Projects,
    pub workshops: Workshops,
    /// Batches and stock files of which the workshops may not know the newest text.
    pub unindexed: BTreeSet<PathBuf>,
    /// The client asks for the diagnostics of open documents itself: pushing them too would show them twice.
    pub pulls: bool,
    /// It has done so at least once.
    pub has_pulled: bool,
    /// Documents whose own text has changed: their diagnostics are to be worked out first.
    dirty: BTreeSet<Arc<str>>,
    /// Documents of which the client may hold what is no longer true: another file has changed.
    affected: BTreeSet<Arc<str>>,
    /// What was known of earlier texts. It is let go when nobody waits for an answer.
    pub outdated: Vec<Arc<OnceCell<Arc<AnalyzedDocument>>>>,
    /// What was said about files that are not open.
    said_of_files: HashMap<PathBuf, Vec<Diagnostic>>,
}

impl State {
    /// The client does not pull after all.
    pub fn push_from_now_on(&mut self) {
        self.pulls = false;
        self.dirty.extend(self.documents.keys().cloned());
    }

    /// Lets go of the workshops in whose folder nothing is open any more.
    pub fn close_workshops(&mut self) {
        let documents = &self.documents;
        self.workshops
            .keep_where(|root| documents.values().any(|o| o.path.starts_with(root)));
    }

    fn next_to_check(&mut self) -> Option<Arc<str>> {
        self.dirty
            .pop_first()
            .or_else(|| self.affected.first().cloned())
    }

    /// Lets go of what is known of some documents, for it was worked out from something else that has changed.
    /// True where there are any.
    fn forget_where(&mut self, is_affected: impl Fn(&Arc<str>, &OpenDocument) -> bool) -> bool {
        let mut any = false;
        for (key, open) in &mut self.documents {
            if is_affected(key, open) {
                self.outdated.push(open.forget());
                self.affected.insert(key.clone());
                any = true;
            }
        }
        any
    }
}

/// One document goes by one key, however its URI is spelled.
pub fn key(uri: &str) -> Arc<str> {
    thread_local! {
        /// Most messages are about the document of the one before.
        static LAST: RefCell<(String, Arc<str>)> = RefCell::new((String::new(), "".into()));
    }
    LAST.with_borrow_mut(|(last, key)| {
        if last != uri {
            *key = convert::path_of(uri).map_or_else(|| uri.into(), |p| p.to_string_lossy().into());
            uri.clone_into(last);
        }
        key.clone()
    })
}

impl GlobalState {
    pub fn new(options: Options, life: Arc<Lifecycle>, client: ClientSender) -> Arc<GlobalState> {
        let shared = Arc::new(GlobalState {
            options,
            life,
            client,
            session: OnceLock::new(),
            state: Mutex::default(),
            wake: Notify::new(),
            look: Notify::new(),
        });
        tokio::spawn(shared.clone().check_loop());
        tokio::spawn(shared.clone().look_loop());
        shared
    }

    pub fn begin(&self, session: ClientCapabilities) -> &ClientCapabilities {
        let mut state = self.lock();
        state.projects.tops.clone_from(&session.folders);
        state.pulls = session.pulls;
        drop(state);
        self.session.get_or_init(|| session)
    }

    pub fn session(&self) -> &ClientCapabilities {
        static NOTHING_AGREED: OnceLock<ClientCapabilities> = OnceLock::new();
        self.session
            .get()
            .unwrap_or_else(|| NOTHING_AGREED.get_or_init(ClientCapabilities::default))
    }

    pub fn lock(&self) -> MutexGuard<'_, State> {
        // A panic under the lock was caught and logged; the documents are whole, for each change to them is one step.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is known of the newest text of a document.
    pub async fn view(self: &Arc<Self>, uri: &str) -> Option<Arc<AnalyzedDocument>> {
        self.open_workshop(uri);
        self.update_workshops();
        let (cell, job) = {
            let mut state = self.lock();
            let state = &mut *state;
            let open = state.documents.get_mut(&key(uri))?;
            if let Some(view) = open.view.get() {
                return Some(view.clone());
            }
            let task = self.task(open, &mut state.projects, &mut state.workshops);
            (open.view.clone(), task)
        };
        Some(cell.get_or_init(|| job.run()).await.clone())
    }

    fn task(
        self: &Arc<Self>,
        open: &mut OpenDocument,
        projects: &mut Projects,
        workshops: &mut Workshops,
    ) -> AnalysisTask {
        let record = open.is_record().then(|| {
            let project = projects.of(&open.path);
            Record {
                workshop: workshops.of(projects.workshop_root(&open.path), &project).0,
                facts: open.facts(&project),
            }
        });
        AnalysisTask {
            record,
            path: open.path.clone(),
            kind: open.kind,
            version: open.version,
            text: open.text.clone(),
            tree: open.tree.clone(),
            too_large: open.too_large(),
            project: projects.of(&open.path),
            loader: Loader::new(self.clone()),
            judge: self.options.judge,
        }
    }

    /// The diagnostics of the newest text, handed to `then` while the text cannot move on, with whether the client pulls by now.
    pub async fn with_fresh_diagnostics<T>(
        self: &Arc<Self>,
        uri: &str,
        then: impl Fn(&mut OpenDocument, bool, Vec<Diagnostic>) -> T,
    ) -> Option<T> {
        loop {
            let (cell, own) = self
                .lock()
                .documents
                .get(&key(uri))
                .map(|o| (o.view.clone(), o.uri.clone()))?;
            let view = self.view(uri).await?;
            let found = diagnose::diagnostics(&view, &own, self.session(), &|p| self.uri_of(p));
            let mut state = self.lock();
            let pulls = state.pulls;
            let open = state.documents.get_mut(&key(uri))?;
            // The text may have moved on while it was judged.
            if Arc::ptr_eq(&open.view, &cell) {
                return Some(then(open, pulls, found));
            }
        }
    }

    /// The URI of a file, spelled as the client spells it where it is open.
    pub fn uri_of(&self, path: &Path) -> Option<String> {
        let state = self.lock();
        state
            .documents
            .get(&*path.to_string_lossy())
            .map(|o| o.uri.clone())
            .or_else(|| convert::uri_of(path))
    }

    /// To be checked when all that has arrived is taken in.
    pub fn dirty(&self, uri: &str) {
        self.lock().dirty.insert(key(uri));
        self.wake.notify_one();
    }

    /// This file has changed, in the editor or on the disk: what was worked out from it no longer holds.
    pub fn file_changed(&self, uri: &str) {
        let changed = key(uri);
        let record = convert::path_of(uri).filter(|p| folder::is_record(p));
        let mut state = self.lock();
        state.unindexed.extend(record);
        state.forget_where(|key, open| {
            *key != changed
                && open
                    .used()
                    .iter()
                    .any(|u| u.path.to_string_lossy() == *changed)
        });
        drop(state);
        self.wake.notify_one();
    }

    pub fn is_record(&self, uri: &str) -> bool {
        let state = self.lock();
        state
            .documents
            .get(&key(uri))
            .is_some_and(OpenDocument::is_record)
    }

    /// Begins to keep the workshop of a record in memory.
    fn open_workshop(&self, uri: &str) {
        let mut state = self.lock();
        let state = &mut *state;
        let Some(open) = state.documents.get(&key(uri)).filter(|o| o.is_record()) else {
            return;
        };
        let project = state.projects.of(&open.path);
        let root = state.projects.workshop_root(&open.path);
        if state.workshops.of(root, &project).1 {
            let records = state.documents.values().filter(|o| o.is_record());
            state.unindexed.extend(records.map(|o| o.path.clone()));
        }
    }

    /// Tells the workshops what the newest texts say. Records that are open beside a changed one are judged again.
    fn update_workshops(&self) {
        let (paths, workshops) = {
            let mut state = self.lock();
            if state.unindexed.is_empty() {
                return;
            }
            let mut paths = std::mem::take(&mut state.unindexed);
            let is_open = |path: &Path| state.documents.contains_key(&*path.to_string_lossy());
            if paths.iter().filter(|path| !is_open(path)).count() > MOST_READ_AT_ONCE {
                paths.retain(|path| is_open(path));
                self.look.notify_one();
            }
            (paths, state.workshops.all())
        };
        let mut changed: Vec<(PathBuf, PathBuf)> = Vec::new();
        for path in paths {
            for workshop in workshops.iter().filter(|w| w.holds(&path)) {
                let facts = {
                    let mut state = self.lock();
                    let open = state.documents.get_mut(&*path.to_string_lossy());
                    open.filter(|o| o.is_record())
                        .map(|o| o.facts(&workshop.project))
                };
                let differs = match (facts, FileKind::of_path(&path)) {
                    (Some(facts), _) => workshop.put(&path, facts),
                    (None, Some(kind)) => workshop.read_again(&path, kind),
                    (None, None) => false,
                };
                if differs {
                    changed.push((workshop.root.clone(), path.clone()));
                }
            }
        }
        if !changed.is_empty() {
            self.forget_records(|path| {
                let is_beside =
                    |(root, of): &(PathBuf, PathBuf)| path.starts_with(root) && path != of;
                changed.iter().any(is_beside)
            });
        }
    }

    /// What is known of some open records was worked out from others that have changed.
    fn forget_records(&self, is_affected: impl Fn(&Path) -> bool) {
        let any = self
            .lock()
            .forget_where(|_, open| open.is_record() && is_affected(&open.path));
        if any {
            self.wake.notify_one();
        }
    }

    /// Looks at the disk for batches and stock that have changed, whether the client watches them or not. There may be thousands: it is done
    /// beside the loop, and the client is told afterwards where what it was told is no longer so.
    async fn look_loop(self: Arc<Self>) {
        loop {
            self.look.notified().await;
            self.look_at_workshops().await;
            tokio::time::sleep(BETWEEN_LOOKS).await;
        }
    }

    /// Looks at the dates of all batches and stock.
    pub async fn look_at_workshops(&self) {
        let workshops = self.lock().workshops.all();
        if workshops.is_empty() {
            return;
        }
        let look = move || -> Vec<PathBuf> {
            let changed = workshops.iter().filter(|w| w.look_at_disk());
            changed.map(|w| w.root.clone()).collect()
        };
        match tokio::task::spawn_blocking(look).await {
            Ok(changed) if changed.is_empty() => {}
            Ok(changed) => {
                self.forget_records(|path| changed.iter().any(|root| path.starts_with(root)));
            }
            Err(_) => eprintln!(
                "phasewright: the look at batches and lots failed; this is a fault of the program"
            ),
        }
    }

    /// Looks at the disk again: at settings, own ingredients and whatever else the open documents were judged with, whether the client
    /// watches them or not. It costs a look at the date of each.
    pub fn look_at_disk(&self) {
        let mut state = self.lock();
        let mut changed = state.projects.refresh() && state.forget_where(|_, _| true);
        let mut stamps: HashMap<PathBuf, Option<Stamp>> = HashMap::new();
        let used = state.documents.values().flat_map(|open| open.used());
        for path in used.map(|u| &u.path).collect::<BTreeSet<_>>() {
            stamps.insert(path.clone(), Stamp::of(path));
        }
        changed |= state.forget_where(|_, open| {
            open.used().iter().any(|u| match u.from {
                UsedFrom::Disk(before) => stamps.get(&u.path).is_some_and(|now| *now != before),
                UsedFrom::Editor => false,
            })
        });
        drop(state);
        if changed {
            self.wake.notify_one();
        }
        self.look.notify_one();
    }

    /// Checks dirty documents for as long as the server lives. Other tasks come first in between, so that edits that have piled up are taken in
    /// before the next check begins.
    async fn check_loop(self: Arc<Self>) {
        loop {
            self.wake.notified().await;
            if !self.lock().pulls {
                self.look_at_disk();
            }
            self.update_workshops();
            let (mut affected, mut changed) = (false, false);
            loop {
                tokio::task::yield_now().await;
                let Some(next) = self.lock().next_to_check() else {
                    break;
                };
                if let Some(told_otherwise) = self.check(&next).await {
                    affected = true;
                    changed |= told_otherwise;
                }
                let outdated = std::mem::take(&mut self.lock().outdated);
                drop(outdated);
            }
            let session = self.session();
            if changed && session.refresh_diagnostics && self.lock().pulls {
                self.client.send(ClientMessage::RefreshDiagnostics);
            }
            if affected && session.refresh_hints {
                self.client.send(ClientMessage::RefreshHints);
            }
            self.publish_closed_file_diagnostics();
        }
    }

    /// Pushes what is found to a client that is pushed to. Where another file has changed: whether a client that pulls was last told something
    /// else.
    async fn check(self: &Arc<Self>, document: &str) -> Option<bool> {
        let (uri, pulls, affected) = {
            let mut state = self.lock();
            let affected = state.affected.remove(document);
            match state.documents.get(document) {
                Some(open) => (open.uri.clone(), state.pulls, affected),
                None => return None,
            }
        };
        if pulls && !affected {
            self.precompute(&uri).await;
            return None;
        }
        let told_otherwise = self.with_fresh_diagnostics(&uri, |open, pulls, found| {
            let before = open.told.answered.as_ref();
            let otherwise = before.is_some_and(|(_, before)| **before != found);
            if !pulls {
                self.push(open, found);
            }
            otherwise
        });
        told_otherwise.await.filter(|_| affected)
    }

    /// Judges a text that will be asked about in a moment. A long one waits until it is asked about: it may change again before that.
    pub async fn precompute(self: &Arc<Self>, uri: &str) {
        let short = self
            .lock()
            .documents
            .get(&key(uri))
            .is_some_and(|o| o.text.len() <= diagnose::LONG);
        if short {
            self.view(uri).await;
        }
    }

    /// Pushes every version that was judged, for some clients drop what was found in another; one version is pushed again where anything is new.
    fn push(&self, open: &mut OpenDocument, found: Vec<Diagnostic>) {
        let now = (open.version, found);
        if open.told.pushed.as_ref() == Some(&now) {
            return;
        }
        self.client.send(ClientMessage::Publish(Publish {
            uri: open.uri.clone(),
            version: Some(open.version),
            diagnostics: now.1.clone(),
        }));
        open.told.pushed = Some(now);
    }

    /// The client has asked for diagnostics: from now on nothing is pushed, and what was is withdrawn.
    pub fn pulled(&self) {
        let mut state = self.lock();
        state.has_pulled = true;
        if std::mem::replace(&mut state.pulls, true) {
            return;
        }
        for open in state.documents.values_mut() {
            if open.told.pushed.take().is_some_and(|(_, d)| !d.is_empty()) {
                self.client.send(ClientMessage::Publish(Publish {
                    uri: open.uri.clone(),
                    version: Some(open.version),
                    diagnostics: Vec::new(),
                }));
            }
        }
    }

    /// What is wrong in settings and ingredients that are not open themselves.
    fn publish_closed_file_diagnostics(&self) {
        let session = self.session();
        let mut now: HashMap<PathBuf, Vec<Diagnostic>> = HashMap::new();
        let mut state = self.lock();
        for project in state.projects.all() {
            for (path, text, findings) in &project.faulty {
                if state.documents.contains_key(&*path.to_string_lossy()) {
                    continue;
                }
                let view = AnalyzedDocument {
                    text: Document::new(text),
                    version: 0,
                    body: diagnose::AnalysisResult::Findings(findings.clone()),
                    project: project.clone(),
                    used: Vec::new(),
                    unreadable: Vec::new(),
                };
                now.insert(
                    path.clone(),
                    diagnose::diagnostics(&view, "", session, &convert::uri_of),
                );
            }
        }
        let before = std::mem::take(&mut state.said_of_files);
        // An open document has its own pushes, unless the client pulls.
        for path in before.keys().filter(|p| {
            let has_pushes = !state.pulls && state.documents.contains_key(&*p.to_string_lossy());
            !now.contains_key(*p) && !has_pushes
        }) {
            self.publish_file(path, Vec::new());
        }
        for (path, found) in now.iter().filter(|(p, f)| before.get(*p) != Some(f)) {
            self.publish_file(path, found.clone());
        }
        state.said_of_files = now;
    }

    fn publish_file(&self, path: &Path, diagnostics: Vec<Diagnostic>) {
        if let Some(uri) = convert::uri_of(path) {
            self.client.send(ClientMessage::Publish(Publish {
                uri,
                version: None,
                diagnostics,
            }));
        }
    }

    pub fn open(&self, uri: String, language: &str, version: i32, text: &str) {
        let path = kinds::path(&uri, &self.session().folders);
        let kind = kinds::kind(language, &path);
        self.lock()
            .documents
            .insert(key(&uri), OpenDocument::new(uri, path, kind, version, text));
    }
}
