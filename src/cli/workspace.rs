//! The folder that a file belongs to: its settings and the maker's own ingredients.

use super::files::{self, OWN, SETTINGS, Trouble};
use crate::kb::Kb;
use crate::model::Settings;
use crate::model::settings;
use crate::rules::{self, Finding, judge_ingredients, judge_settings};
use crate::text::is_there;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Settings and knowledge base of a folder.
pub struct Workspace {
    /// The folder of its settings, where there are some.
    pub root: Option<PathBuf>,
    pub settings: Settings,
    pub kb: Kb,
    /// Its own files, with what is wrong in them.
    pub own: Vec<OwnFile>,
}

/// `phasewright.toml` or a file of `ingredients/`.
pub struct OwnFile {
    pub path: PathBuf,
    pub text: Result<String, Trouble>,
    pub findings: Vec<Finding>,
}

/// Workspaces by folder, each read once.
#[derive(Default)]
pub struct Workspaces {
    by_root: HashMap<Root, Arc<Workspace>>,
    by_folder: HashMap<PathBuf, Arc<Workspace>>,
}

#[derive(Clone, PartialEq, Eq, Hash)]
struct Root {
    settings: Option<PathBuf>,
    ingredients: Option<PathBuf>,
}

impl Workspaces {
    /// The workspace of a file.
    pub fn of(&mut self, file: &Path) -> Arc<Workspace> {
        let folder = file.parent().unwrap_or(Path::new(""));
        if let Some(known) = self.by_folder.get(folder) {
            return known.clone();
        }
        let root = root(folder);
        let workspace = self
            .by_root
            .entry(root.clone())
            .or_insert_with(|| Arc::new(load(&root)))
            .clone();
        self.by_folder.insert(folder.to_owned(), workspace.clone());
        workspace
    }

    /// Every workspace that was asked for.
    pub fn all(&self) -> impl Iterator<Item = &Arc<Workspace>> {
        self.by_root.values()
    }
}

/// The workspace of the current folder.
pub fn here() -> Arc<Workspace> {
    Workspaces::default().of(Path::new("."))
}

/// The nearest `phasewright.toml` upward, and the own ingredients beside it. Without one: the nearest `ingredients` folder upward,
/// no higher than the current folder where the file lies in it.
fn root(folder: &Path) -> Root {
    let folder = if folder.file_name().is_some_and(|n| n == OWN) {
        folder.parent().unwrap_or(Path::new(""))
    } else {
        folder
    };
    let above = upward(folder);
    let ingredients_of = |f: &Path| Some(f.join(OWN)).filter(|i| i.is_dir());
    if let Some(f) = above.iter().find(|f| is_there(&f.join(SETTINGS))) {
        return Root {
            settings: Some(files::tidy(&f.join(SETTINGS))),
            ingredients: ingredients_of(f),
        };
    }
    let here = files::here();
    let mut ingredients = None;
    for f in &above {
        ingredients = ingredients_of(f);
        let top = if f.is_absolute() {
            here.is_some_and(|h| h == f)
        } else {
            f.as_os_str().is_empty()
        };
        if ingredients.is_some() || top || f.is_absolute() && here.is_none_or(|h| !f.starts_with(h))
        {
            break;
        }
    }
    Root {
        settings: None,
        ingredients: ingredients.map(|i| files::tidy(&i)),
    }
}

/// A folder and all above it; inside the current folder by their short names, so that paths are shown as the maker knows them.
fn upward(folder: &Path) -> Vec<PathBuf> {
    let mut out: Vec<PathBuf> = Vec::new();
    let has_parents = folder
        .components()
        .any(|c| c == std::path::Component::ParentDir);
    if folder.is_relative() && !has_parents {
        out.extend(folder.ancestors().map(Path::to_owned));
        if let Some(here) = files::here() {
            out.extend(here.ancestors().skip(1).map(Path::to_owned));
        }
    } else {
        let whole = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
        out.extend(whole.ancestors().map(Path::to_owned));
    }
    out
}

fn load(root: &Root) -> Workspace {
    let mut own = Vec::new();
    let mut settings = Settings::default();
    if let Some(path) = &root.settings {
        let text = files::read(path);
        let mut findings = Vec::new();
        if let Ok(text) = &text {
            let codes: Vec<&str> = rules::all().map(|r| r.code).collect();
            let (read, faults) = settings::parse(text, &codes);
            settings = read;
            findings = judge_settings(&faults);
        }
        own.push(OwnFile {
            path: path.clone(),
            text,
            findings,
        });
    }
    let mut texts = Vec::new();
    for path in root.ingredients.iter().flat_map(|f| tomls(f)) {
        let text = files::read(&path);
        if let Ok(text) = &text {
            texts.push((path.clone(), text.clone()));
        }
        own.push(OwnFile {
            path,
            text,
            findings: Vec::new(),
        });
    }
    let (kb, faults) = Kb::with_own(&texts);
    for file in &mut own {
        let Ok(text) = &file.text else { continue };
        let mine: Vec<_> = faults
            .iter()
            .filter(|f| f.file == file.path)
            .cloned()
            .collect();
        file.findings.extend(judge_ingredients(text, &mine));
    }
    let folder = root
        .settings
        .as_ref()
        .and_then(|s| s.parent())
        .map(Path::to_owned);
    Workspace {
        root: folder,
        settings,
        kb,
        own,
    }
}

/// The TOML files of a folder, by name.
pub fn tomls(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|e| files::tidy(&e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "toml") && is_there(p))
        .collect();
    all.sort();
    all
}
