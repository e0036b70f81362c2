//! The folder that a document belongs to: its settings and the maker's own ingredients, as they are saved. Nothing is searched for
//! downward, and nothing is read again unless its date or size has changed.

use super::kinds::{OWN, SETTINGS};
use crate::kb::Kb;
use crate::model::Settings;
use crate::model::settings;
use crate::rules::{self, Finding, judge_ingredients, judge_settings};
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// A file larger than this is no settings and no ingredient.
const LARGEST: u64 = 4 << 20;

#[derive(Default)]
pub struct Project {
    pub settings: Settings,
    pub kb: Kb,
    /// Files of its own in which something is wrong, with their text.
    pub faulty: Vec<(PathBuf, String, Vec<Finding>)>,
}

#[derive(Clone, Debug, PartialEq, Eq, Hash)]
struct Root {
    settings: Option<PathBuf>,
    ingredients: Option<PathBuf>,
}

/// A file's path, date and size.
type Stamp = Vec<(PathBuf, Option<SystemTime>, u64)>;

#[derive(Default)]
pub struct Projects {
    /// The folders of the workspace: no ingredients are looked for above them.
    pub tops: Vec<PathBuf>,
    roots: HashMap<PathBuf, Root>,
    loaded: HashMap<Root, (Stamp, Arc<Project>)>,
}

impl Projects {
    pub fn of(&mut self, document: &Path) -> Arc<Project> {
        let folder = document.parent().unwrap_or(Path::new("")).to_owned();
        let tops = &self.tops;
        let root = self
            .roots
            .entry(folder)
            .or_insert_with_key(|f| root(f, tops))
            .clone();
        self.loaded
            .entry(root)
            .or_insert_with_key(|r| (stamp(r), Arc::new(load(r))))
            .1
            .clone()
    }

    /// Looks at the disk again; true if anything is new.
    pub fn refresh(&mut self) -> bool {
        let tops = &self.tops;
        let mut changed = false;
        for (folder, known) in &mut self.roots {
            let now = root(folder, tops);
            changed |= now != *known;
            *known = now;
        }
        self.loaded.retain(|root, (old, _)| {
            let same = stamp(root) == *old;
            changed |= !same;
            same
        });
        changed
    }

    pub fn all(&self) -> impl Iterator<Item = &Arc<Project>> {
        self.loaded.values().map(|(_, p)| p)
    }
}

/// The nearest settings upward and the ingredients beside them; without settings the nearest ingredients, inside the workspace.
fn root(folder: &Path, tops: &[PathBuf]) -> Root {
    let folder = if folder.file_name().is_some_and(|n| n == OWN) {
        folder.parent().unwrap_or(Path::new(""))
    } else {
        folder
    };
    let own = |f: &Path| Some(f.join(OWN)).filter(|i| i.is_dir());
    if let Some(found) = folder.ancestors().find(|f| f.join(SETTINGS).is_file()) {
        return Root {
            settings: Some(found.join(SETTINGS)),
            ingredients: own(found),
        };
    }
    let top = tops
        .iter()
        .filter(|t| folder.starts_with(t))
        .min_by_key(|t| t.components().count());
    let within = folder
        .ancestors()
        .take_while(|f| top.map_or(*f == folder, |t| f.starts_with(t)));
    Root {
        settings: None,
        ingredients: within.into_iter().find_map(own),
    }
}

fn files(root: &Root) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = root.settings.iter().cloned().collect();
    all.extend(root.ingredients.iter().flat_map(|f| tomls(f)));
    all
}

/// The files of own ingredients, by name.
pub fn tomls(folder: &Path) -> Vec<PathBuf> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) => {
            eprintln!("phasewright: {}: it cannot be read: {e}", folder.display());
            return Vec::new();
        }
    };
    let mut all: Vec<PathBuf> = entries
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml") && p.is_file())
        .collect();
    all.sort();
    all
}

fn stamp(root: &Root) -> Stamp {
    files(root)
        .into_iter()
        .map(|path| match std::fs::metadata(&path) {
            Ok(m) => (path, m.modified().ok(), m.len()),
            Err(_) => (path, None, 0),
        })
        .collect()
}

pub fn codes() -> Vec<&'static str> {
    rules::all().map(|r| r.code).collect()
}

fn load(root: &Root) -> Project {
    let mut project = Project::default();
    if let Some(path) = &root.settings
        && let Some(text) = read(path)
    {
        let (settings, faults) = settings::parse(&text, &codes());
        project.settings = settings;
        if !faults.is_empty() {
            project
                .faulty
                .push((path.clone(), text, judge_settings(&faults)));
        }
    }
    let own: Vec<(PathBuf, String)> = root
        .ingredients
        .iter()
        .flat_map(|f| tomls(f))
        .filter_map(|p| read(&p).map(|text| (p, text)))
        .collect();
    let (kb, faults) = Kb::with_own(&own);
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

/// The text of a file; where it cannot be read the reason goes to the log, and the file counts as not there.
pub fn read(path: &Path) -> Option<String> {
    let text = std::fs::metadata(path).and_then(|m| {
        if m.len() > LARGEST {
            Err(std::io::Error::other("it is too large"))
        } else {
            std::fs::read(path)
        }
    });
    match text.map(String::from_utf8) {
        Ok(Ok(text)) => Some(text),
        Ok(Err(_)) => {
            eprintln!(
                "phasewright: {}: this is not UTF-8 text; save the file as UTF-8 in your editor",
                path.display()
            );
            None
        }
        Err(e) => {
            eprintln!("phasewright: {}: it cannot be read: {e}", path.display());
            None
        }
    }
}
