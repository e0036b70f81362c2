//! Other formulas that a formula takes as ingredients: where their text comes from.

use crate::text::{Unreadable, read_file};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Gives the text of another file: from the disk in the commands, from open documents first in the server, from a map in tests.
/// An error says why there is none, in words for the maker.
pub trait FileLoader: Send + Sync {
    fn read(&self, path: &Path) -> Result<String, String>;
}

/// No other files.
pub struct NoFiles;

impl FileLoader for NoFiles {
    fn read(&self, _: &Path) -> Result<String, String> {
        Err("no such file".into())
    }
}

/// The disk.
pub struct Disk;

impl FileLoader for Disk {
    fn read(&self, path: &Path) -> Result<String, String> {
        read_file(path).map_err(|e| match e {
            Unreadable::Io(e) if e.kind() == ErrorKind::NotFound => "no such file".to_owned(),
            other => other.to_string(),
        })
    }
}

/// The path of `name` as seen from the folder of `file`, without `.` and `..` where they can be taken away.
pub fn resolve_relative(file: &Path, name: &str) -> PathBuf {
    let mut out = PathBuf::new();
    for part in file
        .parent()
        .unwrap_or(Path::new(""))
        .join(name)
        .components()
    {
        match part {
            std::path::Component::CurDir => {}
            std::path::Component::ParentDir if out.file_name().is_some() => {
                out.pop();
            }
            other => out.push(other),
        }
    }
    out
}
