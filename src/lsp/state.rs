//! The state of the server, with one owner: the open documents, the projects and workshops that they belong to, what the client can do.
//! Every lock is short, and none is held over an await or while the disk is looked at.

use super::analysis::{AnalysisTask, AnalyzedDocument, Judge, Record};
use super::client::ClientSender;
use super::client_capabilities::ClientCapabilities;
use super::convert;
use super::documents::{OpenDocument, View};
use super::kinds;
use super::layers::Lifecycle;
use super::loader::{Loader, OpenTexts};
use super::workshops::{Workshop, Workshops};
use crate::chem::date::Date;
use crate::ide::Snapshot;
use crate::model::shop::folder;
use crate::project::{self, Project, Projects};
use crate::syntax::FileKind;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicU64;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};
use tokio::sync::{Notify, watch};
use tower_lsp::gen_lsp_types::{Diagnostic, Uri};

/// Saved records that are read again in the loop itself; more are left to the look at the disk.
const MAX_READ_AT_ONCE: usize = 16;

/// Documents whose analysis is kept. Thousands may be open, and a maker looks at a few.
const MAX_IN_SIGHT: usize = 64;

pub struct Options {
    pub judge: Judge,
    /// The server is a process of its own, which ends with the editor's.
    pub own_process: bool,
    /// Where papers are written; none: the maker's cache folder.
    pub papers: Option<PathBuf>,
    /// The day, YYYY-MM-DD.
    pub today: fn() -> Date,
    /// The time of day, minutes after midnight; none where it is not to be offered.
    pub now: fn() -> Option<u16>,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            judge: Snapshot::new,
            own_process: false,
            papers: None,
            today: project::today,
            now: || Some(project::now()),
        }
    }
}

/// The service's handle on the state.
pub struct Server {
    pub state: Arc<GlobalState>,
}

pub struct GlobalState {
    pub options: Options,
    pub life: Arc<Lifecycle>,
    pub client: ClientSender,
    client_capabilities: OnceLock<ClientCapabilities>,
    state: Mutex<State>,
    /// There is something to check.
    pub check: Notify,
    /// Look at the dates of all batches and stock.
    pub look: Notify,
    /// How often files were opened, closed, saved, or told to have changed on the disk. What is typed changes nothing of closed files.
    pub revision: watch::Sender<u64>,
    /// The revision that the last answer about the whole workspace was made from; 0: there was none.
    pub answered_workspace: AtomicU64,
}

pub struct State {
    /// By [`key`].
    pub documents: HashMap<Arc<str>, OpenDocument>,
    pub projects: Projects,
    pub workshops: Workshops,
    /// The folders that the client has open.
    pub folders: Vec<PathBuf>,
    /// The client asks for the diagnostics of open documents itself: pushing them too would show them twice.
    pub pulls: bool,
    /// It has done so at least once.
    pub has_pulled: bool,
    /// Documents whose own text has changed: they are checked first.
    dirty: BTreeSet<Arc<str>>,
    /// Documents of which the client may hold what is no longer true: another file has changed.
    affected: BTreeSet<Arc<str>>,
    /// What was known of earlier texts. It is let go when nobody waits for an answer.
    pub outdated: Vec<View>,
    /// What was said about files that are not open.
    pub said_of_closed: HashMap<PathBuf, Vec<Diagnostic>>,
    /// Files that were read for other documents, with those.
    users: BTreeMap<PathBuf, BTreeSet<Arc<str>>>,
    /// Documents whose analysis is kept, the newest last.
    in_sight: VecDeque<Arc<str>>,
    /// Batches and stock files of which the workshops may not know the newest text.
    unindexed: BTreeSet<PathBuf>,
}

impl State {
    /// The client does not pull after all.
    pub fn push_from_now_on(&mut self) {
        self.pulls = false;
        self.dirty.extend(self.documents.keys().cloned());
    }

