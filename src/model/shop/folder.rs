//! Which batch and stock files belong together: all under one folder, in any subfolder, except those of another workshop inside it.

use super::Facts;
use crate::kb::Kb;
use crate::model::settings;
use crate::syntax::{Cache, FileKind, parse_cached};
use crate::text::{Unreadable, read_file};
use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

/// Files that one thread reads at least: fewer are not worth starting one.
const MIN_SHARE: usize = 64;

#[derive(Debug, Default)]
pub struct WorkshopFiles {
    /// In the order of their paths.
    pub files: Vec<(PathBuf, FileKind)>,
    /// Folders that cannot be listed.
    pub unreadable: Vec<(PathBuf, io::Error)>,
}

/// The folder whose batches and stock belong together: the one of the settings; without settings, the file's own folder.
pub fn root(of_settings: Option<&Path>, own: &Path) -> PathBuf {
    let root = of_settings.unwrap_or(own);
    match root.as_os_str().is_empty() {
        true => PathBuf::from("."),
        false => root.to_owned(),
    }
}

/// The batch and stock files of a workshop.
pub fn find(root: &Path) -> WorkshopFiles {
    find_where(root, &record_kind)
}

/// The formulas of a workshop, in the order of their paths.
pub fn formulas(root: &Path) -> Vec<PathBuf> {
    let is_formula = |path: &Path| FileKind::of_path(path).filter(|k| *k == FileKind::Formula);
    let found = find_where(root, &is_formula).files.into_iter();
    found.map(|(path, _)| path).collect()
}

fn find_where(root: &Path, kind: &dyn Fn(&Path) -> Option<FileKind>) -> WorkshopFiles {
    let mut found = WorkshopFiles::default();
    list(root, kind, &mut found);
    found.files.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

fn list(folder: &Path, wanted: &dyn Fn(&Path) -> Option<FileKind>, found: &mut WorkshopFiles) {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) => return found.unreadable.push((folder.to_owned(), e)),
    };
    for entry in entries {
        let entry = match entry {
            Ok(entry) => entry,
            Err(e) => return found.unreadable.push((folder.to_owned(), e)),
        };
        let Ok(kind) = entry.file_type() else {
            continue;
        };
        if is_hidden(&entry.file_name()) {
            continue;
        }
        let path = entry.path();
        if kind.is_dir() {
            if !begins_another(&path) {
                list(&path, wanted, found);
            }
        } else if let Some(record) = wanted(&path)
            && (kind.is_file() || path.is_file())
        {
            found.files.push((path, record));
        }
    }
}

/// Whether a file is one of those that [`find`] finds, if it is there.
pub fn holds(root: &Path, file: &Path) -> bool {
    if !is_record(file) || !file.starts_with(root) {
        return false;
    }
    let is_shown = |path: &Path| !path.file_name().is_some_and(is_hidden);
    let mut folders = file.ancestors().skip(1).take_while(|f| *f != root);
    is_shown(file) && folders.all(|f| is_shown(f) && !begins_another(f))
}

/// A batch or a stock file, by its name.
pub fn is_record(file: &Path) -> bool {
    record_kind(file).is_some()
}

fn record_kind(path: &Path) -> Option<FileKind> {
    FileKind::of_path(path).filter(|kind| *kind != FileKind::Formula)
}

fn is_hidden(name: &OsStr) -> bool {
    name.as_encoded_bytes().starts_with(b".")
}

/// A folder with settings of its own is another workshop.
fn begins_another(folder: &Path) -> bool {
    folder.join(settings::FILE_NAME).is_file()
}

/// Reads files on all cores. The answers stand in the order of the files.
pub fn read_all(files: &[(PathBuf, FileKind)], kb: &Kb) -> Vec<Result<Facts, Unreadable>> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let share = files.len().div_ceil(cores).max(MIN_SHARE);
    if files.len() <= share {
        return read_in_turn(files, kb);
    }
    std::thread::scope(|scope| {
        let parts: Vec<_> = files
            .chunks(share)
            .map(|part| scope.spawn(move || read_in_turn(part, kb)))
            .collect();
        parts
            .into_iter()
            .flat_map(|part| part.join().expect("reading does not fail"))
            .collect()
    })
}

fn read_in_turn(files: &[(PathBuf, FileKind)], kb: &Kb) -> Vec<Result<Facts, Unreadable>> {
    let mut cache = Cache::default();
    files
        .iter()
        .map(|(path, kind)| read(path, *kind, kb, &mut cache))
        .collect()
}

/// The facts of one file.
pub fn read(path: &Path, kind: FileKind, kb: &Kb, cache: &mut Cache) -> Result<Facts, Unreadable> {
    let tree = parse_cached(kind, &read_file(path)?, cache);
    Ok(Facts::of(&tree, path, kb))
}
