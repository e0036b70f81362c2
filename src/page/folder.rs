//! The files of the folder that is open: listed, read and written within it. cap-std keeps every path inside: `..`, absolute paths and
//! links that lead out are refused by it, step by step, also while somebody changes the folder.

use crate::project;
use crate::text::MAX_FILE_BYTES;
use cap_std::ambient_authority;
use cap_std::fs::{Dir, OpenOptions, Permissions};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Component, Path};
use std::sync::Mutex;
use std::sync::PoisonError;

/// Folders in folders are looked into this deep.
const MAX_DEPTH: usize = 8;

pub struct Folder {
    dir: Dir,
    name: String,
    /// One change at a time: what a file holds is looked at, then it is written.
    change: Mutex<()>,
}

#[derive(Debug, Serialize)]
pub struct Listed {
    /// With `/`, from the folder on.
    pub path: String,
    pub text: String,
}

/// Why a file is not given or written.
#[derive(Debug)]
pub enum Refused {
    NoFile,
    /// It holds something else than the page knows.
    Changed,
    /// Not one of the files that the page works with, or outside the folder.
    NotOurs,
    Failed(String),
}

impl From<io::Error> for Refused {
    fn from(e: io::Error) -> Refused {
        match e.kind() {
            ErrorKind::NotFound => Refused::NoFile,
            ErrorKind::PermissionDenied => Refused::NotOurs,
            _ => Refused::Failed(e.to_string()),
        }
    }
}

/// What a file has to hold for a change to go through.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Before {
    /// There is no such file yet.
    Nothing,
    /// Its [`tag`].
    Tag(String),
}

/// The mark of a text: its SHA-256, in quotes as HTTP writes it.
pub fn tag(text: &[u8]) -> String {
    let hex: String = Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("\"{hex}\"")
}

impl Folder {
    pub fn open(path: &Path) -> Result<Folder, String> {
        let shown = path.display();
        let dir = Dir::open_ambient_dir(path, ambient_authority()).map_err(|e| match e.kind() {
            ErrorKind::NotFound => format!("{shown}: there is no such folder; make it first"),
            _ => format!("{shown}: this folder cannot be opened: {e}"),
        })?;
        let real = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let name = real
            .file_name()
            .map_or_else(|| shown.to_string(), |n| n.to_string_lossy().into_owned());
        Ok(Folder {
            dir,
            name,
            change: Mutex::new(()),
        })
    }

    pub fn name(&self) -> &str {
        &self.name
    }

    /// Every file that the page works with, in the order of their paths. What cannot be read as text is left out.
    pub fn list(&self) -> io::Result<Vec<Listed>> {
        let mut found = Vec::new();
        self.walk(&mut |path, _| {
            if let Ok(text) = self.read(path) {
                found.push(Listed {
                    path: path.to_owned(),
                    text,
                });
            }
        })?;
        found.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(found)
    }

    /// A mark of the state of the whole folder: another one when a file has come, gone or changed.
    pub fn state(&self) -> io::Result<String> {
        let mut all = Vec::new();
        self.walk(&mut |path, file| {
            let changed = file.modified().ok().map(|m| m.into_std());
            all.push(format!("{path} {} {changed:?}", file.len()));
        })?;
        all.sort();
        Ok(tag(all.join("\n").as_bytes()).replace('"', ""))
    }

    fn walk(&self, tell: &mut dyn FnMut(&str, &cap_std::fs::Metadata)) -> io::Result<()> {
        fn into(
            dir: &Dir,
            before: &str,
            depth: usize,
            tell: &mut dyn FnMut(&str, &cap_std::fs::Metadata),
        ) -> io::Result<()> {
            for entry in dir.entries()? {
                let entry = entry?;
                let Ok(name) = entry.file_name().into_string() else {
                    continue;
                };
                if name.starts_with('.') {
                    continue;
                }
                let path = format!("{before}{name}");
                let Ok(kind) = entry.file_type() else {
                    continue;
                };
                if kind.is_dir() {
                    // A folder that may not be read hides its own files alone.
                    if depth < MAX_DEPTH
                        && let Ok(inner) = entry.open_dir()
                    {
                        let _ = into(&inner, &format!("{path}/"), depth + 1, tell);
                    }
                } else if project::kind(Path::new(&path)).is_some()
                    && let Ok(file) = dir.metadata(&name)
                    && file.is_file()
                {
                    tell(&path, &file);
                }
            }
            Ok(())
        }
        into(&self.dir, "", 0, tell)
    }

