//! The packed form: an index of names, then each entry by itself, so that only what is asked for is decoded.

use super::names::key;
use super::read::Base;
use super::typed::Typed;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::cmp::Reverse;

/// Many short texts as one, so that thousands of names cost one allocation.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Texts<'a> {
    /// Where it was packed: nothing is copied.
    #[serde(borrow)]
    text: Cow<'a, str>,
    ends: Vec<u32>,
}

impl Texts<'_> {
    fn of<'t>(all: impl Iterator<Item = &'t str>) -> Texts<'static> {
        let (mut text, mut ends) = (String::new(), Vec::new());
        for one in all {
            text.push_str(one);
            ends.push(text.len() as u32);
        }
        Texts { text: text.into(), ends }
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
pub struct Table<'a> {
    #[serde(borrow)]
    pub keys: Texts<'a>,
    pub entries: Vec<u16>,
}

impl Table<'_> {
    fn of(mut rows: Vec<(String, u16)>) -> Table<'static> {
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
pub struct Index<'a> {
    /// Ids in the order of the entries.
    #[serde(borrow)]
    pub ids: Texts<'a>,
    /// Name keys, each with the entry that owns it.
    #[serde(borrow)]
    pub names: Table<'a>,
    /// Loose name keys, one row per entry that may be meant.
    #[serde(borrow)]
    pub loose: Table<'a>,
    #[serde(borrow)]
    pub cas: Table<'a>,
    /// Words that a look-up strips from a name.
    pub qualifiers: Vec<String>,
    /// Where each entry stands in the body.
    pub pieces: Vec<Piece>,
    pub rest: Rest,
}

/// Offset and length of a piece of the body.
pub type Piece = (u32, u32);

/// Where all but the entries stands. Each is decoded the first time that it is asked for.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Rest {
    /// By market.
    pub laws: Vec<(String, Piece)>,
    pub sources: Piece,
    pub pairs: Piece,
    pub scope_words: Piece,
    pub products: Piece,
    pub thresholds: Piece,
    pub vocabulary: Piece,
}

/// Appends something to the body and says where it stands.
fn append(body: &mut Vec<u8>, what: &impl Serialize) -> Result<Piece, postcard::Error> {
    let packed = postcard::to_allocvec(what)?;
    let piece = (body.len() as u32, packed.len() as u32);
    body.extend(packed);
    Ok(piece)
}

/// A base as it lies in the program.
pub struct Packed {
    /// What is decoded at start.
    pub index: Vec<u8>,
    /// Entries, laws and the rest, decoded one by one.
    pub body: Vec<u8>,
    /// The file of names ([`super::typed`]), read where it lies.
    pub typed: Vec<u8>,
}

/// Packs a sound base.
pub fn pack(base: &Base) -> Result<Packed, postcard::Error> {
    let mut body = Vec::new();
    let mut packed: Vec<(usize, Vec<u8>)> = Vec::new();
    let (mut names, mut loose, mut cas) = (Vec::new(), Vec::new(), Vec::new());
    for (n, i) in base.ingredients.iter().enumerate() {
        let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
        packed.push((packed.len(), postcard::to_allocvec(i)?));
        names.extend(i.names.iter().chain(&i.inci).chain(&i.inci_us).chain(&i.ci).chain([&i.id]).map(|name| (key(name), n)));
        loose.extend(i.loose_names.iter().map(|name| (key(name), n)));
        cas.extend(i.cas.iter().map(|c| (c.clone(), n)));
    }
    // Much is known of what is used most. Those lie side by side, so that few pages of the program hold what most formulas ask for.
    packed.sort_by_key(|(n, bytes)| (Reverse(bytes.len()), *n));
    let mut pieces = vec![Piece::default(); packed.len()];
    for (n, bytes) in packed {
        pieces[n] = (body.len() as u32, bytes.len() as u32);
        body.extend(bytes);
    }
    let rest = Rest {
        laws: base.laws.iter().map(|l| Ok((l.market.clone(), append(&mut body, l)?))).collect::<Result<_, postcard::Error>>()?,
        sources: append(&mut body, &base.sources)?,
        pairs: append(&mut body, &base.pairs)?,
        scope_words: append(&mut body, &base.scope_words)?,
        products: append(&mut body, &base.products)?,
        thresholds: append(&mut body, &base.thresholds)?,
        vocabulary: append(&mut body, &base.vocabulary)?,
    };
    let mut qualifiers = base.vocabulary.qualifiers.clone();
    qualifiers.sort();
    let index = Index {
        ids: Texts::of(base.ingredients.iter().map(|i| i.id.as_str())),
        names: Table::of(names),
        loose: Table::of(loose),
        cas: Table::of(cas),
        qualifiers,
        pieces,
        rest,
    };
    let typed = Typed::of((0..).zip(&base.ingredients));
    Ok(Packed { index: postcard::to_allocvec(&index)?, body, typed: postcard::to_allocvec(&typed)? })
}
