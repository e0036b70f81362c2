//! Other formulas that a formula takes as ingredients: where their text comes from.

use std::path::{Path, PathBuf};

/// Gives the text of another file. The doors read the disk or the editor's open files; tests give a map.
pub trait Library: Send + Sync {
    fn read(&self, path: &Path) -> Result<String, String>;
}

/// No other files.
pub struct NoFiles;

impl Library for NoFiles {
    fn read(&self, _: &Path) -> Result<String, String> {
        Err("no such file".into())
    }
}

/// The disk.
pub struct Disk;

impl Library for Disk {
    fn read(&self, path: &Path) -> Result<String, String> {
        match std::fs::read(path) {
            Ok(bytes) => String::from_utf8(bytes).map_err(|_| "it is not UTF-8 text".to_owned()),
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => Err("no such file".into()),
            Err(e) => Err(e.to_string()),
        }
    }
}

/// The path of a file named in another, without `.` and `..` where they can be taken away.
pub fn beside(file: &Path, name: &str) -> PathBuf {
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
