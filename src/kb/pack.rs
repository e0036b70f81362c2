//! The packed form: an index of names, then each entry by itself, so that only what is asked for is decoded.

use super::lengths::ByLength;
use super::names::key;
use super::number::Number;
use super::packed::{Bits, Table, U16s, U32s};
use super::read::Base;
use super::schema::{LawFile, PROHIBITED};
use super::typed::{COMMON, EVERYDAY, SELDOM, STAPLE, Typed};
use super::variants::blend_key;
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::collections::HashMap;

/// What is decoded at start.
#[derive(Serialize, Deserialize, Debug)]
pub struct Index<'a> {
    /// Ids in the order of the entries.
    #[serde(borrow)]
    pub ids: Table<'a>,
    /// Name keys, each with the entry that owns it.
    #[serde(borrow)]
    pub names: Table<'a>,
    /// The same names by length.
    #[serde(borrow)]
    pub lengths: ByLength<'a>,
    /// Loose name keys, one row per entry that may be meant.
    #[serde(borrow)]
    pub loose: Table<'a>,
    #[serde(borrow)]
    pub cas: Table<'a>,
    /// Words that a look-up strips from a name.
    pub qualifiers: Vec<SmolStr>,
    /// Where each entry stands in the body: first and one past the last byte.
    #[serde(borrow)]
    pub starts: U32s<'a>,
    #[serde(borrow)]
    pub ends: U32s<'a>,
    /// Entries from this number on are prohibited substances of a long list: found by name and number, never proposed.
    pub listed: u16,
    pub rest: Rest,
}

impl Index<'_> {
    /// How many entries there are.
    pub fn entries(&self) -> usize {
        self.starts.len()
    }

    pub fn piece(&self, entry: usize) -> Piece {
        (self.starts.get(entry), self.ends.get(entry))
    }
}

/// Start and end of a piece of the body.
pub type Piece = (u32, u32);

/// Where things of one kind stand in the body, one behind the other.
#[derive(Serialize, Deserialize, Debug)]
pub struct Pieces<'a> {
    start: u32,
    #[serde(borrow)]
    ends: U32s<'a>,
}

impl Pieces<'_> {
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub fn get(&self, n: usize) -> Piece {
        (
            if n == 0 {
                self.start
            } else {
                self.ends.get(n - 1)
            },
            self.ends.get(n),
        )
    }
}

/// Things of one kind that are found by a key.
#[derive(Serialize, Deserialize, Debug)]
pub struct Register<'a> {
    #[serde(borrow)]
    pub keys: Table<'a>,
    #[serde(borrow)]
    pub pieces: Pieces<'a>,
}

/// What is found by a key of its own, decoded at start too.
#[derive(Serialize, Deserialize, Debug)]
pub struct Registers<'a> {
    #[serde(borrow)]
    pub sources: Register<'a>,
    #[serde(borrow)]
    pub products: Register<'a>,
    #[serde(borrow)]
    pub thresholds: Register<'a>,
}

/// Where the rest stands. Each is decoded the first time that it is asked for.
#[derive(Serialize, Deserialize, Debug)]
pub struct Rest {
    /// Heads of the laws, by market.
    pub laws: Vec<(SmolStr, Piece)>,
    pub pairs: Piece,
    pub scope_words: Piece,
    pub vocabulary: Piece,
}

/// The law of a market: what stands once, and where the rows of its tables stand.
#[derive(Serialize, Deserialize, Debug)]
pub struct LawHead<'a> {
    pub market: SmolStr,
    pub title: SmolStr,
    pub as_of: SmolStr,
    pub free_order_percent: Number,
    pub free_order_inclusive: bool,
    pub covers: Vec<SmolStr>,
    pub not_covered: Vec<SmolStr>,
    #[serde(borrow)]
    pub limit: Rows<'a>,
    #[serde(borrow)]
    pub ban: Rows<'a>,
    #[serde(borrow)]
    pub allergen: Rows<'a>,
    #[serde(borrow)]
    pub colour: Rows<'a>,
    #[serde(borrow)]
    pub warning: Rows<'a>,
    #[serde(borrow)]
    pub medicine: Rows<'a>,
    #[serde(borrow)]
    pub duty: Rows<'a>,
}

