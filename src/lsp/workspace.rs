//! The folder that a document belongs to: its settings and the maker's own ingredients, as they are saved. Nothing is searched for
//! downward, and nothing is read again unless its date or size has changed.

use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::Settings;
use crate::model::settings;
use crate::model::shop::folder;
use crate::project::{Home, ingredient_files};
use crate::rules::{self, Finding, judge_ingredients, judge_settings};
use crate::text::{read_file, unreadable};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

pub struct Project {
    pub settings: Settings,
    pub kb: Kb,
    /// Files of its own in which something is wrong, with their text.
    pub faulty: Vec<(PathBuf, String, Vec<Finding>)>,
    /// Files and folders of its own that cannot be read, and why. They count as not there.
    pub unreadable: Vec<(PathBuf, String)>,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Root {
    settings: Option<PathBuf>,
    ingredients: Option<PathBuf>,
}

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
    today: fn() -> Date,
    roots: HashMap<PathBuf, Root>,
    loaded: HashMap<Root, (Stamps, Arc<Project>)>,
}

/// Folders and projects as they were known before a look at the disk.
pub struct Known {
    today: Date,
    roots: HashMap<PathBuf, Root>,
    loaded: HashMap<Root, (Stamps, Arc<Project>)>,
}

/// What a look at the disk has found: folders that belong elsewhere now, projects that have to be read again.
pub struct News {
    roots: Vec<(PathBuf, Root)>,
    outdated: Vec<Root>,
}

impl Known {
    /// Looks at the disk. It needs no lock.
    pub fn look(self) -> News {
        let roots = self.roots.into_iter().filter_map(|(folder, known)| {
            let now = root(&folder);
            (now != known).then_some((folder, now))
        });
        let outdated = self.loaded.into_iter().filter(|(root, (stamps, project))| {
            // A file whose permissions are mended keeps its date.
            let mended = project.unreadable.iter().any(|(p, _)| is_sound(p));
            // A server that runs past midnight judges by the new day.
            stamp(root) != *stamps || mended || project.settings.today != self.today
        });
        News {
            roots: roots.collect(),
            outdated: outdated.map(|(root, _)| root).collect(),
        }
    }
}

impl Projects {
    pub fn new(today: fn() -> Date) -> Projects {
        Projects {
            today,
            roots: HashMap::new(),
            loaded: HashMap::new(),
        }
    }

    pub fn of(&mut self, document: &Path) -> Arc<Project> {
        let folder = document.parent().unwrap_or(Path::new("")).to_owned();
        let root = self
            .roots
            .entry(folder)
            .or_insert_with_key(|f| root(f))
            .clone();
        self.loaded
            .entry(root)
            .or_insert_with_key(|r| (stamp(r), Arc::new(load(r, (self.today)()))))
            .1
            .clone()
    }

    /// The folder whose batches and stock belong with a document.
    pub fn workshop_root(&mut self, document: &Path) -> PathBuf {
        let folder = document.parent().unwrap_or(Path::new(""));
        let root = self
            .roots
            .entry(folder.to_owned())
            .or_insert_with_key(|f| root(f));
        folder::root(root.settings.as_deref(), folder)
    }

    /// What a look at the disk compares with.
    pub fn known(&self) -> Known {
        Known {
            today: (self.today)(),
            roots: self.roots.clone(),
            loaded: self.loaded.clone(),
        }
    }

    /// Takes what the look has found; true if anything is new.
    pub fn take(&mut self, news: News) -> bool {
        let changed = !news.roots.is_empty() || !news.outdated.is_empty();
        self.roots.extend(news.roots);
        for root in news.outdated {
            self.loaded.remove(&root);
        }
        changed
    }

    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.loaded.values().map(|(_, p)| p)
    }
}

fn root(folder: &Path) -> Root {
    let home = Home::of_folder(folder);
    Root {
        settings: home.settings,
        ingredients: home.ingredients,
    }
}

fn files(root: &Root) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = root.settings.iter().cloned().collect();
    all.extend(
        root.ingredients
            .iter()
            .flat_map(|f| ingredient_files(f))
            .flatten(),
    );
    all
}

fn is_sound(path: &Path) -> bool {
    if path.is_dir() {
        std::fs::read_dir(path).is_ok()
    } else {
        read_file(path).is_ok()
    }
}

fn stamp(root: &Root) -> Stamps {
    files(root)
        .into_iter()
        .map(|path| {
            let stamp = Stamp::of(&path);
            (path, stamp)
        })
        .collect()
}

pub fn codes() -> Vec<&'static str> {
    rules::all().map(|r| r.code).collect()
}

fn load(root: &Root, today: Date) -> Project {
    let mut project = Project {
        settings: Settings::on(today),
        kb: Kb::default(),
        faulty: Vec::new(),
        unreadable: Vec::new(),
    };
    if let Some(path) = &root.settings
        && let Some(text) = project.read(path)
    {
        let (settings, faults) = settings::parse(&text, &codes(), today);
        project.settings = settings;
        if !faults.is_empty() {
            project
                .faulty
                .push((path.clone(), text, judge_settings(&faults)));
        }
    }
    let mut own: Vec<(PathBuf, String)> = Vec::new();
    match root.ingredients.as_deref().map(ingredient_files) {
        Some(Ok(paths)) => own.extend(
            paths
                .into_iter()
                .filter_map(|p| project.read(&p).map(|text| (p, text))),
        ),
        Some(Err(e)) => project
            .unreadable
            .extend(root.ingredients.iter().map(|f| (f.clone(), unreadable(&e)))),
        None => {}
    }
    let (kb, faults) = Kb::with_user_entries(&own);
    project.kb = kb;
    for (path, text) in own {
        let mine: Vec<_> = faults.iter().filter(|f| f.file == path).cloned().collect();
        if !mine.is_empty() {
            let findings = judge_ingredients(&text, &mine);
            project.faulty.push((path, text, findings));
        }
    }
    project
}

impl Project {
    /// The text of one of its files; where it cannot be read, why is kept.
    fn read(&mut self, path: &Path) -> Option<String> {
        match read_file(path) {
            Ok(text) => Some(text),
            Err(e) => {
                eprintln!("phasewright: {}: {e}", path.display());
                let at = e.line().map_or(String::new(), |l| format!("line {l}: "));
                self.unreadable.push((path.to_owned(), format!("{at}{e}")));
                None
            }
        }
    }
}
