//! The packed form: one postcard value with the names in order and every entry and row of law as bytes of its own, so that only
//! what is asked for is decoded.

use crate::completion::{Commonness, CompletionIndex};
use crate::names::{blend_key, key};
use crate::number::Number;
use crate::read::KbSource;
use crate::schema::{Ingredient, LawFile, LawRow, PROHIBITED};
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::collections::HashMap;

/// A thing that is decoded when it is asked for, in postcard's bytes.
pub type Bytes<'a> = &'a [u8];

/// What is decoded at start. Everything in it points into the packed bytes.
#[derive(Serialize, Deserialize, Debug)]
pub struct PackedKb<'a> {
    /// Each an [`Ingredient`].
    #[serde(borrow)]
    pub ingredients: Vec<Bytes<'a>>,
    /// Entries from this number on are prohibited substances of a long list: found by name and number, never proposed.
    pub listed: u16,
    #[serde(borrow)]
    pub ids: Keys<'a>,
    /// Keys of names, each with the entry that owns it.
    #[serde(borrow)]
    pub names: Keys<'a>,
    /// Keys of names that several entries share, a row for each.
    #[serde(borrow)]
    pub ambiguous_names: Keys<'a>,
    #[serde(borrow)]
    pub cas: Keys<'a>,
    /// Words that a look-up strips from a name, in order.
    #[serde(borrow)]
    pub qualifiers: Vec<&'a str>,
    /// Markets, each with its [`PackedLaw`].
    #[serde(borrow)]
    pub laws: Vec<(&'a str, Bytes<'a>)>,
    /// The lists of the other files, each decoded whole.
    #[serde(borrow)]
    pub sources: Bytes<'a>,
    #[serde(borrow)]
    pub products: Bytes<'a>,
    #[serde(borrow)]
    pub thresholds: Bytes<'a>,
    #[serde(borrow)]
    pub pairs: Bytes<'a>,
    #[serde(borrow)]
    pub scope_words: Bytes<'a>,
    #[serde(borrow)]
    pub vocabulary: Bytes<'a>,
    /// A [`CompletionIndex`].
    #[serde(borrow)]
    pub completion: Bytes<'a>,
}

/// Keys in order, each with an entry. A key may stand several times.
#[derive(Serialize, Deserialize, Debug)]
#[serde(transparent)]
pub struct Keys<'a> {
    #[serde(borrow)]
    rows: Vec<(&'a str, u16)>,
}

impl<'a> Keys<'a> {
    fn of(rows: &'a mut Vec<(String, u16)>) -> Keys<'a> {
        rows.sort();
        rows.dedup();
        let rows = rows.iter().map(|(k, n)| (k.as_str(), *n)).collect();
        Keys { rows }
    }

    /// The entries of a key.
    pub fn find(&self, k: &str) -> impl Iterator<Item = u16> + '_ {
        let first = self.rows.partition_point(|(key, _)| *key < k);
        let rows = &self.rows[first..];
        let same = rows.iter().take_while({
            let found = rows.first().is_some_and(|(key, _)| *key == k);
            let k = rows.first().map_or("", |(key, _)| *key);
            move |(key, _)| found && *key == k
        });
        same.map(|(_, n)| *n)
    }

    pub fn iter(&self) -> impl Iterator<Item = (&'a str, u16)> + '_ {
        self.rows.iter().copied()
    }

    /// The key and entry at a place.
    pub fn get(&self, at: usize) -> (&'a str, u16) {
        self.rows[at]
    }
}

/// The law of a market: what stands once, and its tables.
#[derive(Serialize, Deserialize, Debug)]
pub struct PackedLaw<'a> {
    pub market: SmolStr,
    pub title: SmolStr,
    pub as_of: SmolStr,
    pub free_order_percent: Number,
    pub free_order_inclusive: bool,
    pub covers: Vec<SmolStr>,
    pub not_covered: Vec<SmolStr>,
    #[serde(borrow)]
    pub limit: PackedTable<'a>,
    #[serde(borrow)]
    pub ban: PackedTable<'a>,
    #[serde(borrow)]
    pub allergen: PackedTable<'a>,
    #[serde(borrow)]
    pub colour: PackedTable<'a>,
    #[serde(borrow)]
    pub warning: PackedTable<'a>,
    #[serde(borrow)]
    pub medicine: PackedTable<'a>,
    #[serde(borrow)]
    pub duty: PackedTable<'a>,
}

