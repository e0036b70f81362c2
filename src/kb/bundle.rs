//! The knowledge base that the build has packed, decoded piece by piece as it is asked for.

use super::decode::decode;
use super::law::Law;
use kb_format::CompletionIndex;
use kb_format::names::{key, shown};
use kb_format::pack::{Bytes, PackedKb};
use kb_format::schema::{Ingredient, Pair, Product, Source, Threshold, Vocabulary};
use rustc_hash::FxHashMap;
use serde::Deserialize;
use smol_str::SmolStr;
use std::sync::{LazyLock, OnceLock};

static PACKED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.bin"));

/// An entry as it is used.
pub struct Entry {
    pub one: Ingredient,
    shown: OnceLock<String>,
}

impl Entry {
    pub fn new(one: Ingredient) -> Entry {
        Entry {
            one,
            shown: OnceLock::new(),
        }
    }

    /// The name to show. Most entries are never called by it.
    pub fn shown(&self) -> &str {
        self.shown.get_or_init(|| shown(&self.one))
    }
}

/// A list that is decoded whole, found by keys.
pub struct List<T> {
    pub rows: Vec<T>,
    by_key: FxHashMap<String, usize>,
}

impl<T: Deserialize<'static>> List<T> {
    fn decode(bytes: Bytes<'static>, keys: impl Fn(&T) -> Vec<String>) -> List<T> {
        let rows: Vec<T> = decode(bytes);
        let by_key = rows
            .iter()
            .enumerate()
            .flat_map(|(n, row)| keys(row).into_iter().map(move |key| (key, n)))
            .collect();
        List { rows, by_key }
    }

    pub fn find(&self, key: &str) -> Option<&T> {
        self.by_key.get(key).map(|n| &self.rows[*n])
    }
}

pub struct Bundle {
    pub packed: PackedKb<'static>,
    /// Boxed, because most are never asked for.
    pub entries: Vec<OnceLock<Box<Entry>>>,
    laws: Vec<OnceLock<Law>>,
    sources: OnceLock<List<Source>>,
    products: OnceLock<List<Product>>,
    thresholds: OnceLock<List<Threshold>>,
    pairs: OnceLock<Vec<Pair>>,
    scope_words: OnceLock<Vec<SmolStr>>,
    vocabulary: OnceLock<Vocabulary>,
    completion: OnceLock<CompletionIndex<'static>>,
}

pub static BUNDLE: LazyLock<Bundle> = LazyLock::new(Bundle::load);

impl Bundle {
    pub fn load() -> Bundle {
        let packed: PackedKb = decode(PACKED);
        Bundle {
            entries: packed.ingredients.iter().map(|_| OnceLock::new()).collect(),
            laws: packed.laws.iter().map(|_| OnceLock::new()).collect(),
            sources: OnceLock::new(),
            products: OnceLock::new(),
            thresholds: OnceLock::new(),
            pairs: OnceLock::new(),
            scope_words: OnceLock::new(),
            vocabulary: OnceLock::new(),
            completion: OnceLock::new(),
            packed,
        }
    }

    pub fn ingredient(&self, n: usize) -> Ingredient {
        decode(self.packed.ingredients[n])
    }

    pub fn entry(&self, n: usize) -> &Entry {
        self.entries[n].get_or_init(|| Box::new(Entry::new(self.ingredient(n))))
    }

    /// The laws of the markets that are asked for. Those of others are not decoded.
    pub fn laws(&self, wanted: impl Fn(&str) -> bool) -> impl Iterator<Item = &Law> {
        let all = self.packed.laws.iter().zip(&self.laws);
        let wanted = all.filter(move |((market, _), _)| wanted(market));
        wanted.map(|(&(_, bytes), law)| law.get_or_init(|| Law::of(decode(bytes))))
    }

    pub fn sources(&self) -> &List<Source> {
        let id = |s: &Source| vec![s.id.to_string()];
        self.sources
            .get_or_init(|| List::decode(self.packed.sources, id))
    }

    pub fn products(&self) -> &List<Product> {
        let names = |p: &Product| {
            let all = std::iter::once(&p.name).chain(&p.names);
            all.map(|name| key(name)).collect()
        };
        self.products
            .get_or_init(|| List::decode(self.packed.products, names))
    }

    pub fn thresholds(&self) -> &List<Threshold> {
        let id = |t: &Threshold| vec![t.id.to_string()];
        self.thresholds
            .get_or_init(|| List::decode(self.packed.thresholds, id))
    }

    pub fn pairs(&self) -> &[Pair] {
        self.pairs.get_or_init(|| decode(self.packed.pairs))
    }

    pub fn scope_words(&self) -> &[SmolStr] {
        self.scope_words
            .get_or_init(|| decode(self.packed.scope_words))
    }

    pub fn vocabulary(&self) -> &Vocabulary {
        self.vocabulary
            .get_or_init(|| decode(self.packed.vocabulary))
    }

    pub fn completion(&self) -> &CompletionIndex<'static> {
        self.completion
            .get_or_init(|| decode(self.packed.completion))
    }
}