    /// The next document to check; whether others may have changed what was said of it.
    pub fn next_to_check(&mut self) -> Option<(Arc<str>, bool)> {
        let next = self.dirty.pop_first();
        let next = next.or_else(|| self.affected.first().cloned())?;
        let affected = self.affected.remove(&next);
        Some((next, affected))
    }

    /// Lets go of what is known of a document, for it was worked out from something else that has changed.
    fn forget(&mut self, key: &Arc<str>) {
        if let Some(open) = self.documents.get_mut(key) {
            self.outdated.push(open.forget());
            self.affected.insert(key.clone());
        }
    }

    /// The same of some documents. True where there are any.
    pub fn forget_where(&mut self, is_affected: impl Fn(&OpenDocument) -> bool) -> bool {
        let open = self.documents.iter();
        let keys: Vec<Arc<str>> = open
            .filter(|(_, open)| is_affected(open))
            .map(|(key, _)| key.clone())
            .collect();
        keys.iter().for_each(|key| self.forget(key));
        !keys.is_empty()
    }

    /// The same of those that a file was read for, where `is_affected`.
    pub fn forget_users(
        &mut self,
        file: &Path,
        is_affected: impl Fn(&Arc<str>, &OpenDocument) -> bool,
    ) -> bool {
        let users = self.users.get(file).into_iter().flatten();
        let keys: Vec<Arc<str>> = users
            .filter(|key| {
                self.documents.get(*key).is_some_and(|open| {
                    open.used.iter().any(|u| u.path == file) && is_affected(key, open)
                })
            })
            .cloned()
            .collect();
        keys.iter().for_each(|key| self.forget(key));
        !keys.is_empty()
    }

    /// The files that were read for open documents.
    pub fn used_files(&mut self) -> Vec<PathBuf> {
        let documents = &self.documents;
        self.users.retain(|_, users| {
            users.retain(|key| documents.contains_key(key));
            !users.is_empty()
        });
        self.users.keys().cloned().collect()
    }

    /// Keeps what the analysis of the newest text has read, and lets go of the analysis that was made longest ago.
    fn keep_in_sight(&mut self, key: &Arc<str>, view: &View, analyzed: &AnalyzedDocument) {
        let Some(open) = self.documents.get_mut(key) else {
            return;
        };
        if !Arc::ptr_eq(&open.view, view) {
            return;
        }
        open.used.clone_from(&analyzed.used);
        for used in &analyzed.used {
            let users = self.users.entry(used.path.clone()).or_default();
            users.insert(key.clone());
        }
        self.in_sight.retain(|other| other != key);
        self.in_sight.push_back(key.clone());
        if self.in_sight.len() > MAX_IN_SIGHT
            && let Some(oldest) = self.in_sight.pop_front()
            && let Some(open) = self.documents.get_mut(&oldest)
        {
            self.outdated.push(open.put_out_of_sight());
        }
    }

    /// A workshop does not know the newest texts of the records that are open.
    pub fn tell_of_open_records(&mut self) {
        let records = self.documents.values().filter(|o| o.is_record());
        self.unindexed.extend(records.map(|o| o.path.clone()));
    }

    /// Lets go of the workshops in whose folder nothing is open any more.
    pub fn close_workshops(&mut self) {
        let documents = &self.documents;
        self.workshops
            .keep_where(|root| documents.values().any(|o| o.path.starts_with(root)));
    }
}

/// What cannot be read of a project, for the log.
fn log(project: &Project) {
    for (path, why) in project.unreadable() {
        eprintln!("phasewright: {}: {why}", path.display());
    }
}

/// The folder whose batches and stock belong with a document.
pub fn workshop_root(document: &Path, project: &Project) -> PathBuf {
    project.workshop_root(document.parent().unwrap_or(Path::new("")))
}

/// One document goes by one key, however its URI is spelled.
pub fn key(uri: &Uri) -> Arc<str> {
    thread_local! {
        /// Most messages are about the document of the one before.
        static LAST: RefCell<(String, Arc<str>)> = RefCell::new((String::new(), "".into()));
    }
    LAST.with_borrow_mut(|(last, key)| {
        if *last != uri.0 {
            *key = match convert::path_of(&uri.0) {
                Some(path) => path.to_string_lossy().into(),
                None => uri.0.as_str().into(),
            };
            uri.0.clone_into(last);
        }
        key.clone()
    })
}

