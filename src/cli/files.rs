//! Which files a command is about, and how they are read.

pub use super::paths::{shown, tidy};
use super::walk;
pub use crate::project::{Kind, kind};
pub use crate::text::unreadable;
use crate::text::{Unreadable, read_file};
use std::path::{Path, PathBuf};

/// A file that cannot be used: what is wrong, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileError {
    pub path: PathBuf,
    /// From 1.
    pub line: Option<usize>,
    pub what: String,
}

impl std::fmt::Display for FileError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(line) => write!(f, "{}:{line}: {}", shown(&self.path), self.what),
            None => write!(f, "{}: {}", shown(&self.path), self.what),
        }
    }
}

/// All files of these kinds under the paths, each once: the paths in their order, the files of a folder by name.
/// A file that is named itself has to be of one of the kinds.
pub fn find(
    paths: &[PathBuf],
    wanted: impl Fn(Kind) -> bool,
    expected: &str,
) -> (Vec<(PathBuf, Kind)>, Vec<FileError>) {
    let mut found = Vec::new();
    let mut troubles = Vec::new();
    let mut named = Vec::new();
    for path in paths {
        let path = tidy(path);
        match walk::matching(&path).filter(|fit| !path.exists() && !fit.is_empty()) {
            // What a pattern fits beside files of these kinds is not meant.
            Some(fit) => named.extend(fit.into_iter().filter(|p| kind(p).is_some_and(&wanted))),
            None => named.push(path),
        }
    }
    for path in named {
        match std::fs::metadata(&path) {
            Err(e) => troubles.push(FileError {
                what: unreadable(&e),
                line: None,
                path,
            }),
            Ok(m) if m.is_dir() => walk(&path, &wanted, &mut found, &mut troubles),
            Ok(_) => match kind(&path).filter(|k| wanted(*k)) {
                Some(kind) => found.push((path, kind)),
                None => troubles.push(FileError {
                    what: format!("this is not {expected}; name one, or a folder that holds some"),
                    line: None,
                    path,
                }),
            },
        }
    }
    let mut seen = std::collections::HashSet::new();
    found.retain(|(path, _)| seen.insert(path.clone()));
    (found, troubles)
}

fn walk(
    folder: &Path,
    wanted: &impl Fn(Kind) -> bool,
    found: &mut Vec<(PathBuf, Kind)>,
    troubles: &mut Vec<FileError>,
) {
    for entry in walk::files(folder) {
        match entry {
            Ok(path) => {
                let path = tidy(&path);
                if let Some(kind) = kind(&path).filter(|k| wanted(*k) && path.is_file()) {
                    found.push((path, kind));
                }
            }
            Err((path, what)) => troubles.push(FileError {
                path: tidy(path.as_deref().unwrap_or(folder)),
                line: None,
                what,
            }),
        }
    }
}

/// The text of a file.
pub fn read(path: &Path) -> Result<String, FileError> {
    read_file(path).map_err(|e| FileError::unreadable(path, &e))
}

impl FileError {
    pub fn unreadable(path: &Path, e: &Unreadable) -> FileError {
        FileError {
            path: path.to_owned(),
            line: e.line(),
            what: e.to_string(),
        }
    }
}