/// A table of a law: its rows, and which of them name an entry.
#[derive(Serialize, Deserialize, Debug)]
pub struct PackedTable<'a> {
    #[serde(borrow)]
    pub rows: Vec<Bytes<'a>>,
    /// Entries with the rows that name them, in order.
    pub naming: Vec<(u16, u16)>,
    /// Rows that name no substance at all.
    pub general: Vec<u16>,
}

impl PackedTable<'_> {
    /// The rows that name an entry, in their order.
    pub fn naming(&self, entry: u16) -> impl Iterator<Item = usize> + '_ {
        let first = self.naming.partition_point(|(e, _)| *e < entry);
        let same = self.naming[first..]
            .iter()
            .take_while(move |(e, _)| *e == entry);
        same.map(|(_, row)| usize::from(*row))
    }
}

/// Packs a sound base.
pub fn pack(base: &KbSource) -> Result<Vec<u8>, postcard::Error> {
    let mut names = Names::default();
    for (n, one) in base.ingredients.iter().enumerate() {
        names.add(narrow(n)?, one);
    }
    let numbers: HashMap<String, u16> = names.ids.iter().cloned().collect();
    let laws = base.laws.iter().map(|law| law_bytes(law, &numbers));
    let laws = laws.collect::<Result<Vec<_>, _>>()?;
    let mut qualifiers: Vec<&str> = base
        .vocabulary
        .qualifiers
        .iter()
        .map(SmolStr::as_str)
        .collect();
    qualifiers.sort_unstable();
    // The reader puts the long lists behind all else.
    let listed = base.ingredients.iter();
    let listed = listed.take_while(|i| i.family != PROHIBITED).count();
    let common = Commonness::by_id(&base.common);
    let completion = CompletionIndex::of((0..).zip(&base.ingredients[..listed]), &|id| {
        common.get(id).copied().unwrap_or(Commonness::Seldom)
    });
    let ingredients = all_bytes(&base.ingredients)?;
    postcard::to_allocvec(&PackedKb {
        ingredients: ingredients.iter().map(Vec::as_slice).collect(),
        listed: narrow(listed)?,
        ids: Keys::of(&mut names.ids),
        names: Keys::of(&mut names.names),
        ambiguous_names: Keys::of(&mut names.ambiguous),
        cas: Keys::of(&mut names.cas),
        qualifiers,
        laws: laws
            .iter()
            .map(|(m, bytes)| (m.as_str(), bytes.as_slice()))
            .collect(),
        sources: &postcard::to_allocvec(&base.sources)?,
        products: &postcard::to_allocvec(&base.products)?,
        thresholds: &postcard::to_allocvec(&base.thresholds)?,
        pairs: &postcard::to_allocvec(&base.pairs)?,
        scope_words: &postcard::to_allocvec(&base.scope_words)?,
        vocabulary: &postcard::to_allocvec(&base.vocabulary)?,
        completion: &postcard::to_allocvec(&completion)?,
    })
}

/// Entries and rows are numbered with two bytes.
fn narrow(n: usize) -> Result<u16, postcard::Error> {
    u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)
}

fn all_bytes<T: Serialize>(all: &[T]) -> Result<Vec<Vec<u8>>, postcard::Error> {
    all.iter().map(postcard::to_allocvec).collect()
}

/// The keys under which entries are found.
#[derive(Default)]
struct Names {
    ids: Vec<(String, u16)>,
    names: Vec<(String, u16)>,
    ambiguous: Vec<(String, u16)>,
    cas: Vec<(String, u16)>,
}

