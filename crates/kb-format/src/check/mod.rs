//! What a knowledge base must hold true before it is packed or used.
//!
//! The same checks run in the build, in `phasewright kb check` and on the maker's own ingredients.

mod composition;
mod ingredient;
mod law;
mod lists;
mod names;
mod registry;

use crate::error::{KbError, did_you_mean};
use crate::origin::{Origin, SourceFile, line_at};
use crate::read::KbSource;
use crate::role::Role;
use crate::schema::*;
use smol_str::SmolStr;
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};

pub use lists::unused_sources;

/// Everything wrong in a base. Empty when it is sound.
pub fn check(base: &KbSource) -> Vec<KbError> {
    let mut c = Checker::new(base);
    c.sources();
    for (n, one) in base.ingredients.iter().enumerate() {
        c.ingredient(n, one);
    }
    c.names();
    for (n, law) in base.laws.iter().enumerate() {
        c.law(n, law);
    }
    c.prohibited();
    c.pairs();
    c.products();
    c.thresholds();
    c.common();
    c.out
}

/// Checks ingredients that are laid over a base (the maker's own): only their errors. `unread`: files next to them that cannot
/// be read.
pub fn check_own(
    mut base: KbSource,
    own: &[(PathBuf, String, Ingredient)],
    unread: Vec<PathBuf>,
) -> Vec<KbError> {
    base.unread = unread;
    let laid_over: HashSet<&SmolStr> = own.iter().map(|(_, _, one)| &one.id).collect();
    base.ingredients.retain(|one| !laid_over.contains(&one.id));
    let bundled = base.ingredients.len();
    base.ingredient_origins = vec![Origin::new(usize::MAX, String::new()); bundled];
    base.files.clear();
    for (path, text, one) in own {
        let origin = Origin::new(base.files.len(), String::new());
        base.ingredient_origins.push(origin);
        base.ingredients.push(one.clone());
        let (path, text) = (path.clone(), text.clone());
        base.files.push(SourceFile { path, text });
    }
    let mut c = Checker::new(&base);
    for (n, one) in base.ingredients.iter().enumerate().skip(bundled) {
        c.ingredient(n, one);
    }
    c.names();
    let mine: HashSet<&PathBuf> = own.iter().map(|(path, ..)| path).collect();
    c.out.retain(|error| mine.contains(&error.file));
    c.out
}

struct Checker<'a> {
    base: &'a KbSource,
    ids: HashSet<Cow<'a, str>>,
    by_id: HashMap<&'a str, &'a Ingredient>,
    sources: HashSet<&'a str>,
    scope_words: HashSet<&'a str>,
    out: Vec<KbError>,
}

/// A thing that is checked: the file that it stands in and the way to it there.
#[derive(Clone)]
struct At<'a> {
    /// None for what was not read from a file.
    file: Option<&'a SourceFile>,
    /// What to call the file where there is none.
    name: Cow<'a, str>,
    path: Cow<'a, str>,
}

impl<'a> Checker<'a> {
    fn new(base: &'a KbSource) -> Self {
        // A file that cannot be read still gives an id to whatever names it.
        let unread = base.unread.iter();
        let unread = unread.filter_map(|file| Some(file.file_stem()?.to_string_lossy()));
        let ids = base.ingredients.iter().map(|i| i.id.as_str().into());
        Checker {
            base,
            ids: ids.chain(unread).collect(),
            by_id: base
                .ingredients
                .iter()
                .map(|i| (i.id.as_str(), i))
                .collect(),
            sources: base.sources.iter().map(|s| s.id.as_str()).collect(),
            scope_words: base.scope_words.iter().map(SmolStr::as_str).collect(),
            out: Vec::new(),
        }
    }

