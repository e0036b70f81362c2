//! The workshop of a folder: every batch and stock file under it, in any subfolder.

use super::files::{self, Kind};
use super::out::complain;
use super::workspace::{Workspace, Workspaces};
use crate::model::shop::{Facts, Shop};
use crate::syntax::{Cache, FileKind, parse_cached};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub struct Opened {
    pub shop: Shop,
    pub workspace: Arc<Workspace>,
    /// A file could not be read; it has been told.
    pub unread: bool,
}

/// The workshop that a folder or a file belongs to: all under the folder of its settings; without settings, all under the folder itself.
pub fn open(at: &Path) -> Opened {
    let folder = match at.is_dir() {
        true => at.to_owned(),
        false => at.parent().unwrap_or(Path::new("")).to_owned(),
    };
    let workspace = Workspaces::default().of(&folder.join("any"));
    let (shop, unread) = load(&root(&workspace, folder), &workspace);
    Opened {
        shop,
        workspace,
        unread,
    }
}

/// The folder whose batches and stock belong together.
pub fn root(workspace: &Workspace, folder: PathBuf) -> PathBuf {
    let root = workspace.root.clone().unwrap_or(folder);
    if root.as_os_str().is_empty() {
        PathBuf::from(".")
    } else {
        root
    }
}

/// Reads every batch and stock file under a folder; whether one could not be read. That has been told.
pub fn load(root: &Path, workspace: &Workspace) -> (Shop, bool) {
    let is_record = |k| matches!(k, Kind::Text(FileKind::Batch | FileKind::Stock));
    let (mut found, troubles) = files::find(
        &[root.to_owned()],
        is_record,
        "a folder of batches and stock",
    );
    let mut folders = HashMap::new();
    found.retain(|(path, _)| !is_of_another(path, root, &mut folders));
    let mut unread = !troubles.is_empty();
    troubles.into_iter().for_each(complain);
    let mut shop = Shop::default();
    for (path, read) in read_all(&found, workspace) {
        match read {
            Ok(facts) => shop.set(path, facts),
            Err(trouble) => {
                complain(trouble);
                unread = true;
            }
        }
    }
    (shop, unread)
}

/// Whether a file lies in a folder below the root that has settings of its own: that is another workshop.
fn is_of_another(path: &Path, root: &Path, known: &mut HashMap<PathBuf, bool>) -> bool {
    let Some(folder) = path
        .parent()
        .filter(|f| !f.as_os_str().is_empty() && *f != root)
    else {
        return false;
    };
    if let Some(known) = known.get(folder) {
        return *known;
    }
    let found = folder.join(files::SETTINGS).is_file() || is_of_another(folder, root, known);
    known.insert(folder.to_owned(), found);
    found
}

type Read<'a> = (&'a Path, Result<Facts, files::Trouble>);

/// Reads the files on all cores, in their order.
fn read_all<'a>(found: &'a [(PathBuf, Kind)], workspace: &Workspace) -> Vec<Read<'a>> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let share = found.len().div_ceil(cores).max(64);
    std::thread::scope(|scope| {
        let parts: Vec<_> = found
            .chunks(share)
            .map(|part| {
                scope.spawn(move || {
                    let mut cache = Cache::default();
                    part.iter()
                        .map(|(path, kind)| {
                            (path.as_path(), read(path, *kind, workspace, &mut cache))
                        })
                        .collect::<Vec<_>>()
                })
            })
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("reading does not fail"))
            .collect()
    })
}

fn read(
    path: &Path,
    kind: Kind,
    workspace: &Workspace,
    cache: &mut Cache,
) -> Result<Facts, files::Trouble> {
    let Kind::Text(kind) = kind else {
        return Ok(Facts::default());
    };
    let tree = parse_cached(kind, &files::read(path)?, cache);
    Ok(Facts::of(&tree, path, &workspace.kb))
}
