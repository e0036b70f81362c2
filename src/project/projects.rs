//! Projects by folder. Each is read once, and again when one of its files has changed.

use super::Project;
use super::home::Home;
use super::load::load;
use crate::chem::date::Date;
use crate::text::read_file;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// What tells that a file was written again: its date and size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp(Option<SystemTime>, u64);

impl Stamp {
    /// None: there is no such file.
    pub fn of(path: &Path) -> Option<Stamp> {
        let meta = std::fs::metadata(path).ok()?;
        Some(Stamp(meta.modified().ok(), meta.len()))
    }
}

type Stamps = Vec<(PathBuf, Option<Stamp>)>;

pub struct Projects {
    /// How paths are shown in what is said of the project's own files.
    shown: fn(&Path) -> PathBuf,
    homes: HashMap<PathBuf, Home>,
    loaded: HashMap<Home, (Stamps, Arc<Project>)>,
}

impl Default for Projects {
    fn default() -> Projects {
        Projects::shown_by(Path::to_owned)
    }
}

impl Projects {
    /// Projects whose paths are shown in another way than from the root of the disk on.
    pub fn shown_by(shown: fn(&Path) -> PathBuf) -> Projects {
        Projects {
            shown,
            homes: HashMap::new(),
            loaded: HashMap::new(),
        }
    }

    /// The project of a file on a day, as it is saved.
    pub fn of(&mut self, file: &Path, today: Date) -> Arc<Project> {
        // A server may run for days.
        self.loaded
            .retain(|_, (_, project)| project.settings.today == today);
        let folder = file.parent().unwrap_or(Path::new("")).to_owned();
        let home = self
            .homes
            .entry(folder)
            .or_insert_with_key(|folder| Home::of_folder(folder).shown_by(self.shown))
            .clone();
        let read = |home: &Home| (stamps(home), Arc::new(load(home, today)));
        self.loaded.entry(home).or_insert_with_key(read).1.clone()
    }

    /// Looks at the disk again. True if anything is new.
    pub fn refresh(&mut self) -> bool {
        let mut changed = false;
        for (folder, known) in &mut self.homes {
            let now = Home::of_folder(folder).shown_by(self.shown);
            changed |= now != *known;
            *known = now;
        }
        self.loaded.retain(|home, (before, project)| {
            // A file whose permissions are mended keeps its date.
            let mended = |f: &super::OwnFile| f.text.is_err() && can_be_read(&f.path);
            let same = stamps(home) == *before && !project.own.iter().any(mended);
            changed |= !same;
            same
        });
        changed
    }

    /// Every project that was asked for.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.loaded.values().map(|(_, p)| p)
    }
}

fn can_be_read(path: &Path) -> bool {
    if path.is_dir() {
        std::fs::read_dir(path).is_ok()
    } else {
        read_file(path).is_ok()
    }
}

fn stamps(home: &Home) -> Stamps {
    home.files()
        .into_iter()
        .map(|path| {
            let stamp = Stamp::of(&path);
            (path, stamp)
        })
        .collect()
}