/// A table of the law: where each row stands in the body, and by which entry it is found.
#[derive(Serialize, Deserialize, Debug)]
pub struct Rows<'a> {
    #[serde(borrow)]
    pub pieces: Pieces<'a>,
    /// Entries that rows name: most that are asked about are not among them.
    #[serde(borrow)]
    any: Bits<'a>,
    /// The same in order, an entry once for each row; the rows stand beside them.
    #[serde(borrow)]
    named: U16s<'a>,
    #[serde(borrow)]
    by: U16s<'a>,
    /// Rows that name no substance at all.
    #[serde(borrow)]
    general: U16s<'a>,
}

impl Rows<'_> {
    /// Whether any row names an entry.
    pub fn names(&self, entry: u16) -> bool {
        self.any.has(entry)
    }

    /// The rows that name an entry, in their order.
    pub fn naming(&self, entry: u16) -> impl Iterator<Item = usize> + '_ {
        let end = self.named.len();
        let first = if self.any.has(entry) {
            self.named.partition_point(|n| n < entry)
        } else {
            end
        };
        (first..end)
            .take_while(move |at| self.named.get(*at) == entry)
            .map(|at| usize::from(self.by.get(at)))
    }

    pub fn general(&self) -> impl Iterator<Item = usize> + '_ {
        self.general.iter().map(usize::from)
    }
}

/// The body as it grows.
struct Body {
    bytes: Vec<u8>,
    /// The number of each entry, by id.
    numbers: HashMap<String, u16>,
}

impl Body {
    /// Appends something and says where it stands.
    fn append(&mut self, what: &impl Serialize) -> Result<Piece, postcard::Error> {
        let start = self.end()?;
        self.bytes.extend(postcard::to_allocvec(what)?);
        Ok((start, self.end()?))
    }

    fn end(&self) -> Result<u32, postcard::Error> {
        u32::try_from(self.bytes.len()).map_err(|_| postcard::Error::SerializeBufferFull)
    }

    /// Appends things of one kind, one by one.
    fn pieces<T: Serialize>(&mut self, all: &[T]) -> Result<Pieces<'static>, postcard::Error> {
        let start = self.end()?;
        let ends = all
            .iter()
            .map(|one| Ok(self.append(one)?.1))
            .collect::<Result<Vec<_>, postcard::Error>>()?;
        Ok(Pieces {
            start,
            ends: U32s::of(ends),
        })
    }

    fn register<T: Serialize>(
        &mut self,
        all: &[T],
        keys: impl Fn(&T) -> Vec<String>,
    ) -> Result<Register<'static>, postcard::Error> {
        let mut rows = Vec::new();
        for (n, one) in all.iter().enumerate() {
            let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
            rows.extend(keys(one).into_iter().map(|k| (k, n)));
        }
        Ok(Register {
            keys: Table::of(rows),
            pieces: self.pieces(all)?,
        })
    }

    fn rows<T: Serialize>(
        &mut self,
        all: &[T],
        substances: impl Fn(&T) -> &[SmolStr],
    ) -> Result<Rows<'static>, postcard::Error> {
        let (mut by, mut general) = (Vec::new(), Vec::new());
        for (n, row) in all.iter().enumerate() {
            let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
            by.extend(
                substances(row)
                    .iter()
                    .filter_map(|s| Some((*self.numbers.get(s.as_str())?, n))),
            );
            general.extend(substances(row).is_empty().then_some(n));
        }
        by.sort_unstable();
        Ok(Rows {
            pieces: self.pieces(all)?,
            any: Bits::of(by.iter().map(|(entry, _)| *entry)),
            named: U16s::of(by.iter().map(|(entry, _)| *entry)),
            by: U16s::of(by.iter().map(|(_, row)| *row)),
            general: U16s::of(general),
        })
    }

    fn law(&mut self, l: &LawFile) -> Result<(SmolStr, Piece), postcard::Error> {
        let head = LawHead {
            market: l.market.clone(),
            title: l.title.clone(),
            as_of: l.as_of.clone(),
            free_order_percent: l.free_order_percent,
            free_order_inclusive: l.free_order_inclusive,
            covers: l.covers.clone(),
            not_covered: l.not_covered.clone(),
            limit: self.rows(&l.limit, |x| &x.substances)?,
            ban: self.rows(&l.ban, |x| &x.substances)?,
            allergen: self.rows(&l.allergen, |x| &x.substances)?,
            colour: self.rows(&l.colour, |x| &x.substances)?,
            warning: self.rows(&l.warning, |x| &x.substances)?,
            medicine: self.rows(&l.medicine, |x| &x.substances)?,
            duty: self.rows(&l.duty, |x| &x.substances)?,
        };
        Ok((l.market.clone(), self.append(&head)?))
    }
}

