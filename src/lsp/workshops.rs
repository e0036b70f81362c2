//! The batches and lots of the folders that records are open from, kept in memory: the newest text of what is open in the editor, everything
//! else as it is saved.

use super::tasks;
use crate::model::shop::{Facts, Shop, folder};
use crate::project::{Project, Stamp};
use crate::syntax::{Cache, FileKind};
use crate::text::unreadable;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard, RwLockWriteGuard};
use tokio::sync::OnceCell;

/// The workshops by their folders.
#[derive(Default)]
pub struct Workshops {
    by_root: HashMap<PathBuf, Arc<Workshop>>,
}

impl Workshops {
    /// The workshop of a folder, and whether it is new: then it does not know yet what is open in the editor. One that was read with other
    /// settings or ingredients is replaced.
    pub fn of(&mut self, root: PathBuf, project: &Arc<Project>) -> (Arc<Workshop>, bool) {
        match self.by_root.get(&root) {
            Some(known) if Arc::ptr_eq(&known.project, project) => (known.clone(), false),
            _ => {
                let new = Arc::new(Workshop::new(root.clone(), project.clone()));
                self.by_root.insert(root, new.clone());
                (new, true)
            }
        }
    }

    pub fn all(&self) -> Vec<Arc<Workshop>> {
        self.by_root.values().cloned().collect()
    }

    /// Lets go of those that are not in use.
    pub fn keep_where(&mut self, is_used: impl Fn(&Path) -> bool) {
        self.by_root.retain(|root, _| is_used(root));
    }
}

/// One folder's batches and lots. Its lock is never taken while the state of the server is locked: a judgement holds it, and asks the state
/// for the texts of other files.
pub struct Workshop {
    pub root: PathBuf,
    pub project: Arc<Project>,
    index: RwLock<Index>,
    /// False: reading failed, which is a fault of the program.
    built: OnceCell<bool>,
}

#[derive(Default)]
struct Index {
    shop: Shop,
    /// The files that were found on the disk, as they were when they were read.
    stamps: HashMap<PathBuf, Option<Stamp>>,
    /// Files whose newest text is the editor's.
    in_editor: HashSet<PathBuf>,
    /// Files that were read again while the folder was read for the first time.
    read_meanwhile: BTreeSet<PathBuf>,
    /// Files and folders that cannot be read, and why.
    unreadable: Vec<(PathBuf, String)>,
}

impl Index {
    /// Puts new facts in place. True if they differ from those before.
    fn put(&mut self, path: &Path, facts: Arc<Facts>) -> bool {
        let same = match self.shop.facts(path) {
            Some(before) => *before == facts,
            None => facts.is_empty(),
        };
        if !same {
            self.shop.set(path, facts);
        }
        !same
    }

    fn remove(&mut self, path: &Path) -> bool {
        let was_there = self.shop.facts(path).is_some();
        self.shop.remove(path);
        was_there
    }
}

impl Workshop {
    fn new(root: PathBuf, project: Arc<Project>) -> Workshop {
        Workshop {
            root,
            project,
            index: RwLock::default(),
            built: OnceCell::new(),
        }
    }

