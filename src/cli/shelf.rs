//! The shelf of a formula: the stock and batch files that lie in its folder and next to the settings.

use super::files::{self, Kind};
use super::out::eprintln_error;
use crate::model::shelf::{File, Shelf};
use crate::project::Project;
use crate::syntax::{self, FileKind, Tree};
use std::path::{Path, PathBuf};

pub struct ShelfFiles {
    pub shelf: Shelf,
    /// A file could not be read; it has been told.
    pub unread: bool,
}

pub fn of(formula: &Path, workspace: &Project) -> ShelfFiles {
    let folder = formula.parent().unwrap_or(Path::new("")).to_owned();
    let mut folders = vec![folder];
    // By whichever way it is named, a folder is listed once: a lot must not count twice.
    if let Some(root) = &workspace.root
        && std::fs::canonicalize(whole(root)).ok() != std::fs::canonicalize(whole(&folders[0])).ok()
    {
        folders.push(root.clone());
    }
    let mut unread = false;
    let mut read: Vec<(PathBuf, Tree)> = Vec::new();
    for (path, kind) in folders.iter().flat_map(|f| listed(f)) {
        match files::read(&path) {
            Ok(text) => read.push((path, syntax::parse(kind, &text))),
            Err(trouble) => {
                eprintln_error(trouble);
                unread = true;
            }
        }
    }
    let all: Vec<File> = read
        .iter()
        .map(|(path, tree)| File { path, tree })
        .collect();
    ShelfFiles {
        shelf: Shelf::read(&all, &workspace.kb),
        unread,
    }
}

/// The stock and batch files of a folder, by name.
fn listed(folder: &Path) -> Vec<(PathBuf, FileKind)> {
    let entries = std::fs::read_dir(whole(folder))
        .into_iter()
        .flatten()
        .flatten();
    let mut all: Vec<(PathBuf, FileKind)> = entries
        .map(|e| files::tidy(&folder.join(e.file_name())))
        .filter(|p| {
            p.is_file()
                && !p
                    .file_name()
                    .is_some_and(|n| n.as_encoded_bytes().starts_with(b"."))
        })
        .filter_map(|p| match files::kind(&p)? {
            Kind::Text(kind @ (FileKind::Stock | FileKind::Batch)) => Some((p, kind)),
            _ => None,
        })
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

/// The current folder has no name of its own.
fn whole(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    }
}
