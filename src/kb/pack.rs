//! The packed form: an index of names, then each entry by itself, so that only what is asked for is decoded.

use super::names::key;
use super::read::Base;
use super::schema::*;
use serde::{Deserialize, Serialize};

/// What is decoded at start.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Index {
    /// Ids in the order of the entries.
    pub ids: Vec<String>,
    /// Name keys, sorted, each with the entry that owns it.
    pub names: Vec<(String, u16)>,
    /// Loose name keys, sorted, one row per entry that may be meant.
    pub loose: Vec<(String, u16)>,
    /// CAS numbers, sorted.
    pub cas: Vec<(String, u16)>,
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
    let mut index = Index::default();
    for (n, i) in base.ingredients.iter().enumerate() {
        let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
        body.extend(postcard::to_allocvec(i)?);
        index.ends.push(body.len() as u32);
        index.ids.push(i.id.clone());
        for name in i.names.iter().chain(&i.inci).chain(&i.inci_us).chain(&i.ci) {
            index.names.push((key(name), n));
        }
        index.names.push((key(&i.id), n));
        index
            .loose
            .extend(i.loose_names.iter().map(|name| (key(name), n)));
        index.cas.extend(i.cas.iter().map(|c| (c.clone(), n)));
    }
    for list in [&mut index.names, &mut index.loose, &mut index.cas] {
        list.sort();
        list.dedup();
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
    index.rest = (body.len() as u32, rest.len() as u32);
    body.extend(rest);
    Ok((postcard::to_allocvec(&index)?, body))
}
