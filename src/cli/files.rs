//! Which files a command is about, how they are read, and how their paths are shown.

pub use crate::project::{Kind, kind};
pub use crate::text::unreadable;
use crate::text::{Unreadable, read_file};
use std::path::{Component, Path, PathBuf};

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
    for path in paths {
        let path = tidy(path);
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
    let hidden =
        |e: &walkdir::DirEntry| e.depth() > 0 && e.file_name().as_encoded_bytes().starts_with(b".");
    for entry in walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .filter_entry(|e| !hidden(e))
    {
        match entry {
            Ok(e) => {
                let path = tidy(e.path());
                let is_file =
                    e.file_type().is_file() || e.file_type().is_symlink() && path.is_file();
                if let Some(kind) = kind(&path).filter(|k| is_file && wanted(*k)) {
                    found.push((path, kind));
                }
            }
            Err(e) => {
                let path = tidy(e.path().unwrap_or(folder));
                let what = e.io_error().map_or_else(|| e.to_string(), unreadable);
                troubles.push(FileError {
                    path,
                    line: None,
                    what,
                });
            }
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

/// Relative to the current folder where the path lies in it; without `.` steps.
pub fn tidy(path: &Path) -> PathBuf {
    let relative = if path.is_absolute() {
        here()
            .and_then(|h| path.strip_prefix(h).ok())
            .unwrap_or(path)
    } else {
        path
    };
    let out: PathBuf = relative
        .components()
        .filter(|c| !matches!(c, Component::CurDir))
        .collect();
    if out.as_os_str().is_empty() {
        PathBuf::from(".")
    } else {
        out
    }
}

/// The current folder, asked for once.
pub fn here() -> Option<&'static Path> {
    static HERE: std::sync::OnceLock<Option<PathBuf>> = std::sync::OnceLock::new();
    HERE.get_or_init(|| std::env::current_dir().ok()).as_deref()
}

/// A path as it is shown: always with `/`.
pub fn shown(path: &Path) -> String {
    let text = path.to_string_lossy();
    if std::path::MAIN_SEPARATOR == '/' {
        text.into_owned()
    } else {
        text.replace(std::path::MAIN_SEPARATOR, "/")
    }
}