    /// The text of a file.
    pub fn read(&self, path: &str) -> Result<String, Refused> {
        let path = ours(path)?;
        let file = self.dir.open(path)?;
        let about = file.metadata()?;
        if !about.is_file() {
            return Err(Refused::NotOurs);
        }
        let mut bytes = Vec::new();
        file.take(MAX_FILE_BYTES + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > MAX_FILE_BYTES {
            return Err(Refused::Failed("this file is too large".to_owned()));
        }
        String::from_utf8(bytes).map_err(|_| Refused::Failed("this is not UTF-8 text".to_owned()))
    }

    /// Writes a file whole or not at all, if it still holds what the page knows.
    pub fn write(&self, path: &str, text: &str, before: &Before) -> Result<(), Refused> {
        let path = ours(path)?;
        let _one_at_a_time = self.lock();
        self.check(path, before)?;
        let parent = path.parent().filter(|p| !p.as_os_str().is_empty());
        let name = path.file_name().ok_or(Refused::NotOurs)?;
        let inner;
        let dir = match parent {
            Some(parent) => {
                self.dir.create_dir_all(parent)?;
                inner = self.dir.open_dir(parent)?;
                &inner
            }
            None => &self.dir,
        };
        // A link is not written through, and not replaced either.
        if dir
            .symlink_metadata(name)
            .is_ok_and(|about| !about.is_file())
        {
            return Err(Refused::NotOurs);
        }
        let permissions = dir.metadata(name).ok().map(|about| about.permissions());
        // Hidden, so that nobody lists it while it is half written.
        let half = format!(
            ".{}.{:016x}.part",
            name.to_string_lossy(),
            random().map_err(Refused::Failed)?
        );
        let written = put(dir, &half, text, permissions)
            .and_then(|()| take_its_place(dir, &half, Path::new(name), before));
        // Where it has taken the place of the file, it is gone already.
        let _ = dir.remove_file(&half);
        written
    }

    /// Takes a file away, if it still holds what the page knows.
    pub fn remove(&self, path: &str, before: &Before) -> Result<(), Refused> {
        let path = ours(path)?;
        let _one_at_a_time = self.lock();
        self.check(path, before)?;
        Ok(self.dir.remove_file(path)?)
    }

    fn check(&self, path: &Path, before: &Before) -> Result<(), Refused> {
        let now = match self.read(&path.to_string_lossy()) {
            Ok(text) => Before::Tag(tag(text.as_bytes())),
            Err(Refused::NoFile) => Before::Nothing,
            Err(other) => return Err(other),
        };
        if now == *before {
            Ok(())
        } else {
            Err(Refused::Changed)
        }
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, ()> {
        self.change.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A path of a file that the page works with: plain names from the folder on, none of them hidden.
fn ours(path: &str) -> Result<&Path, Refused> {
    let is_plain = |c: Component| match c {
        Component::Normal(name) => !name.as_encoded_bytes().starts_with(b"."),
        _ => false,
    };
    let odd = path.is_empty() || path.contains(['\\', '\0']);
    let path = Path::new(path);
    if odd || !path.components().all(is_plain) || project::kind(path).is_none() {
        return Err(Refused::NotOurs);
    }
    Ok(path)
}

fn random() -> Result<u64, String> {
    let mut bytes = [0u8; 8];
    getrandom::fill(&mut bytes).map_err(|e| format!("the system gives no random numbers: {e}"))?;
    Ok(u64::from_le_bytes(bytes))
}

/// A new file with a text, on the disk when this returns.
fn put(dir: &Dir, name: &str, text: &str, like: Option<Permissions>) -> Result<(), Refused> {
    let mut new = OpenOptions::new();
    let mut file = dir.open_with(name, new.write(true).create_new(true))?;
    file.write_all(text.as_bytes())?;
    if let Some(permissions) = like {
        file.set_permissions(permissions)?;
    }
    Ok(file.sync_all()?)
}

/// Gives a whole file its name in one step. Where there should be none yet, one that came up meanwhile stays.
fn take_its_place(dir: &Dir, half: &str, name: &Path, before: &Before) -> Result<(), Refused> {
    if *before != Before::Nothing {
        return Ok(dir.rename(half, dir, name)?);
    }
    match dir.hard_link(half, dir, name) {
        Ok(()) => Ok(()),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Err(Refused::Changed),
        // Some disks know no second name for a file.
        Err(_) if dir.symlink_metadata(name).is_err() => Ok(dir.rename(half, dir, name)?),
        Err(_) => Err(Refused::Changed),
    }
}
