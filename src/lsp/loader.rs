//! Where the text of other files comes from: as they are in the editor where they are open, else as they are saved. What was read is kept
//! with it, so that a change in one of them is known to matter.

use crate::model::{FileLoader, file_loader};
use crate::project::Stamp;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Another file that a judgement looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Used {
    pub path: PathBuf,
    pub from: UsedFrom,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UsedFrom {
    Editor,
    /// As it was saved; none: there was no such file.
    Disk(Option<Stamp>),
}

/// The texts of the documents that are open in the editor.
pub trait OpenTexts: Send + Sync {
    fn text(&self, path: &Path) -> Option<String>;
}

pub struct Loader {
    open: Arc<dyn OpenTexts>,
    used: Mutex<Vec<Used>>,
}

impl Loader {
    pub fn new(open: Arc<dyn OpenTexts>) -> Loader {
        Loader {
            open,
            used: Mutex::default(),
        }
    }

    /// All that was read so far, each file once.
    pub fn used(&self) -> Vec<Used> {
        std::mem::take(&mut *self.used.lock().unwrap_or_else(PoisonError::into_inner))
    }

    fn note(&self, path: &Path, from: UsedFrom) {
        let mut used = self.used.lock().unwrap_or_else(PoisonError::into_inner);
        if !used.iter().any(|u| u.path == path) {
            used.push(Used {
                path: path.to_owned(),
                from,
            });
        }
    }
}

impl FileLoader for Loader {
    fn read(&self, path: &Path) -> Result<String, String> {
        let open = self.open.text(path);
        if let Some(text) = open {
            self.note(path, UsedFrom::Editor);
            return Ok(text);
        }
        // Before it is read: what is written in between is then seen as a change.
        self.note(path, UsedFrom::Disk(Stamp::of(path)));
        file_loader::Disk.read(path)
    }
}