    fn read(&self) -> RwLockReadGuard<'_, Index> {
        self.index.read().unwrap_or_else(PoisonError::into_inner)
    }

    fn write(&self) -> RwLockWriteGuard<'_, Index> {
        self.index.write().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until the folder is read. False if that failed.
    pub async fn ready(self: &Arc<Self>) -> bool {
        let build = || async {
            let workshop = self.clone();
            let built = tasks::spawn_blocking(move || workshop.build()).await;
            if built.is_none() {
                eprintln!(
                    "phasewright: {}: reading the batches and lots failed; this is a fault of the program",
                    self.root.display()
                );
            }
            built.is_some()
        };
        *self.built.get_or_init(build).await
    }

    /// Reads the folder. What is open in the editor stays as the editor has it.
    fn build(&self) {
        let found = folder::find(&self.root);
        let mut stamps = stamps(&found.files);
        let read = folder::read_all(&found.files, &self.project.kb);
        let mut unread: Vec<(PathBuf, String)> = Vec::new();
        for (path, e) in found.unreadable {
            unread.push((path, unreadable(&e)));
        }
        let mut fresh = Shop::default();
        for ((path, _), facts) in found.files.iter().zip(read) {
            match facts {
                Ok(facts) => fresh.set(path, facts),
                // Gone again since the folder was listed.
                Err(_) if Stamp::of(path).is_none() => drop(stamps.remove(path)),
                Err(e) => unread.push((path.clone(), e.to_string())),
            }
        }
        for (path, why) in &unread {
            eprintln!("phasewright: {}: {why}", path.display());
        }
        let mut index = self.write();
        for path in &index.in_editor {
            match index.shop.facts(path) {
                Some(facts) => fresh.set(path, facts.clone()),
                None => fresh.remove(path),
            }
        }
        index.shop = fresh;
        index.stamps = stamps;
        index.unreadable = unread;
        let meanwhile = std::mem::take(&mut index.read_meanwhile);
        drop(index);
        for path in meanwhile {
            if let Some(kind) = FileKind::of_path(&path) {
                self.read_again(&path, kind);
            }
        }
    }

    /// Whether a file is one of this workshop's.
    pub fn holds(&self, path: &Path) -> bool {
        let known = {
            let index = self.read();
            index.in_editor.contains(path) || index.stamps.contains_key(path)
        };
        known || folder::holds(&self.root, path)
    }

    /// Takes what the editor's text says. True if it says something else than before.
    pub fn put(&self, path: &Path, facts: Arc<Facts>) -> bool {
        let mut index = self.write();
        index.in_editor.insert(path.to_owned());
        index.put(path, facts)
    }

    /// Takes what the saved file says, whatever its date. True if it says something else than before.
    pub fn read_again(&self, path: &Path, kind: FileKind) -> bool {
        let stamp = Stamp::of(path);
        let read = folder::read(path, kind, &self.project.kb, &mut Cache::default());
        let mut index = self.write();
        index.in_editor.remove(path);
        if self.built.get().is_none() {
            index.read_meanwhile.insert(path.to_owned());
        }
        index.take(path, stamp, read.map_err(|e| e.to_string()))
    }

    /// Looks at the dates of all files on the disk, and reads what is new. True if anything says something else than before.
    pub fn look_at_disk(&self) -> bool {
        if self.built.get().is_none() {
            return false;
        }
        let found = folder::find(&self.root);
        let now = stamps(&found.files);
        let (changed, gone) = {
            let index = self.read();
            let is_new = |path: &Path| index.stamps.get(path) != now.get(path);
            let changed: Vec<(PathBuf, FileKind)> = found
                .files
                .into_iter()
                .filter(|(path, _)| is_new(path))
                .collect();
            let gone = index.stamps.keys().filter(|path| !now.contains_key(*path));
            (changed, gone.cloned().collect::<Vec<_>>())
        };
        if changed.is_empty() && gone.is_empty() {
            return false;
        }
        let read = folder::read_all(&changed, &self.project.kb);
        let mut index = self.write();
        let mut differs = false;
        for ((path, _), facts) in changed.iter().zip(read) {
            let stamp = now.get(path).copied().flatten();
            if index.in_editor.contains(path) {
                index.stamps.insert(path.clone(), stamp);
            } else {
                differs |= index.take(path, stamp, facts.map_err(|e| e.to_string()));
            }
        }
        for path in gone {
            index.stamps.remove(&path);
            index.unreadable.retain(|(p, _)| *p != path);
            if !index.in_editor.contains(&path) {
                differs |= index.remove(&path);
            }
        }
        differs
    }

    /// Asks the index.
    pub fn with_shop<T>(&self, ask: impl FnOnce(&Shop) -> T) -> T {
        ask(&self.read().shop)
    }

    /// Files and folders that cannot be read, and why: what they hold does not count.
    pub fn unreadable(&self) -> Vec<(PathBuf, String)> {
        self.read().unreadable.clone()
    }
}

impl Index {
    /// Takes a saved file, or that it cannot be read.
    fn take(&mut self, path: &Path, stamp: Option<Stamp>, facts: Result<Facts, String>) -> bool {
        let was_unreadable = self.unreadable.iter().any(|(p, _)| p == path);
        self.unreadable.retain(|(p, _)| p != path);
        match stamp {
            Some(_) => self.stamps.insert(path.to_owned(), stamp),
            None => self.stamps.remove(path),
        };
        match facts {
            Ok(facts) => self.put(path, Arc::new(facts)) || was_unreadable,
            // Gone, and not unreadable.
            Err(_) if stamp.is_none() => self.remove(path) || was_unreadable,
            Err(why) => {
                eprintln!("phasewright: {}: {why}", path.display());
                self.unreadable.push((path.to_owned(), why));
                self.remove(path) || !was_unreadable
            }
        }
    }
}

fn stamps(files: &[(PathBuf, FileKind)]) -> HashMap<PathBuf, Option<Stamp>> {
    let stamp = |(path, _): &(PathBuf, FileKind)| (path.clone(), Stamp::of(path));
    files.iter().map(stamp).collect()
}
