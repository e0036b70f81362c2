//! What counts found: each line of a ledger that counts a lot or the jars of a batch, against what should have been there.

use super::stock::{Held, Step};
use super::{Shop, fold};
use crate::kb::Kb;
use crate::model::record::Record;
use crate::model::shelf::Lot;
use crate::syntax::tree::{LedgerAmount, LedgerVerb, Measure};
use rust_decimal::Decimal;
use std::path::PathBuf;

/// A count that stands in a ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct Count {
    pub path: PathBuf,
    /// From 0.
    pub line: u32,
    pub expected: Decimal,
    pub found: Decimal,
}

impl Shop {
    /// The counts of a lot in the order of their days, in grams or pieces. Empty where what it held is not known.
    pub fn counts(&self, lot: &Lot, kb: &Kb) -> Vec<Count> {
        let mut amount = match self.held(lot) {
            Held::Grams(g) | Held::Pieces(g) => g,
            Held::Unknown => return Vec::new(),
        };
        let mut out = Vec::new();
        for step in self.steps(lot, None, kb).0 {
            match step {
                Step::Taken { amount: taken, .. } => amount = amount.saturating_sub(taken),
                Step::Counted { found, at, .. } => {
                    out.push(Count {
                        path: at.0,
                        line: at.1,
                        expected: amount,
                        found,
                    });
                    amount = found;
                }
            }
        }
        out
    }

    /// The counts of the jars of one size of a batch.
    pub fn jar_counts(&self, batch: &Record, each: &Measure) -> Vec<Count> {
        let same = |m: &Measure| m.value == each.value && m.unit == each.unit;
        let counted = self.entries(batch.code()).filter(|e| {
            e.line.verb.value == LedgerVerb::Counted
                && matches!(&e.line.amount, LedgerAmount::Packs { each, .. } if same(each))
        });
        counted
            .filter_map(|entry| {
                let LedgerAmount::Packs { count, .. } = entry.line.amount else {
                    return None;
                };
                let expected = self.jars_before(batch, each, entry)?;
                Some(Count {
                    path: entry.path.clone(),
                    line: entry.at,
                    expected: Decimal::from(expected),
                    found: Decimal::from(count),
                })
            })
            .collect()
    }

    /// Codes that differ from this one in hyphens, points or leading zeros alone, as they are written.
    pub fn near_codes(&self, code: &str) -> Vec<&str> {
        let own = fold(code);
        let Some(all) = self.near.get(&bare(code)) else {
            return Vec::new();
        };
        let others = all.keys().filter(|folded| **folded != own);
        others
            .filter_map(|folded| {
                let lot = self.lot(folded).map(|l| l.code.as_str());
                lot.or_else(|| self.batch(folded).map(Record::code))
            })
            .collect()
    }
}

/// The letters and numbers of a code: `GLY-07`, `gly 7` and `GLY_07` are one.
pub(super) fn bare(code: &str) -> String {
    let folded = fold(code);
    let mut out = String::with_capacity(folded.len());
    let mut digits = false;
    let mut chars = folded.chars().peekable();
    while let Some(c) = chars.next() {
        if !c.is_alphanumeric() {
            digits = false;
            // What parts two numbers is no hyphen alone: 1-12 is not 11-2.
            if out.ends_with(|c: char| c.is_ascii_digit())
                && chars.peek().is_some_and(char::is_ascii_digit)
            {
                out.push('-');
            }
            continue;
        }
        let leads = c == '0' && !digits && chars.peek().is_some_and(char::is_ascii_digit);
        if leads {
            continue;
        }
        digits = c.is_ascii_digit();
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::bare;

    #[test]
    fn codes_that_a_hand_takes_for_one() {
        for code in ["GLY-07", "gly 07", "GLY_7", "Gly07"] {
            assert_eq!(bare(code), "gly7", "{code}");
        }
        assert_ne!(bare("GLY-07"), bare("GLY-70"));
        assert_ne!(bare("A-1-12"), bare("A-11-2"));
        assert_ne!(bare("GLY-0"), bare("GLY"));
    }
}
