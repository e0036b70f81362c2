//! The packed form: an index of names, then each entry by itself, so that only what is asked for is decoded.

use super::names::key;
use super::read::Base;
use super::schema::*;
use serde::{Deserialize, Serialize};

/// Many short texts as one, so that thousands of names cost one allocation.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Texts {
    text: String,
    ends: Vec<u32>,
}

impl Texts {
    fn of<'a>(all: impl Iterator<Item = &'a str>) -> Texts {
        let mut out = Texts::default();
        for one in all {
            out.text.push_str(one);
            out.ends.push(out.text.len() as u32);
        }
        out
    }

    pub fn len(&self) -> usize {
        self.ends.len()
    }

    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    pub fn get(&self, n: usize) -> &str {
        let start = if n == 0 { 0 } else { self.ends[n - 1] as usize };
        &self.text[start..self.ends[n] as usize]
    }

    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.len()).map(|n| self.get(n))
    }
}

/// Keys in order, each with its entry. A key may stand several times.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Table {
    pub keys: Texts,
    pub entries: Vec<u16>,
}

impl Table {
    fn of(mut rows: Vec<(String, u16)>) -> Table {
        rows.sort();
        rows.dedup();
        Table { keys: Texts::of(rows.iter().map(|(k, _)| k.as_str())), entries: rows.iter().map(|(_, n)| *n).collect() }
    }

    /// The entries of a key.
    pub fn find(&self, k: &str) -> &[u16] {
        let (mut low, mut high) = (0, self.keys.len());
        while low < high {
            let mid = low.midpoint(high);
            if self.keys.get(mid) < k { low = mid + 1 } else { high = mid }
        }
        let many = (low..self.keys.len()).take_while(|n| self.keys.get(*n) == k).count();
        &self.entries[low..low + many]
    }
}

/// What is decoded at start.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Index {
    /// Ids in the order of the entries.
    pub ids: Texts,
    /// Name keys, each with the entry that owns it.
    pub names: Table,
    /// Loose name keys, one row per entry that may be meant.
    pub loose: Table,
    pub cas: Table,
    /// Words that a look-up strips from a name.
    pub qualifiers: Vec<String>,
    /// End offset of each entry in the body.
    pub ends: Vec<u32>,
    /// Offset and length of the rest.
    pub rest: (u32, u32),
}

/// What is decoded the first time that a rule asks for it.
#[derive(Serialize, Deserialize, Debug, Default, Clone)]
pub struct Rest {
    pub laws: Vec<Law>,
    pub sources: Vec<Source>,
    pub pairs: Vec<Pair>,
    pub scope_words: Vec<String>,
    pub products: Vec<Product>,
    pub thresholds: Vec<Threshold>,
    pub vocabulary: Vocabulary,
}

/// Packs a sound base into its index and its body.
pub fn pack(base: &Base) -> Result<(Vec<u8>, Vec<u8>), postcard::Error> {
    let mut body = Vec::new();
    let mut ends = Vec::new();
    let (mut names, mut loose, mut cas) = (Vec::new(), Vec::new(), Vec::new());
    for (n, i) in base.ingredients.iter().enumerate() {
        let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
        body.extend(postcard::to_allocvec(i)?);
        ends.push(body.len() as u32);
        names.extend(i.names.iter().chain(&i.inci).chain(&i.inci_us).chain(&i.ci).chain([&i.id]).map(|name| (key(name), n)));
        loose.extend(i.loose_names.iter().map(|name| (key(name), n)));
        cas.extend(i.cas.iter().map(|c| (c.clone(), n)));
    }
    let rest = postcard::to_allocvec(&Rest {
        laws: base.laws.clone(),
        sources: base.sources.clone(),
        pairs: base.pairs.clone(),
        scope_words: base.scope_words.clone(),
        products: base.products.clone(),
        thresholds: base.thresholds.clone(),
        vocabulary: base.vocabulary.clone(),
    })?;
    let mut qualifiers = base.vocabulary.qualifiers.clone();
    qualifiers.sort();
    let index = Index {
        ids: Texts::of(base.ingredients.iter().map(|i| i.id.as_str())),
        names: Table::of(names),
        loose: Table::of(loose),
        cas: Table::of(cas),
        qualifiers,
        ends,
        rest: (body.len() as u32, rest.len() as u32),
    };
    body.extend(rest);
    Ok((postcard::to_allocvec(&index)?, body))
}