impl OpenTexts for GlobalState {
    fn text(&self, path: &Path) -> Option<String> {
        let state = self.lock();
        let open = state.documents.get(&*path.to_string_lossy());
        open.map(|open| open.text.to_string())
    }
}

impl GlobalState {
    pub fn new(options: Options, life: Arc<Lifecycle>, client: ClientSender) -> Arc<GlobalState> {
        let state = State {
            documents: HashMap::new(),
            projects: Projects::on((options.today)()).logged_by(log),
            workshops: Workshops::default(),
            folders: Vec::new(),
            pulls: false,
            has_pulled: false,
            dirty: BTreeSet::new(),
            affected: BTreeSet::new(),
            outdated: Vec::new(),
            said_of_closed: HashMap::new(),
            users: BTreeMap::new(),
            in_sight: VecDeque::new(),
            unindexed: BTreeSet::new(),
        };
        Arc::new(GlobalState {
            options,
            life,
            client,
            client_capabilities: OnceLock::new(),
            state: Mutex::new(state),
            check: Notify::new(),
            look: Notify::new(),
            revision: watch::Sender::new(1),
            answered_workspace: AtomicU64::new(0),
        })
    }

    pub fn begin(&self, client: ClientCapabilities) -> &ClientCapabilities {
        let mut state = self.lock();
        state.pulls = client.pulls;
        state.folders.clone_from(&client.folders);
        drop(state);
        self.client_capabilities.get_or_init(|| client)
    }

    pub fn client_capabilities(&self) -> &ClientCapabilities {
        static NOTHING_AGREED: OnceLock<ClientCapabilities> = OnceLock::new();
        self.client_capabilities
            .get()
            .unwrap_or_else(|| NOTHING_AGREED.get_or_init(ClientCapabilities::default))
    }

    pub fn lock(&self) -> MutexGuard<'_, State> {
        // A panic under the lock was caught and logged; the documents are whole, for each change to them is one step.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The URI of a file, spelled as the client spells it where it is open.
    pub fn uri_of(&self, path: &Path) -> Option<Uri> {
        let state = self.lock();
        let open = state.documents.get(&*path.to_string_lossy());
        open.map(|o| o.uri.clone())
            .or_else(|| convert::uri_of(path))
    }

    pub fn open(&self, uri: Uri, language: &str, version: i32, text: &str) {
        let path = kinds::path(&uri.0, &self.client_capabilities().folders);
        let kind = kinds::kind(language, &path);
        let key = key(&uri);
        let open = OpenDocument::new(uri, path, kind, version, text);
        self.lock().documents.insert(key, open);
    }

    pub fn is_record(&self, uri: &Uri) -> bool {
        let state = self.lock();
        let open = state.documents.get(&key(uri));
        open.is_some_and(OpenDocument::is_record)
    }

    /// What is known of the newest text of a document.
    pub async fn view(self: &Arc<Self>, uri: &Uri) -> Option<Arc<AnalyzedDocument>> {
        let key = key(uri);
        self.open_workshop(&key);
        self.update_workshops();
        let (view, task) = {
            let mut state = self.lock();
            let state = &mut *state;
            let open = state.documents.get_mut(&key)?;
            if let Some(known) = open.view.get() {
                return Some(known.clone());
            }
            let task = self.task(open, &mut state.projects, &mut state.workshops);
            (open.view.clone(), task)
        };
        let analyzed = view.get_or_init(|| task.run()).await.clone();
        self.lock().keep_in_sight(&key, &view, &analyzed);
        Some(analyzed)
    }

