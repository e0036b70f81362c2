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

pub use clock::today;
pub use home::{Home, ingredient_files};
pub use kinds::{Kind, OWN, SETTINGS, kind};
pub use load::{OwnFile, Unread, rule_codes};
pub use projects::{Projects, Stamp};

use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::Settings;
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
}
