//! What surrounds a file: its settings, the maker's own ingredients, the kind of each file, the day.
//!
//! The same file gets the same answer whatever the current folder is and whichever folder an editor has open. Settings and
//! ingredients count as they are saved. Formulas that a formula names are read through [`crate::model::FileLoader`], the one
//! thing in which the command line and the server differ: in the server an open document stands before its file.

mod clock;
mod home;
mod kinds;
mod load;
mod projects;

pub use clock::{now, today};
pub use home::{Home, ingredient_files};
pub use kinds::{Kind, OWN, SETTINGS, kind};
pub use load::{OwnFile, Unread, rule_codes};
pub use projects::{Known, News, Projects, Stamp};

use crate::analysis::finding::Finding;
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::Settings;
use crate::model::shop::folder;
use std::path::{Path, PathBuf};

/// The settings and the ingredients that a file is judged with.
pub struct Project {
    /// The folder of its settings, where there are some.
    pub root: Option<PathBuf>,
    pub settings: Settings,
    pub kb: Kb,
    /// Its own files, with what is wrong in them: settings first, then ingredients by name.
    pub own: Vec<OwnFile>,
}

impl Project {
    /// The project of a file on a day, as it is saved.
    pub fn find(file: &Path, today: Date) -> Project {
        load::load(&Home::of(file), today)
    }

    /// The folder whose batches and stock belong together, for a file in `folder`.
    pub fn workshop_root(&self, folder: &Path) -> PathBuf {
        folder::root(self.root.as_deref(), folder)
    }

    /// Its own files and folders that cannot be read, and why. They count as not there.
    pub fn unreadable(&self) -> impl Iterator<Item = (&Path, &Unread)> {
        self.own
            .iter()
            .filter_map(|file| Some((&*file.path, file.text.as_ref().err()?)))
    }

    /// Its own files in which something is wrong: path, text, findings.
    pub fn faulty(&self) -> impl Iterator<Item = (&Path, &str, &[Finding])> {
        self.own
            .iter()
            .filter(|file| !file.findings.is_empty())
            .filter_map(|file| Some((&*file.path, file.text.as_deref().ok()?, &*file.findings)))
    }
}
