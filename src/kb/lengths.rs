//! Names in order of their length, each with the set of its letters: packed by the build, for the search of the nearest.

use super::packed::{Table, U16s, U32s};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize, Debug)]
pub struct ByLength<'a> {
    /// How many names are shorter, for each length from nought to one beyond the longest.
    #[serde(borrow)]
    shorter: U16s<'a>,
    #[serde(borrow)]
    letters: U32s<'a>,
    /// The numbers of the names.
    #[serde(borrow)]
    names: U16s<'a>,
}

impl ByLength<'_> {
    /// The names of the entries below the number `end`.
    ///
    /// # Panics
    /// With 65,536 names and more.
    pub fn of(names: &Table, end: u16) -> ByLength<'static> {
        let mut rows: Vec<(usize, usize, u32)> = names
            .keys
            .iter()
            .enumerate()
            .filter(|(n, _)| names.entries.get(*n) < end)
            .map(|(n, name)| (name.len(), n, letters(name)))
            .collect();
        rows.sort_unstable();
        let narrow = |n: usize| u16::try_from(n).expect("fewer than 65,536 names");
        let longest = rows.last().map_or(0, |(length, ..)| *length);
        ByLength {
            shorter: U16s::of(
                (0..=longest + 1).map(|length| narrow(rows.partition_point(|(l, ..)| *l < length))),
            ),
            letters: U32s::of(rows.iter().map(|(.., set)| *set)),
            names: U16s::of(rows.iter().map(|(_, n, _)| narrow(*n))),
        }
    }

    /// Numbers of the names that may lie within `allowed` of one with this length and these letters.
    pub fn candidates(
        &self,
        length: usize,
        set: u32,
        allowed: usize,
    ) -> impl Iterator<Item = usize> + '_ {
        let shorter =
            |length: usize| usize::from(self.shorter.get(length.min(self.shorter.len() - 1)));
        let rows = shorter(length.saturating_sub(allowed))..shorter(length + allowed + 1);
        rows.filter(move |row| may_be_near(set, self.letters.get(*row), allowed))
            .map(|row| usize::from(self.names.get(row)))
    }
}

/// Which letters occur, as bits.
pub fn letters(s: &str) -> u32 {
    s.bytes()
        .filter(u8::is_ascii_alphanumeric)
        .fold(0, |m, b| m | 1 << (b % 31))
}

/// One slip of the pen brings in at most one letter and loses at most one.
pub fn may_be_near(a: u32, b: u32, allowed: usize) -> bool {
    (a & !b).count_ones() as usize <= allowed && (b & !a).count_ones() as usize <= allowed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::packed::Table;

    /// The cheap look at letters never throws out a name that is near.
    #[test]
    fn letters_leave_all_near_names_in() {
        for (a, b) in [
            ("sodium benzoate", "sodum benzoate"),
            ("xanthan gum", "xanthum gum"),
            ("retinol", "retinal"),
            ("peg 8", "peg 6"),
        ] {
            let distance = strsim::osa_distance(a, b);
            assert!(may_be_near(letters(a), letters(b), distance), "{a} / {b}");
        }
        assert!(!may_be_near(letters("zinc"), letters("water"), 1));
    }

    /// None that lies near is passed over, whatever its length.
    #[test]
    fn candidates_are_all_that_may_be_near() {
        let words = [
            "",
            "a",
            "zinc",
            "water",
            "sodium benzoate",
            "sodium benzoat",
            "potassium sorbate",
            "xanthan gum",
            "guar gum",
        ];
        let table = Table::of(
            (0..)
                .zip(words)
                .map(|(n, word)| (word.to_owned(), n))
                .collect(),
        );
        let filed = ByLength::of(&table, u16::MAX);
        for asked in [
            "",
            "b",
            "zink",
            "sodum benzoate",
            "a name that is much longer than any of them",
        ] {
            for allowed in 0..4 {
                let mut found: Vec<&str> = filed
                    .candidates(asked.len(), letters(asked), allowed)
                    .map(|n| table.keys.get(n))
                    .collect();
                found.sort_unstable();
                let may_be = |word: &&str| {
                    word.len().abs_diff(asked.len()) <= allowed
                        && may_be_near(letters(word), letters(asked), allowed)
                };
                let expected: Vec<&str> = table.keys.iter().filter(may_be).collect();
                assert_eq!(found, expected, "{asked}, {allowed}");
            }
        }
    }
}
