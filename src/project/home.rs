//! Where the settings and the own ingredients of a file lie.

use super::kinds::{OWN, SETTINGS};
use crate::text::is_there;
use std::io;
use std::path::{Component, Path, PathBuf};

/// The settings and the folder of ingredients that a file belongs to. Files with the same home are judged alike.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Home {
    pub settings: Option<PathBuf>,
    pub ingredients: Option<PathBuf>,
}

impl Home {
    /// The nearest settings upward, with the ingredients next to them. Without settings: the nearest ingredients upward.
    pub fn of(file: &Path) -> Home {
        Home::of_folder(file.parent().unwrap_or(Path::new("")))
    }

    /// The home of the files in a folder.
    pub fn of_folder(folder: &Path) -> Home {
        let folder = whole(folder);
        let start = if folder.file_name().is_some_and(|n| n == OWN) {
            folder.parent().unwrap_or(&folder)
        } else {
            &folder
        };
        let ingredients_of = |f: &Path| Some(f.join(OWN)).filter(|i| i.is_dir());
        match start.ancestors().find(|f| is_there(&f.join(SETTINGS))) {
            Some(found) => Home {
                settings: Some(found.join(SETTINGS)),
                ingredients: ingredients_of(found),
            },
            None => Home {
                settings: None,
                ingredients: start.ancestors().find_map(ingredients_of),
            },
        }
    }

    /// The same with its paths shown in another way.
    pub(super) fn shown_by(self, shown: fn(&Path) -> PathBuf) -> Home {
        Home {
            settings: self.settings.map(|p| shown(&p)),
            ingredients: self.ingredients.map(|p| shown(&p)),
        }
    }

    /// The files that are read for it, settings first.
    pub fn files(&self) -> Vec<PathBuf> {
        let own = self.ingredients.as_deref().map(ingredient_files);
        let own = own.and_then(Result::ok).unwrap_or_default();
        self.settings.iter().cloned().chain(own).collect()
    }
}

/// The files of own ingredients in a folder, by name.
pub fn ingredient_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)?
        .flatten()
        .map(|e| e.path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml") && is_there(p))
        .collect();
    all.sort();
    Ok(all)
}

/// A folder from the root of the disk on. A step upward out of a link goes where the disk goes.
fn whole(folder: &Path) -> PathBuf {
    let goes_up = folder.components().any(|c| c == Component::ParentDir);
    if goes_up && let Ok(real) = std::fs::canonicalize(folder) {
        return real;
    }
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned())
}
