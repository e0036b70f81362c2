//! Names in order of their length, each with the set of its letters, for the search of the nearest.

use super::bundle::BUNDLE;
use std::sync::LazyLock;

/// The names of a base, the shortest first.
pub struct LengthIndex<'a> {
    /// Length, letters, name and its entry.
    rows: Vec<(usize, u32, &'a str, u16)>,
}

impl LengthIndex<'_> {
    /// The bundled names, without those of the long lists of prohibited substances: they are nobody's guess. Made when the first name is
    /// not known.
    pub fn bundled() -> &'static LengthIndex<'static> {
        static INDEX: LazyLock<LengthIndex> = LazyLock::new(|| {
            let packed = &BUNDLE.packed;
            LengthIndex::of(packed.names.iter().filter(|(_, n)| *n < packed.listed))
        });
        &INDEX
    }

    fn of<'a>(names: impl Iterator<Item = (&'a str, u16)>) -> LengthIndex<'a> {
        let mut rows: Vec<_> = names
            .map(|(name, entry)| (name.len(), letters(name), name, entry))
            .collect();
        rows.sort_by_key(|(length, ..)| *length);
        LengthIndex { rows }
    }

    /// The names that may lie within `allowed` letters of one with this length and these letters, each with its entry.
    pub fn within_letter_bound(
        &self,
        length: usize,
        set: u32,
        allowed: usize,
    ) -> impl Iterator<Item = (&str, u16)> + '_ {
        let shorter = |length: usize| self.rows.partition_point(|(l, ..)| *l < length);
        let rows = shorter(length.saturating_sub(allowed))..shorter(length + allowed + 1);
        self.rows[rows]
            .iter()
            .filter(move |(_, letters, ..)| may_be_near(set, *letters, allowed))
            .map(|(_, _, name, entry)| (*name, *entry))
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
        let index = LengthIndex::of(words.into_iter().zip(0..));
        for asked in [
            "",
            "b",
            "zink",
            "sodum benzoate",
            "a name that is much longer than any of them",
        ] {
            for allowed in 0..4 {
                let mut found: Vec<&str> = index
                    .within_letter_bound(asked.len(), letters(asked), allowed)
                    .map(|(name, _)| name)
                    .collect();
                found.sort_unstable();
                let may_be = |word: &&str| {
                    word.len().abs_diff(asked.len()) <= allowed
                        && may_be_near(letters(word), letters(asked), allowed)
                };
                let mut expected: Vec<&str> = words.into_iter().filter(may_be).collect();
                expected.sort_unstable();
                assert_eq!(found, expected, "{asked}, {allowed}");
            }
        }
    }
}
