//! The knowledge base that the build has packed, decoded piece by piece as it is asked for.

use super::law::Law;
use super::names::shown;
use super::near::Near;
use super::pack::{Index, Piece};
use super::schema::{Ingredient, Pair, Product, Source, Threshold, Vocabulary};
use serde::Deserialize;
use std::sync::{LazyLock, OnceLock};

static INDEX_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.index"));
static BODY_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.body"));
pub static TYPED_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.typed"));

/// An entry as it is used, with the name to show.
pub struct Entry {
    pub one: Ingredient,
    pub shown: String,
}

impl Entry {
    pub fn new(one: Ingredient) -> Entry {
        let shown = shown(&one);
        Entry { one, shown }
    }
}

pub struct Bundle {
    pub index: Index<'static>,
    /// Boxed, because most are never asked for.
    pub entries: Vec<OnceLock<Box<Entry>>>,
    pub laws: Vec<OnceLock<Law>>,
    pub rest: Rest,
    pub near: OnceLock<Near>,
}

/// All but the entries and the laws.
#[derive(Default)]
pub struct Rest {
    pub sources: OnceLock<Vec<Source>>,
    pub pairs: OnceLock<Vec<Pair>>,
    pub scope_words: OnceLock<Vec<String>>,
    pub products: OnceLock<Vec<Product>>,
    pub thresholds: OnceLock<Vec<Threshold>>,
    pub vocabulary: OnceLock<Vocabulary>,
}

pub fn read_index() -> Index<'static> {
    postcard::from_bytes(INDEX_BYTES).expect("the build packed this index")
}

pub fn read_piece<T: Deserialize<'static>>((start, end): Piece) -> T {
    postcard::from_bytes(&BODY_BYTES[start as usize..end as usize]).expect("the build packed this piece")
}

pub static BUNDLE: LazyLock<Bundle> = LazyLock::new(|| {
    let index = read_index();
    let entries = (0..index.entries()).map(|_| OnceLock::new()).collect();
    let laws = index.rest.laws.iter().map(|_| OnceLock::new()).collect();
    Bundle { index, entries, laws, rest: Rest::default(), near: OnceLock::new() }
});

impl Bundle {
    pub fn decode(&self, n: usize) -> Ingredient {
        read_piece(self.index.piece(n))
    }

    pub fn entry(&self, n: usize) -> &Entry {
        self.entries[n].get_or_init(|| Box::new(Entry::new(self.decode(n))))
    }

    pub fn law(&self, n: usize) -> &Law {
        self.laws[n].get_or_init(|| Law::of(read_piece(self.index.rest.laws[n].1)))
    }
}