    /// The same as far as it is known without the rules.
    pub async fn unjudged(self: &Arc<Self>, uri: &Uri) -> Option<Arc<AnalyzedDocument>> {
        let key = key(uri);
        self.open_workshop(&key);
        self.update_workshops();
        let task = {
            let mut state = self.lock();
            let state = &mut *state;
            let open = state.documents.get_mut(&key)?;
            if let Some(known) = open.view.get() {
                return Some(known.clone());
            }
            let task = self.task(open, &mut state.projects, &mut state.workshops);
            AnalysisTask {
                judge: Snapshot::unjudged,
                with_rules: false,
                ..task
            }
        };
        Some(task.run().await)
    }

    fn task(
        self: &Arc<Self>,
        open: &mut OpenDocument,
        projects: &mut Projects,
        workshops: &mut Workshops,
    ) -> AnalysisTask {
        let project = projects.of(&open.path);
        let record = open.is_record().then(|| Record {
            workshop: workshops
                .of(workshop_root(&open.path, &project), &project)
                .0,
            facts: open.facts(&project),
        });
        AnalysisTask {
            path: open.path.clone(),
            kind: open.kind,
            version: open.version,
            text: open.text.clone(),
            tree: open.tree(),
            too_large: open.too_large(),
            project,
            loader: Loader::new(self.clone()),
            judge: self.options.judge,
            record,
            with_rules: true,
        }
    }

    /// To be checked when all that has arrived is taken in.
    pub fn check_soon(&self, uri: &Uri) {
        self.lock().dirty.insert(key(uri));
        self.check.notify_one();
    }

    /// This file has changed, in the editor or on the disk: what was worked out from it no longer holds.
    pub fn file_changed(&self, uri: &Uri) {
        let changed = key(uri);
        let path = Path::new(&*changed);
        let mut state = self.lock();
        if folder::is_record(path) {
            state.unindexed.insert(path.to_owned());
        }
        state.forget_users(path, |key, _| *key != changed);
        drop(state);
        self.check.notify_one();
    }

    /// Begins to keep the workshop of a record in memory.
    fn open_workshop(&self, key: &Arc<str>) {
        let mut state = self.lock();
        let state = &mut *state;
        let Some(open) = state.documents.get(key).filter(|o| o.is_record()) else {
            return;
        };
        let project = state.projects.of(&open.path);
        let root = workshop_root(&open.path, &project);
        if state.workshops.of(root, &project).1 {
            state.tell_of_open_records();
        }
    }

    /// Tells the workshops what the newest texts say. Records that are open with a changed one are judged again.
    pub fn update_workshops(&self) {
        let (paths, workshops) = {
            let mut state = self.lock();
            if state.unindexed.is_empty() {
                return;
            }
            let mut paths = std::mem::take(&mut state.unindexed);
            let is_open = |path: &Path| state.documents.contains_key(&*path.to_string_lossy());
            if paths.iter().filter(|path| !is_open(path)).count() > MAX_READ_AT_ONCE {
                paths.retain(|path| is_open(path));
                self.look.notify_one();
            }
            (paths, state.workshops.all())
        };
        let mut changed: Vec<(PathBuf, PathBuf)> = Vec::new();
        for path in paths {
            for workshop in workshops.iter().filter(|w| w.holds(&path)) {
                if self.update_workshop(workshop, &path) {
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

    fn update_workshop(&self, workshop: &Workshop, path: &Path) -> bool {
        let facts = {
            let mut state = self.lock();
            let open = state.documents.get_mut(&*path.to_string_lossy());
            open.filter(|o| o.is_record())
                .map(|o| o.facts(&workshop.project))
        };
        match (facts, FileKind::of_path(path)) {
            (Some(facts), _) => workshop.put(path, facts),
            (None, Some(kind)) => workshop.read_again(path, kind),
            (None, None) => false,
        }
    }

    /// What is known of some open records was worked out from others that have changed.
    pub fn forget_records(&self, is_affected: impl Fn(&Path) -> bool) {
        let any = self
            .lock()
            .forget_where(|open| open.is_record() && is_affected(&open.path));
        if any {
            self.check.notify_one();
        }
    }
}
