//! Reads a knowledge base folder: TOML to shapes, with the file and line of what cannot be read.

use crate::error::{KbError, in_words};
use crate::origin::{Origin, SourceFile, line_at};
use crate::prohibited;
use crate::schema::*;
use serde::de::DeserializeOwned;
use smol_str::SmolStr;
use std::path::{Path, PathBuf};

/// Everything that a folder says.
#[derive(Default, Debug, Clone)]
pub struct KbSource {
    pub ingredients: Vec<Ingredient>,
    pub laws: Vec<LawFile>,
    pub sources: Vec<Source>,
    pub pairs: Vec<Pair>,
    pub scope_words: Vec<SmolStr>,
    pub products: Vec<Product>,
    pub thresholds: Vec<Threshold>,
    pub vocabulary: Vocabulary,
    pub common: Common,
    /// The long lists of prohibited substances, and the file of each. Their entries stand among the ingredients, their bans
    /// behind those of the laws.
    pub lists: Vec<(usize, ProhibitedFile)>,
    /// Every file that was read.
    pub files: Vec<SourceFile>,
    /// Where each ingredient, law and source stands. Empty for a base that was not read from files.
    pub ingredient_origins: Vec<Origin>,
    pub law_origins: Vec<LawOrigin>,
    pub source_origins: Vec<Origin>,
    /// Files that say something and cannot be read. Whatever names what stands in them is not at fault for that.
    pub unread: Vec<PathBuf>,
}

/// Where a law stands.
#[derive(Clone, Copy, Debug)]
pub struct LawOrigin {
    pub file: usize,
    /// How many of its bans stand in its own file. The others come from the lists.
    pub bans: usize,
}

/// Gives the text of a file, or says why there is none.
pub type TextOf = fn(&Path) -> Result<String, String>;

/// Reads our own folder, `kb/`.
pub fn read(folder: &Path) -> (KbSource, Vec<KbError>) {
    read_with(folder, |file| {
        std::fs::read_to_string(file).map_err(|e| e.to_string())
    })
}

/// Reads all of a folder laid out like `kb/`. What cannot be read is an error. The rest is kept.
pub fn read_with(folder: &Path, text_of: TextOf) -> (KbSource, Vec<KbError>) {
    let mut reader = Reader {
        text_of,
        out: KbSource::default(),
        errors: Vec::new(),
    };
    reader.ingredients(&folder.join("ingredients"));
    for file in sorted(&folder.join("law")) {
        if let Some((file, law)) = reader.file::<LawFile>(&file) {
            let bans = law.ban.len();
            reader.out.law_origins.push(LawOrigin { file, bans });
            reader.out.laws.push(law);
        }
    }
    for file in sorted(&folder.join("prohibited")) {
        if let Some((file, list)) = reader.file::<ProhibitedFile>(&file) {
            reader.list(file, list);
        }
    }
    for file in sorted(&folder.join("sources")) {
        if let Some((file, list)) = reader.file::<SourcesFile>(&file) {
            let origins = (0..list.source.len()).map(|n| Origin::new(file, format!("source.{n}")));
            reader.out.source_origins.extend(origins);
            reader.out.sources.extend(list.source);
        }
    }
    if let Some(file) = reader.optional::<PairsFile>(folder, "pairs.toml") {
        reader.out.pairs = file.pair;
    }
    if let Some(file) = reader.optional::<ProductsFile>(folder, "products.toml") {
        reader.out.scope_words = file.scope_words;
        reader.out.products = file.product;
    }
    if let Some(file) = reader.optional::<ThresholdsFile>(folder, "thresholds.toml") {
        reader.out.thresholds = file.threshold;
    }
    if let Some(file) = reader.optional::<Vocabulary>(folder, "vocabulary.toml") {
        reader.out.vocabulary = file;
    }
    if let Some(file) = reader.optional::<Common>(folder, "common.toml") {
        reader.out.common = file;
    }
    reader.out.unread = reader.errors.iter().map(|e| e.file.clone()).collect();
    (reader.out, reader.errors)
}

/// Reads one ingredient from text. The id must be the file's name.
pub fn ingredient(file: &Path, text: &str, family: &str) -> Result<Ingredient, KbError> {
    let mut one: Ingredient = parse(file, text)?;
    one.family = family.into();
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    if one.id != *stem {
        return Err(KbError {
            file: file.to_owned(),
            line: line_at(text, "id"),
            message: format!(
                "id \"{}\" is not the file's name; call the file {}.toml",
                one.id, one.id
            ),
        });
    }
    Ok(one)
}

struct Reader {
    text_of: TextOf,
    out: KbSource,
    errors: Vec<KbError>,
}

impl Reader {
    /// Files in folders by family. Those next to the folders are of the family "own".
    fn ingredients(&mut self, folder: &Path) {
        for family in sorted(folder) {
            if family.extension().is_some_and(|e| e == "toml") {
                self.ingredient(&family, "own");
                continue;
            }
            let name = family.file_name().unwrap_or_default().to_string_lossy();
            for file in sorted(&family) {
                if file.extension().is_some_and(|e| e == "toml") {
                    self.ingredient(&file, &name);
                }
            }
        }
    }

    fn ingredient(&mut self, path: &Path, family: &str) {
        let Some(file) = self.text(path) else { return };
        match ingredient(path, &self.out.files[file].text, family) {
            Ok(one) => {
                let origin = Origin::new(file, String::new());
                self.out.ingredient_origins.push(origin);
                self.out.ingredients.push(one);
            }
            Err(error) => self.errors.push(error),
        }
    }

    fn list(&mut self, file: usize, list: ProhibitedFile) {
        for (g, group) in list.group.iter().enumerate() {
            let paths = (0..group.substances.len()).map(|n| format!("group.{g}.substances.{n}"));
            let origins = paths.map(|path| Origin::new(file, path));
            self.out.ingredient_origins.extend(origins);
        }
        let entries = prohibited::expand(&list, &mut self.out.laws);
        self.out.ingredients.extend(entries);
        self.out.lists.push((file, list));
    }

    fn optional<T: DeserializeOwned>(&mut self, folder: &Path, name: &str) -> Option<T> {
        let path = folder.join(name);
        let there = path.exists().then(|| self.file(&path)).flatten();
        there.map(|(_, shape)| shape)
    }

    /// What a file says, with the file's number.
    fn file<T: DeserializeOwned>(&mut self, path: &Path) -> Option<(usize, T)> {
        let file = self.text(path)?;
        match parse(path, &self.out.files[file].text) {
            Ok(shape) => Some((file, shape)),
            Err(error) => {
                self.errors.push(error);
                None
            }
        }
    }

    /// Keeps the text of a file and says under which number.
    fn text(&mut self, path: &Path) -> Option<usize> {
        match (self.text_of)(path) {
            Ok(text) => {
                let path = path.to_owned();
                self.out.files.push(SourceFile { path, text });
                Some(self.out.files.len() - 1)
            }
            Err(message) => {
                self.errors.push(KbError {
                    file: path.to_owned(),
                    line: 0,
                    message,
                });
                None
            }
        }
    }
}

fn parse<T: DeserializeOwned>(file: &Path, text: &str) -> Result<T, KbError> {
    toml::from_str(text).map_err(|e| KbError {
        file: file.to_owned(),
        line: e.span().map_or(0, |s| {
            1 + text[..s.start.min(text.len())].matches('\n').count()
        }),
        message: in_words(e.message()),
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
