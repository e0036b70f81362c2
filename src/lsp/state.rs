//! The state of the server: the session, the open documents, the projects. Every lock is short and none is held over an await.

use super::client::{Mouth, Say};
use super::convert;
use super::diagnose::{self, Job, View};
use super::documents::Open;
use super::guard::Life;
use super::kinds;
use super::protocol::{Diagnostic, Publish};
use super::session::Session;
use super::workspace::Projects;
use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::{Library, Settings, library};
use crate::syntax::{FileKind, Tree};
use crate::text::Document;
use std::cell::RefCell;
use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use tokio::sync::{Notify, OnceCell};

/// Resolves and judges a file; a test puts a faulty one in its place.
pub type Judge = fn(&Path, FileKind, Tree, &Kb, &Settings, &dyn Library) -> Snapshot;

pub struct Options {
    pub judge: Judge,
    /// The server is a process of its own, which ends with the editor's.
    pub own_process: bool,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            judge: Snapshot::new,
            own_process: false,
        }
    }
}

pub struct Shared {
    pub options: Options,
    pub life: Arc<Life>,
    pub mouth: Mouth,
    session: OnceLock<Session>,
    state: Mutex<State>,
    wake: Notify,
}

#[derive(Default)]
pub struct State {
    /// By [`key`].
    pub documents: HashMap<Arc<str>, Open>,
    pub projects: Projects,
    /// Documents whose diagnostics are to be worked out again.
    dirty: BTreeSet<Arc<str>>,
    /// What was known of earlier texts. It is let go when nobody waits for an answer.
    pub outdated: Vec<Arc<OnceCell<Arc<View>>>>,
    /// What was said about files that are not open.
    said_of_files: HashMap<PathBuf, Vec<Diagnostic>>,
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

impl Shared {
    pub fn new(options: Options, life: Arc<Life>, mouth: Mouth) -> Arc<Shared> {
        let shared = Arc::new(Shared {
            options,
            life,
            mouth,
            session: OnceLock::new(),
            state: Mutex::default(),
            wake: Notify::new(),
        });
        tokio::spawn(shared.clone().keep_checking());
        shared
    }

    pub fn begin(&self, session: Session) -> &Session {
        self.lock().projects.tops.clone_from(&session.folders);
        self.session.get_or_init(|| session)
    }

    pub fn session(&self) -> &Session {
        static NOTHING_AGREED: OnceLock<Session> = OnceLock::new();
        self.session
            .get()
            .unwrap_or_else(|| NOTHING_AGREED.get_or_init(Session::default))
    }

    pub fn lock(&self) -> MutexGuard<'_, State> {
        // A panic under the lock was caught and logged; the documents are whole, for each change to them is one step.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is known of the newest text of a document.
    pub async fn view(self: &Arc<Self>, uri: &str) -> Option<Arc<View>> {
        let (cell, job) = {
            let mut state = self.lock();
            let state = &mut *state;
            let open = state.documents.get(&key(uri))?;
            if let Some(view) = open.view.get() {
                return Some(view.clone());
            }
            (open.view.clone(), self.job(open, &mut state.projects))
        };
        Some(cell.get_or_init(|| job.run()).await.clone())
    }

    fn job(self: &Arc<Self>, open: &Open, projects: &mut Projects) -> Job {
        Job {
            path: open.path.clone(),
            kind: open.kind,
            version: open.version,
            text: open.text.clone(),
            tree: open.tree.clone(),
            too_large: open.too_large(),
            project: projects.of(&open.path),
            library: Arc::new(Editor(self.clone())),
            judge: self.options.judge,
        }
    }

