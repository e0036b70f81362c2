//! Reads a knowledge base folder: TOML to shapes, with the file and line of what cannot be read.

use super::prohibited;
use super::schema::*;
use serde::de::DeserializeOwned;
use smol_str::SmolStr;
use std::fmt;
use std::path::{Path, PathBuf};

/// Everything that a folder says.
#[derive(Default, Debug, Clone)]
pub struct Base {
    pub ingredients: Vec<Ingredient>,
    pub laws: Vec<LawFile>,
    pub sources: Vec<Source>,
    pub pairs: Vec<Pair>,
    pub scope_words: Vec<SmolStr>,
    pub products: Vec<Product>,
    pub thresholds: Vec<Threshold>,
    pub vocabulary: Vocabulary,
    /// Ids of what makers commonly keep: they are packed side by side.
    pub common: Vec<SmolStr>,
    /// The text of each file, to find lines in.
    pub files: Vec<(PathBuf, String)>,
}

/// Something wrong in the data: where and what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    pub file: PathBuf,
    /// From 1; 0 where no line is to blame.
    pub line: usize,
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}:{}: {}",
            self.file.display(),
            self.line.max(1),
            self.what
        )
    }
}

/// Gives the text of a file, or says why there is none.
pub type TextOf = fn(&Path) -> Result<String, String>;

/// Reads our own folder, `kb/`.
pub fn read(folder: &Path) -> (Base, Vec<Fault>) {
    read_with(folder, |file| {
        std::fs::read_to_string(file).map_err(|e| e.to_string())
    })
}

/// Reads all of a folder laid out like `kb/`. What cannot be read is a fault; the rest is kept.
pub fn read_with(folder: &Path, text_of: TextOf) -> (Base, Vec<Fault>) {
    let mut base = Base::default();
    let mut faults = Vec::new();
    for family in sorted(&folder.join("ingredients")) {
        if family.extension().is_some_and(|e| e == "toml") {
            read_ingredient(&family, "own", text_of, &mut base, &mut faults);
            continue;
        }
        let name = family
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        for file in sorted(&family) {
            read_ingredient(&file, &name, text_of, &mut base, &mut faults);
        }
    }
    for file in sorted(&folder.join("law")) {
        if let Some(law) = read_file::<LawFile>(&file, text_of, &mut base, &mut faults) {
            base.laws.push(law);
        }
    }
    for file in sorted(&folder.join("prohibited")) {
        if let Some(list) = read_file::<ProhibitedFile>(&file, text_of, &mut base, &mut faults) {
            let entries = prohibited::expand(list, &mut base.laws);
            base.ingredients.extend(entries);
        }
    }
    for file in sorted(&folder.join("sources")) {
        if let Some(f) = read_file::<SourcesFile>(&file, text_of, &mut base, &mut faults) {
            base.sources.extend(f.source);
        }
    }
    if let Some(f) = optional::<PairsFile>(folder, "pairs.toml", text_of, &mut base, &mut faults) {
        base.pairs = f.pair;
    }
    if let Some(f) =
        optional::<ProductsFile>(folder, "products.toml", text_of, &mut base, &mut faults)
    {
        base.scope_words = f.scope_words;
        base.products = f.product;
    }
    if let Some(f) =
        optional::<ThresholdsFile>(folder, "thresholds.toml", text_of, &mut base, &mut faults)
    {
        base.thresholds = f.threshold;
    }
    if let Some(f) =
        optional::<Vocabulary>(folder, "vocabulary.toml", text_of, &mut base, &mut faults)
    {
        base.vocabulary = f;
    }
    if let Some(f) = optional::<CommonFile>(folder, "common.toml", text_of, &mut base, &mut faults)
    {
        base.common = f.common;
    }
    (base, faults)
}

/// Reads one ingredient from text. The id must be the file's name.
pub fn ingredient(file: &Path, text: &str, family: &str) -> Result<Ingredient, Fault> {
    let mut one: Ingredient = parse(file, text)?;
    one.family = family.into();
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    if one.id != *stem {
        return Err(Fault {
            file: file.to_owned(),
            line: line_of(text, "id"),
            what: format!(
                "id \"{}\" is not the file's name; call the file {}.toml",
                one.id, one.id
            ),
        });
    }
    Ok(one)
}

fn read_ingredient(
    file: &Path,
    family: &str,
    text_of: TextOf,
    base: &mut Base,
    faults: &mut Vec<Fault>,
) {
    if file.extension().is_none_or(|e| e != "toml") {
        return;
    }
    match text_of(file) {
        Ok(text) => {
            match ingredient(file, &text, family) {
                Ok(one) => base.ingredients.push(one),
                Err(fault) => faults.push(fault),
            }
            base.files.push((file.to_owned(), text));
        }
        Err(e) => faults.push(Fault {
            file: file.to_owned(),
            line: 0,
            what: e,
        }),
    }
}

fn optional<T: DeserializeOwned>(
    folder: &Path,
    name: &str,
    text_of: TextOf,
    base: &mut Base,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    let file = folder.join(name);
    file.exists()
        .then(|| read_file(&file, text_of, base, faults))
        .flatten()
}

fn read_file<T: DeserializeOwned>(
    file: &Path,
    text_of: TextOf,
    base: &mut Base,
    faults: &mut Vec<Fault>,
) -> Option<T> {
    match text_of(file) {
        Ok(text) => {
            let parsed = parse(file, &text);
            base.files.push((file.to_owned(), text));
            parsed.map_err(|f| faults.push(f)).ok()
        }
        Err(e) => {
            faults.push(Fault {
                file: file.to_owned(),
                line: 0,
                what: e,
            });
            None
        }
    }
}

fn parse<T: DeserializeOwned>(file: &Path, text: &str) -> Result<T, Fault> {
    toml::from_str(text).map_err(|e| Fault {
        file: file.to_owned(),
        line: e.span().map_or(0, |s| {
            1 + text[..s.start.min(text.len())].matches('\n').count()
        }),
        what: e.message().replace('\n', " "),
    })
}

fn sorted(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<_> = std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .map(|e| e.path())
        .collect();
    all.sort();
    all
}

/// The line (from 1) of the first line that holds `needle`; 0 where none does.
pub fn line_of(text: &str, needle: &str) -> usize {
    text.lines()
        .position(|l| l.contains(needle))
        .map_or(0, |n| n + 1)
}
