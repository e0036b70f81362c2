//! Projects by folder. Each is read once, and again when one of its files or the day has changed.

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
    known: Known,
    log: fn(&Project),
}

/// Folders and projects as they were known before a look at the disk.
#[derive(Clone)]
pub struct Known {
    today: Date,
    /// How paths are shown in what is said of the project's own files.
    shown: fn(&Path) -> PathBuf,
    /// Settings that stand for those of all files, with the folder that they are about.
    settings: Option<(PathBuf, PathBuf)>,
    homes: HashMap<PathBuf, Home>,
    loaded: HashMap<Home, (Stamps, Arc<Project>)>,
}

/// What a look at the disk has found: folders that belong elsewhere now, projects that have to be read again.
pub struct News {
    today: Date,
    homes: Vec<(PathBuf, Home)>,
    outdated: Vec<Home>,
}

impl Known {
    /// Looks at the disk. It needs no lock.
    pub fn look(self, today: Date) -> News {
        let shown = self.shown;
        let homes = self.homes.into_iter().filter_map(|(folder, known)| {
            let now = Home::of_folder(&folder).shown_by(shown);
            (now != known).then_some((folder, now))
        });
        let outdated = self.loaded.into_iter().filter(|(home, (before, project))| {
            // A file whose permissions are mended keeps its date.
            let mended = |f: &super::OwnFile| f.text.is_err() && can_be_read(&f.path);
            // A server may run past midnight.
            stamps(home) != *before || project.own.iter().any(mended) || self.today != today
        });
        News {
            today,
            homes: homes.collect(),
            outdated: outdated.map(|(home, _)| home).collect(),
        }
    }
}

impl Projects {
    /// Projects as they are judged on a day.
    pub fn on(today: Date) -> Projects {
        Projects {
            known: Known {
                today,
                shown: Path::to_owned,
                settings: None,
                homes: HashMap::new(),
                loaded: HashMap::new(),
            },
            log: |_| {},
        }
    }

    /// Their paths are shown in another way than from the root of the disk on.
    pub fn shown_by(mut self, shown: fn(&Path) -> PathBuf) -> Projects {
        self.known.shown = shown;
        self
    }

    /// One file of settings stands for those of all files, as if it lay in that folder.
    pub fn with_settings(mut self, file: &Path, folder: &Path) -> Projects {
        self.known.settings = Some((file.to_owned(), folder.to_owned()));
        self
    }

    /// Each project goes to the log once it is read.
    pub fn logged_by(self, log: fn(&Project)) -> Projects {
        Projects { log, ..self }
    }

    /// The project of a file, as it is saved.
    pub fn of(&mut self, file: &Path) -> Arc<Project> {
        let Known {
            today,
            shown,
            settings,
            homes,
            loaded,
        } = &mut self.known;
        let folder = file.parent().unwrap_or(Path::new("")).to_owned();
        let mut home = homes
            .entry(folder)
            .or_insert_with_key(|folder| Home::of_folder(folder).shown_by(*shown))
            .clone();
        if let Some((file, _)) = settings {
            home.settings = Some(file.clone());
        }
        let read = |home: &Home| {
            let before = stamps(home);
            let mut project = load(home, *today);
            if let Some((_, folder)) = settings {
                project.root = Some(folder.clone());
            }
            (self.log)(&project);
            (before, Arc::new(project))
        };
        loaded.entry(home).or_insert_with_key(read).1.clone()
    }

    /// What a look at the disk compares with.
    pub fn known(&self) -> Known {
        self.known.clone()
    }

    /// Takes what a look has found. True if anything is new.
    pub fn take(&mut self, news: News) -> bool {
        let changed = !news.homes.is_empty() || !news.outdated.is_empty();
        self.known.today = news.today;
        self.known.homes.extend(news.homes);
        for home in news.outdated {
            self.known.loaded.remove(&home);
        }
        changed
    }

    /// Every project that was asked for.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.known.loaded.values().map(|(_, p)| p)
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