    /// The diagnostics of the newest text, handed to `then` while the text cannot move on.
    pub async fn settled<T>(
        self: &Arc<Self>,
        uri: &str,
        then: impl Fn(&mut Open, Vec<Diagnostic>) -> T,
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
            let open = state.documents.get_mut(&key(uri))?;
            // The text may have moved on while it was judged.
            if Arc::ptr_eq(&open.view, &cell) {
                return Some(then(open, found));
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

    /// A change in this document may matter to others that take it as an ingredient.
    pub fn dirty_users(&self, uri: &str) {
        let own = key(uri);
        let mut state = self.lock();
        let state = &mut *state;
        for (key, open) in state
            .documents
            .iter_mut()
            .filter(|(k, o)| **k != own && o.takes_files())
        {
            state.outdated.push(open.forget());
            state.dirty.insert(key.clone());
        }
        self.wake.notify_one();
    }

    /// Looks at settings and ingredients on the disk again; where anything is new, everything is judged again.
    pub fn reload(&self) {
        let mut pulls = false;
        {
            let mut state = self.lock();
            let state = &mut *state;
            if !state.projects.refresh() {
                return;
            }
            for (key, open) in &mut state.documents {
                state.outdated.push(open.forget());
                pulls |= open.told.pulls;
                state.dirty.insert(key.clone());
            }
        }
        self.wake.notify_one();
        if pulls && self.session().refresh_diagnostics {
            self.mouth.say(Say::RefreshDiagnostics);
        }
        if self.session().refresh_hints {
            self.mouth.say(Say::RefreshHints);
        }
    }

    /// Checks dirty documents for as long as the server lives. Other tasks come first in between, so that edits that have piled up are taken in
    /// before the next check begins.
    async fn keep_checking(self: Arc<Self>) {
        loop {
            self.wake.notified().await;
            loop {
                tokio::task::yield_now().await;
                let Some(next) = self.lock().dirty.pop_first() else {
                    break;
                };
                self.check(&next).await;
                let outdated = std::mem::take(&mut self.lock().outdated);
                drop(outdated);
            }
            self.say_of_files();
        }
    }

    async fn check(self: &Arc<Self>, document: &str) {
        let Some((uri, pulls)) = self
            .lock()
            .documents
            .get(document)
            .map(|o| (o.uri.clone(), o.told.pulls))
        else {
            return;
        };
        if pulls {
            return self.ahead(&uri).await;
        }
        self.settled(&uri, |open, found| self.push(open, found))
            .await;
    }

    /// Judges a text that will be asked about in a moment. A long one waits until it is asked about: it may change again before that.
    pub async fn ahead(self: &Arc<Self>, uri: &str) {
        let short = self
            .lock()
            .documents
            .get(&key(uri))
            .is_some_and(|o| o.text.len() <= diagnose::LONG);
        if short {
            self.view(uri).await;
        }
    }

    /// Pushes if anything is new.
    fn push(&self, open: &mut Open, found: Vec<Diagnostic>) {
        if open.told.pulls || open.told.pushed.as_ref() == Some(&found) {
            return;
        }
        open.told.pushed = Some(found.clone());
        self.mouth.say(Say::Publish(Publish {
            uri: open.uri.clone(),
            version: Some(open.version),
            diagnostics: found,
        }));
    }

    /// What is wrong in settings and ingredients that are not open themselves.
    fn say_of_files(&self) {
        let session = self.session();
        let mut now: HashMap<PathBuf, Vec<Diagnostic>> = HashMap::new();
        let mut state = self.lock();
        for project in state.projects.all() {
            for (path, text, findings) in &project.faulty {
                if state.documents.contains_key(&*path.to_string_lossy()) {
                    continue;
                }
                let view = View {
                    text: Document::new(text),
                    version: 0,
                    body: diagnose::Body::Findings(findings.clone()),
                };
                now.insert(
                    path.clone(),
                    diagnose::diagnostics(&view, "", session, &convert::uri_of),
                );
            }
        }
        let before = std::mem::take(&mut state.said_of_files);
        for path in before.keys().filter(|p| {
            !now.contains_key(*p) && !state.documents.contains_key(&*p.to_string_lossy())
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
            self.mouth.say(Say::Publish(Publish {
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
            .insert(key(&uri), Open::new(uri, path, kind, version, text));
    }
}

/// Other formulas: as they are in the editor where they are open, else as they are saved.
struct Editor(Arc<Shared>);

impl Library for Editor {
    fn read(&self, path: &Path) -> Result<String, String> {
        if let Some(open) = self.0.lock().documents.get(&*path.to_string_lossy()) {
            return Ok(open.text.to_string());
        }
        library::Disk.read(path)
    }
}