impl Names {
    fn add(&mut self, n: u16, one: &Ingredient) {
        self.ids.push((one.id.to_string(), n));
        let shared: Vec<String> = one.ambiguous_names.iter().map(|name| key(name)).collect();
        let all = one
            .names
            .iter()
            .chain(&one.inci)
            .chain(&one.inci_us)
            .chain(&one.ci)
            .chain([&one.id]);
        let own = all.map(|name| key(name)).filter(|k| !shared.contains(k));
        self.names.extend(own.map(|k| (k, n)));
        self.ambiguous.extend(shared.into_iter().map(|k| (k, n)));
        let parts = one.composition.iter().filter(|p| !p.hidden);
        let parts: Vec<&str> = parts.map(|p| p.of.as_str()).collect();
        if parts.len() > 1 {
            self.ambiguous.push((blend_key(parts.into_iter()), n));
        }
        self.cas.extend(one.cas.iter().map(|c| (c.to_string(), n)));
    }
}

fn law_bytes(
    law: &LawFile,
    numbers: &HashMap<String, u16>,
) -> Result<(String, Vec<u8>), postcard::Error> {
    let limit = Table::of(&law.limit, numbers)?;
    let ban = Table::of(&law.ban, numbers)?;
    let allergen = Table::of(&law.allergen, numbers)?;
    let colour = Table::of(&law.colour, numbers)?;
    let warning = Table::of(&law.warning, numbers)?;
    let medicine = Table::of(&law.medicine, numbers)?;
    let duty = Table::of(&law.duty, numbers)?;
    let packed = PackedLaw {
        market: law.market.clone(),
        title: law.title.clone(),
        as_of: law.as_of.clone(),
        free_order_percent: law.free_order_percent,
        free_order_inclusive: law.free_order_inclusive,
        covers: law.covers.clone(),
        not_covered: law.not_covered.clone(),
        limit: limit.packed(),
        ban: ban.packed(),
        allergen: allergen.packed(),
        colour: colour.packed(),
        warning: warning.packed(),
        medicine: medicine.packed(),
        duty: duty.packed(),
    };
    Ok((law.market.to_string(), postcard::to_allocvec(&packed)?))
}

/// A table whose rows are packed one by one.
struct Table {
    rows: Vec<Vec<u8>>,
    naming: Vec<(u16, u16)>,
    general: Vec<u16>,
}

impl Table {
    fn of<T: LawRow + Serialize>(
        all: &[T],
        numbers: &HashMap<String, u16>,
    ) -> Result<Table, postcard::Error> {
        let (mut naming, mut general) = (Vec::new(), Vec::new());
        for (n, row) in all.iter().enumerate() {
            let n = narrow(n)?;
            let entries = row.substances().iter();
            let entries = entries.filter_map(|id| numbers.get(id.as_str()));
            naming.extend(entries.map(|entry| (*entry, n)));
            general.extend(row.substances().is_empty().then_some(n));
        }
        naming.sort_unstable();
        Ok(Table {
            rows: all_bytes(all)?,
            naming,
            general,
        })
    }

    fn packed(&self) -> PackedTable<'_> {
        PackedTable {
            rows: self.rows.iter().map(Vec::as_slice).collect(),
            naming: self.naming.clone(),
            general: self.general.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_finds_its_entries_in_order() {
        let rows = [("rose oil", 7), ("aloe", 2), ("rose oil", 3), ("water", 1)];
        let mut rows: Vec<_> = rows.iter().map(|(k, n)| ((*k).to_owned(), *n)).collect();
        let keys = Keys::of(&mut rows);
        let found = |k: &str| keys.find(k).collect::<Vec<_>>();
        assert_eq!(found("rose oil"), [3, 7]);
        assert_eq!(found("water"), [1]);
        for nothing in ["aloe vera", "", "zinc"] {
            assert!(found(nothing).is_empty(), "{nothing}");
        }
    }
}