/// A base as it lies in the program.
pub struct Packed {
    /// What is decoded at start: [`Index`] and [`Registers`].
    pub index: Vec<u8>,
    /// Entries, laws and the rest, decoded one by one.
    pub body: Vec<u8>,
    /// The file of names ([`super::typed`]), read where it lies.
    pub typed: Vec<u8>,
}

/// How commonly makers keep each material.
fn common(base: &Base) -> HashMap<&str, u8> {
    let lists = [
        (&base.common.staple, STAPLE),
        (&base.common.everyday, EVERYDAY),
        (&base.common.common, COMMON),
    ];
    let each = lists
        .into_iter()
        .flat_map(|(ids, how)| ids.iter().map(move |id| (id.as_str(), how)));
    each.collect()
}

/// Packs a sound base.
pub fn pack(base: &Base) -> Result<Packed, postcard::Error> {
    let mut packed: Vec<Vec<u8>> = Vec::new();
    let (mut ids, mut names, mut loose, mut cas) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (n, i) in base.ingredients.iter().enumerate() {
        let n = u16::try_from(n).map_err(|_| postcard::Error::SerializeBufferFull)?;
        packed.push(postcard::to_allocvec(i)?);
        ids.push((i.id.to_string(), n));
        let asked: Vec<String> = i.loose_names.iter().map(|name| key(name)).collect();
        names.extend(
            i.names
                .iter()
                .chain(&i.inci)
                .chain(&i.inci_us)
                .chain(&i.ci)
                .chain([&i.id])
                .map(|name| (key(name), n))
                .filter(|(k, _)| !asked.contains(k)),
        );
        loose.extend(asked.into_iter().map(|k| (k, n)));
        let parts = || {
            i.composition
                .iter()
                .filter(|p| !p.hidden)
                .map(|p| p.of.as_str())
        };
        if parts().count() > 1 {
            loose.push((blend_key(parts()), n));
        }
        cas.extend(i.cas.iter().map(|c| (c.to_string(), n)));
    }
    let mut body = Body {
        bytes: Vec::new(),
        numbers: ids.iter().cloned().collect(),
    };
    let mut pieces: Vec<Piece> = Vec::with_capacity(packed.len());
    for bytes in packed {
        let start = body.end()?;
        body.bytes.extend(bytes);
        pieces.push((start, body.end()?));
    }
    let rest = Rest {
        laws: base
            .laws
            .iter()
            .map(|l| body.law(l))
            .collect::<Result<_, _>>()?,
        pairs: body.append(&base.pairs)?,
        scope_words: body.append(&base.scope_words)?,
        vocabulary: body.append(&base.vocabulary)?,
    };
    let mut qualifiers = base.vocabulary.qualifiers.clone();
    qualifiers.sort();
    let names = Table::of(names);
    // The reader puts the long lists behind all else.
    let listed = base
        .ingredients
        .iter()
        .take_while(|i| i.family != PROHIBITED)
        .count();
    let common = common(base);
    let typed = Typed::of(
        (0..).zip(&base.ingredients[..listed]),
        &|k| names.place_of(k),
        &|id| common.get(id).copied().unwrap_or(SELDOM),
    );
    let listed = u16::try_from(listed).map_err(|_| postcard::Error::SerializeBufferFull)?;
    let index = Index {
        ids: Table::of(ids),
        lengths: ByLength::of(&names, listed),
        names,
        loose: Table::of(loose),
        cas: Table::of(cas),
        qualifiers,
        starts: U32s::of(pieces.iter().map(|(start, _)| *start)),
        ends: U32s::of(pieces.iter().map(|(_, end)| *end)),
        listed,
        rest,
    };
    let registers = Registers {
        sources: body.register(&base.sources, |s| vec![s.id.to_string()])?,
        products: body.register(&base.products, |p| {
            std::iter::once(&p.name)
                .chain(&p.names)
                .map(|n| key(n))
                .collect()
        })?,
        thresholds: body.register(&base.thresholds, |t| vec![t.id.to_string()])?,
    };
    Ok(Packed {
        index: postcard::to_allocvec(&(index, registers))?,
        body: body.bytes,
        typed: postcard::to_allocvec(&typed)?,
    })
}
