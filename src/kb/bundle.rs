//! The knowledge base that the build has packed, decoded piece by piece as it is asked for.

use super::law::Law;
use super::names::shown;
use super::pack::{Index, Piece, Pieces, Register, Registers};
use super::schema::{Ingredient, Pair, Product, Source, Threshold, Vocabulary};
use serde::Deserialize;
use smol_str::SmolStr;
use std::sync::{LazyLock, OnceLock};

static INDEX_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.index"));
static BODY_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.body"));
pub static TYPED_BYTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/kb.typed"));

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

    /// The name to show; most entries are never called by it.
    pub fn shown(&self) -> &str {
        self.shown.get_or_init(|| shown(&self.one))
    }
}

/// Things of one kind, decoded one by one. Boxed, because most are never asked for.
pub struct Decoded<T>(Box<[OnceLock<Box<T>>]>);

impl<T: Deserialize<'static>> Decoded<T> {
    pub fn new(many: usize) -> Decoded<T> {
        Decoded((0..many).map(|_| OnceLock::new()).collect())
    }

    pub fn get(&self, n: usize, of: &Pieces) -> &T {
        self.0[n].get_or_init(|| Box::new(read_piece(of.get(n))))
    }
}

/// Things of one kind, found by a key.
pub struct Registered<T> {
    register: Register<'static>,
    kept: Decoded<T>,
}

impl<T: Deserialize<'static>> Registered<T> {
    fn new(register: Register<'static>) -> Registered<T> {
        Registered {
            kept: Decoded::new(register.pieces.len()),
            register,
        }
    }

    pub fn find(&self, key: &str) -> Option<&T> {
        let n = self.register.keys.find(key).next()?;
        Some(self.kept.get(n.into(), &self.register.pieces))
    }

    pub fn iter(&self) -> impl Iterator<Item = &T> {
        (0..self.register.pieces.len()).map(|n| self.kept.get(n, &self.register.pieces))
    }
}

pub struct Bundle {
    pub index: Index<'static>,
    /// Boxed, because most are never asked for.
    pub entries: Vec<OnceLock<Box<Entry>>>,
    pub laws: Vec<OnceLock<Law>>,
    pub sources: Registered<Source>,
    pub products: Registered<Product>,
    pub thresholds: Registered<Threshold>,
    pub rest: Rest,
}

/// What is decoded whole.
#[derive(Default)]
pub struct Rest {
    pub pairs: OnceLock<Vec<Pair>>,
    pub scope_words: OnceLock<Vec<SmolStr>>,
    pub vocabulary: OnceLock<Vocabulary>,
}

pub fn read_index() -> (Index<'static>, Registers<'static>) {
    postcard::from_bytes(INDEX_BYTES).expect("the build packed this index")
}

pub fn read_piece<T: Deserialize<'static>>((start, end): Piece) -> T {
    postcard::from_bytes(&BODY_BYTES[start as usize..end as usize])
        .expect("the build packed this piece")
}

pub static BUNDLE: LazyLock<Bundle> = LazyLock::new(|| {
    let (index, registers) = read_index();
    Bundle {
        entries: (0..index.entries()).map(|_| OnceLock::new()).collect(),
        laws: index.rest.laws.iter().map(|_| OnceLock::new()).collect(),
        sources: Registered::new(registers.sources),
        products: Registered::new(registers.products),
        thresholds: Registered::new(registers.thresholds),
        rest: Rest::default(),
        index,
    }
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
