//! The workshop of a folder: every batch and stock file under it, in any subfolder.

use super::files::{self, FileError, unreadable};
use super::out::eprintln_error;
use super::workspace::Workspaces;
use crate::model::shop::{Shop, folder};
use crate::project::Project;
use std::path::Path;
use std::sync::Arc;

pub struct OpenedShop {
    pub shop: Shop,
    pub workspace: Arc<Project>,
    /// A file could not be read; it has been told.
    pub unread: bool,
}

/// The workshop that a folder or a file belongs to: all under the folder of its settings; without settings, all under the folder itself.
pub fn open(at: &Path) -> OpenedShop {
    let folder = match at.is_dir() {
        true => at.to_owned(),
        false => at.parent().unwrap_or(Path::new("")).to_owned(),
    };
    let workspace = Workspaces::default().of(&folder.join("any"));
    let (shop, unread) = load(&workspace.workshop_root(&folder), &workspace);
    OpenedShop {
        shop,
        workspace,
        unread,
    }
}

/// Reads every batch and stock file under a folder; whether one could not be read. That has been told.
pub fn load(root: &Path, workspace: &Project) -> (Shop, bool) {
    let mut found = folder::find(root);
    for (path, _) in &mut found.files {
        *path = files::tidy(path);
    }
    let mut unread = !found.unreadable.is_empty();
    for (path, e) in found.unreadable {
        eprintln_error(FileError {
            path: files::tidy(&path),
            line: None,
            what: unreadable(&e),
        });
    }
    let mut shop = Shop::default();
    let read = folder::read_all(&found.files, &workspace.kb);
    for ((path, _), facts) in found.files.iter().zip(read) {
        match facts {
            Ok(facts) => shop.set(path, facts),
            Err(e) => {
                eprintln_error(FileError::unreadable(path, &e));
                unread = true;
            }
        }
    }
    (shop, unread)
}