    fn at_origin(&self, origin: Option<&'a Origin>, name: impl Into<Cow<'a, str>>) -> At<'a> {
        At {
            file: origin.and_then(|o| self.base.files.get(o.file)),
            name: name.into(),
            path: origin.map_or("", |o| o.path.as_str()).into(),
        }
    }

    fn at_ingredient(&self, n: usize) -> At<'a> {
        let origin = self.base.ingredient_origins.get(n);
        self.at_origin(origin, format!("{}.toml", self.base.ingredients[n].id))
    }

    /// One of the files that stand once in the folder.
    fn at_file(&self, name: &'static str) -> At<'a> {
        let mut files = self.base.files.iter();
        At {
            file: files.find(|f| f.path.ends_with(name)),
            name: name.into(),
            path: "".into(),
        }
    }

    /// Notes an error at what `path` leads to inside `at`.
    fn report_at(&mut self, at: &At, path: &str, message: String) {
        let (file, line) = match at.file {
            Some(file) => {
                let path = format!("{}.{path}", at.path);
                (file.path.clone(), line_at(&file.text, &path))
            }
            None => (PathBuf::from(at.name.as_ref()), 0),
        };
        self.out.push(KbError {
            file,
            line,
            message,
        });
    }

    /// Whether a file of this name, or one in a folder of this name, cannot be read.
    fn is_unread(&self, name: &str) -> bool {
        let parts = |file: &PathBuf| file.iter().rev().take(2).any(|part| part == name);
        self.base.unread.iter().any(parts)
    }

    fn check_source(&mut self, at: &At, path: &str, id: &str) {
        if self.is_unread("sources") || self.sources.contains(id) {
            return;
        }
        let near = did_you_mean(id, self.sources.iter().copied());
        let hint = match near.is_empty() {
            true => "; add it there or name one that is",
            false => &near,
        };
        let message = format!("source \"{id}\" is in none of the files of sources/{hint}");
        self.report_at(at, path, message);
    }

    fn check_ingredient_id(&mut self, at: &At, path: &str, id: &str) {
        // A list that cannot be read may hold it.
        if self.is_unread("prohibited") || self.ids.contains(id) {
            return;
        }
        let near = did_you_mean(id, self.ids.iter().map(Cow::as_ref));
        self.report_at(at, path, format!("no ingredient has the id \"{id}\"{near}"));
    }

    fn check_scope_words(&mut self, at: &At, path: &str, words: &[SmolStr]) {
        for (n, word) in words.iter().enumerate() {
            self.check_scope_word(at, &format!("{path}.{n}"), word);
        }
    }

    /// A scope word or a product, or several with "|" between.
    fn check_scope_word(&mut self, at: &At, path: &str, words: &str) {
        if self.is_unread("products.toml") {
            return;
        }
        for word in words.split('|') {
            let products = || self.base.products.iter().map(|p| p.name.as_str());
            if self.scope_words.contains(word) || products().any(|p| p == word) {
                continue;
            }
            let near = did_you_mean(word, self.scope_words.iter().copied().chain(products()));
            let message =
                format!("\"{word}\" is neither a scope word nor a product of products.toml{near}");
            self.report_at(at, path, message);
        }
    }

    fn check_purpose(&mut self, at: &At, path: &str, purpose: Option<&SmolStr>) {
        let known = &self.base.vocabulary.purposes;
        if let Some(p) = purpose
            && !self.is_unread("vocabulary.toml")
            && !known.contains(p)
        {
            let near = did_you_mean(p, known.iter().map(SmolStr::as_str));
            let message = format!("purpose \"{p}\" is not in vocabulary.toml{near}");
            self.report_at(at, &join(path, "purpose"), message);
        }
    }

    /// An ingredient, or all of a role, a charge or a family.
    fn check_pair_side(&mut self, at: &At, path: &str, side: &str) {
        let unknown = match side.split_once(':') {
            Some(("role", word)) => Role::of(word).is_none(),
            Some(("charge", word)) => {
                !matches!(word, "anionic" | "cationic" | "nonionic" | "amphoteric")
            }
            Some(("family", word)) => !self.base.ingredients.iter().any(|i| i.family == word),
            Some(_) => true,
            None => return self.check_ingredient_id(at, path, side),
        };
        if unknown {
            let word = side.split_once(':').map_or(side, |(_, word)| word);
            let near = match side.starts_with("role:") {
                true => did_you_mean(word, Role::ALL.iter().map(|r| r.as_str())),
                false => String::new(),
            };
            let message = format!("\"{side}\": no such role, charge or family{near}");
            self.report_at(at, path, message);
        }
    }

    /// Notes each that stands a second time, by its key.
    fn check_twice<K: std::hash::Hash + Eq>(
        &mut self,
        all: impl Iterator<Item = (K, At<'a>, String, String)>,
    ) {
        let mut seen = HashSet::new();
        for (key, at, path, message) in all {
            if !seen.insert(key) {
                self.report_at(&at, &path, message);
            }
        }
    }
}

/// Whether a file lies in a folder of this name.
fn lies_in(file: &Path, folder: &str) -> bool {
    file.parent().is_some_and(|d| d.ends_with(folder))
}

/// The steps from one place to the next.
fn join(path: &str, step: &str) -> String {
    format!("{path}.{step}")
}
