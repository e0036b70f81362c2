//! Texts, numbers and tables as they lie in the program: read in place, without a copy.

use super::hash::Plain;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::hash::BuildHasher;
use std::ops::Range;

macro_rules! numbers {
    ($(#[$about:meta])* $name:ident, $one:ty) => {
        $(#[$about])*
        #[derive(Serialize, Deserialize, Debug)]
        pub struct $name<'a>(#[serde(borrow)] Cow<'a, [u8]>);

        impl $name<'_> {
            pub fn of(all: impl IntoIterator<Item = $one>) -> $name<'static> {
                $name(all.into_iter().flat_map(<$one>::to_le_bytes).collect())
            }

            pub fn len(&self) -> usize {
                self.0.len() / size_of::<$one>()
            }

            pub fn is_empty(&self) -> bool {
                self.0.is_empty()
            }

            pub fn get(&self, n: usize) -> $one {
                <$one>::from_le_bytes(self.0.as_chunks().0[n])
            }

            pub fn iter(&self) -> impl Iterator<Item = $one> + '_ {
                self.0.as_chunks().0.iter().map(|bytes| <$one>::from_le_bytes(*bytes))
            }
        }
    };
}

numbers!(
    /// Numbers of two bytes, the lower first.
    U16s,
    u16
);
numbers!(
    /// Numbers of four bytes, the lowest first.
    U32s,
    u32
);

impl U16s<'_> {
    /// How many come before the first that is not `below`; they are in order.
    pub fn partition_point(&self, below: impl Fn(u16) -> bool) -> usize {
        self.0
            .as_chunks()
            .0
            .partition_point(|bytes| below(u16::from_le_bytes(*bytes)))
    }
}

/// A set of small numbers, a bit for each.
#[derive(Serialize, Deserialize, Debug)]
pub struct Bits<'a>(#[serde(borrow)] Cow<'a, [u8]>);

impl Bits<'_> {
    pub fn of(all: impl IntoIterator<Item = u16>) -> Bits<'static> {
        let mut bytes = Vec::new();
        for n in all.into_iter().map(usize::from) {
            bytes.resize(bytes.len().max(n / 8 + 1), 0);
            bytes[n / 8] |= 1 << (n % 8);
        }
        Bits(bytes.into())
    }

    pub fn has(&self, n: u16) -> bool {
        let n = usize::from(n);
        self.0
            .get(n / 8)
            .is_some_and(|byte| byte >> (n % 8) & 1 == 1)
    }
}

/// Many short texts as one.
#[derive(Serialize, Deserialize, Debug)]
pub struct Texts<'a> {
    #[serde(borrow)]
    text: Cow<'a, str>,
    #[serde(borrow)]
    ends: U32s<'a>,
}

impl Texts<'_> {
    fn of<'t>(all: impl Iterator<Item = &'t str>) -> Texts<'static> {
        let (mut text, mut ends) = (String::new(), Vec::new());
        for one in all {
            text.push_str(one);
            ends.push(text.len() as u32);
        }
        Texts {
            text: text.into(),
            ends: U32s::of(ends),
        }
    }

    pub fn len(&self) -> usize {
        self.ends.len()
    }

    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    fn range(&self, n: usize) -> Range<usize> {
        let start = if n == 0 {
            0
        } else {
            self.ends.get(n - 1) as usize
        };
        start..self.ends.get(n) as usize
    }

    pub fn get(&self, n: usize) -> &str {
        &self.text[self.range(n)]
    }

    fn is(&self, n: usize, text: &str) -> bool {
        self.text.as_bytes()[self.range(n)] == *text.as_bytes()
    }

    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.len()).map(|n| self.get(n))
    }

    /// One behind the other.
    pub fn whole(&self) -> &str {
        &self.text
    }
}

/// Keys in order, each with its entry. A key may stand several times.
#[derive(Serialize, Deserialize, Debug)]
pub struct Table<'a> {
    #[serde(borrow)]
    pub keys: Texts<'a>,
    #[serde(borrow)]
    pub entries: U16s<'a>,
    /// A hash table with open addressing: one more than the number of the first of equal keys, or nought. Twice as many slots as keys
    /// and a power of two.
    #[serde(borrow)]
    slots: U16s<'a>,
}

fn slot_of(k: &str, slots: usize) -> usize {
    // The high half, for there every byte of the key has its say.
    (Plain::default().hash_one(k) >> 32) as usize & (slots - 1)
}

impl Table<'_> {
    /// # Panics
    /// With 65,535 keys and more.
    pub fn of(mut rows: Vec<(String, u16)>) -> Table<'static> {
        rows.sort();
        rows.dedup();
        let mut slots = vec![0; (rows.len() * 2).next_power_of_two()];
        for (n, (k, _)) in rows
            .iter()
            .enumerate()
            .filter(|(n, (k, _))| *n == 0 || rows[n - 1].0 != *k)
        {
            let mut at = slot_of(k, slots.len());
            while slots[at] != 0 {
                at = (at + 1) % slots.len();
            }
            slots[at] = u16::try_from(n + 1).expect("fewer than 65,535 keys");
        }
        Table {
            keys: Texts::of(rows.iter().map(|(k, _)| k.as_str())),
            entries: U16s::of(rows.iter().map(|(_, n)| *n)),
            slots: U16s::of(slots),
        }
    }

    /// Where a key stands in the text of all keys.
    pub fn place_of(&self, k: &str) -> Option<u32> {
        self.first(k).map(|n| self.keys.range(n).start as u32)
    }

    /// The entries of a key.
    pub fn find(&self, k: &str) -> impl Iterator<Item = u16> + '_ {
        let first = self.first(k);
        let same = move |n: &usize| {
            first.is_some_and(|first| *n == first || self.keys.get(*n) == self.keys.get(first))
        };
        (first.unwrap_or(0)..self.keys.len())
            .take_while(same)
            .map(|n| self.entries.get(n))
    }

    fn first(&self, k: &str) -> Option<usize> {
        let mut at = slot_of(k, self.slots.len());
        loop {
            let n = usize::from(self.slots.get(at)).checked_sub(1)?;
            if self.keys.is(n, k) {
                return Some(n);
            }
            at = (at + 1) % self.slots.len();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_finds_its_entries_in_order() {
        let rows = [("rose oil", 7), ("aloe", 2), ("rose oil", 3), ("water", 1)];
        let table = Table::of(rows.iter().map(|(k, n)| ((*k).to_owned(), *n)).collect());
        let found = |k: &str| table.find(k).collect::<Vec<_>>();
        assert_eq!(found("rose oil"), [3, 7]);
        assert_eq!(found("water"), [1]);
        assert!(found("aloe vera").is_empty());
        assert!(found("").is_empty());
        assert_eq!(Table::of(Vec::new()).find("aloe").count(), 0);
    }

    #[test]
    fn a_set_holds_what_was_put_in_and_nothing_else() {
        let set = Bits::of([0, 7, 8, 300]);
        assert_eq!(
            (0..2000).filter(|n| set.has(*n)).collect::<Vec<_>>(),
            [0, 7, 8, 300]
        );
        assert!(!Bits::of([]).has(0));
    }

    #[test]
    fn every_one_of_many_keys_is_found_and_no_other() {
        let table = Table::of((0..5000).map(|n| (format!("name {n}"), n)).collect());
        for n in 0..5000 {
            assert_eq!(table.find(&format!("name {n}")).collect::<Vec<_>>(), [n]);
            assert_eq!(table.find(&format!("name {n} x")).next(), None);
        }
    }
}
