//! Reads a knowledge base folder: TOML to shapes, with the file and line of what cannot be read.

use super::prohibited;
use super::schema::*;
use serde::de::DeserializeOwned;
use smol_str::SmolStr;
use std::fmt;
use std::path::{Path, PathBuf};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

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
    pub common: Common,
    /// The text of each file, to find lines in.
    pub files: Vec<(PathBuf, String)>,
    /// Files that say something and cannot be read: whatever names what stands in them is not at fault for that.
    pub unread: Vec<PathBuf>,
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
    if let Some(f) = optional::<Common>(folder, "common.toml", text_of, &mut base, &mut faults) {
        base.common = f;
    }
    base.unread = faults.iter().map(|f: &Fault| f.file.clone()).collect();
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
        what: in_words(e.message()),
    })
}

/// What the TOML reader says, for people: of a key or word that is not known the nearest that is.
fn in_words(message: &str) -> String {
    let mut named = message.split('`').skip(1).step_by(2);
    let found = named.next().unwrap_or_default();
    if message.starts_with("missing field") {
        return format!("the key \"{found}\" is missing; add it");
    }
    let (what, all) = if message.starts_with("unknown field") {
        ("no key here", "the keys are")
    } else if message.starts_with("unknown variant") {
        ("none of the words that may stand here", "the words are")
    } else {
        return message.replace('\n', " ");
    };
    let known: Vec<&str> = named.collect();
    let near = known
        .iter()
        .map(|k| (strsim::osa_distance(found, k), k))
        .filter(|(d, k)| *d <= 2 && *d < k.len().min(found.len()))
        .min();
    match near {
        Some((_, near)) => format!("\"{found}\" is {what}; did you mean \"{near}\"?"),
        None if known.len() > 12 => format!("\"{found}\" is {what}; take it out"),
        None => format!("\"{found}\" is {what}; {all} {}", known.join(", ")),
    }
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

/// The line (from 1) on which `wanted` first stands: a key, a text in quotes, `key = "text"`, or a text as it is. What is
/// only part of another word, or stands in a comment, is not meant. 0 where it stands nowhere.
pub fn line_of(text: &str, wanted: &str) -> usize {
    let Ok(table) = DeTable::parse(text) else {
        return 0;
    };
    let mut first = None;
    find_in_table(table.get_ref(), &Wanted::of(wanted), &mut first);
    first.map_or(0, |at: usize| {
        1 + text[..at.min(text.len())].matches('\n').count()
    })
}

struct Wanted<'a> {
    key: Option<&'a str>,
    text: Option<&'a str>,
}

impl<'a> Wanted<'a> {
    fn of(wanted: &'a str) -> Wanted<'a> {
        let (key, text) = match wanted.split_once(" = ") {
            Some((key, text)) => (Some(key), Some(text)),
            None if wanted.starts_with('"') => (None, Some(wanted)),
            None => (Some(wanted), None),
        };
        Wanted {
            key,
            text: text.map(|t| t.trim_matches('"')),
        }
    }

    fn is(&self, key: Option<&str>, text: Option<&str>) -> bool {
        match (self.key, self.text) {
            (Some(k), Some(t)) => key == Some(k) && text == Some(t),
            (None, Some(t)) => text.is_some_and(|found| found.split('|').any(|part| part == t)),
            // `ph.works` is the key "works", `[[groups]]` the key "groups".
            (Some(k), None) => {
                let last = k.trim_matches(['[', ']']).rsplit('.').next();
                key.is_some() && key == last || text == Some(k)
            }
            (None, None) => false,
        }
    }
}

fn find_in_table(table: &DeTable, wanted: &Wanted, first: &mut Option<usize>) {
    for (key, value) in table {
        find(key.span().start, Some(key.get_ref()), value, wanted, first);
    }
}

fn find(
    at: usize,
    key: Option<&str>,
    value: &Spanned<DeValue>,
    wanted: &Wanted,
    first: &mut Option<usize>,
) {
    let text = match value.get_ref() {
        DeValue::String(text) => Some(text.as_ref()),
        _ => None,
    };
    if wanted.is(key, text) {
        *first = Some(first.map_or(at, |f| f.min(at)));
    }
    match value.get_ref() {
        DeValue::Array(all) => {
            for one in all.iter() {
                find(one.span().start, None, one, wanted, first);
            }
        }
        DeValue::Table(table) => find_in_table(table, wanted, first),
        _ => {}
    }
}
