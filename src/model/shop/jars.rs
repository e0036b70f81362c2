//! The jars of a batch: filled, kept, spoilt, sold, still here.

use super::{Entry, Shop};
use crate::chem::date::Date;
use crate::model::record::Record;
use crate::syntax::tree::{LedgerAmount, LedgerVerb, Measure};

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Jars {
    pub filled: i64,
    pub kept: i64,
    pub spoilt: i64,
    /// Sold less what came back.
    pub sold: i64,
    pub given: i64,
    pub thrown: i64,
    /// On the shelf: filled less all of these; below zero where more went out than there was. A count sets it.
    pub here: i64,
}

impl Jars {
    fn add(&mut self, other: Jars) {
        self.filled += other.filled;
        self.kept += other.kept;
        self.spoilt += other.spoilt;
        self.sold += other.sold;
        self.given += other.given;
        self.thrown += other.thrown;
        self.here += other.here;
    }
}

impl Shop {
    /// The jars of one size of a batch, with all that is written or as they were at the end of a day.
    pub fn jars_of(&self, batch: &Record, each: &Measure, on: Option<Date>) -> Jars {
        self.jars_until(batch, each, on, None)
    }

    /// What should have been on the shelf when a line counted it.
    pub(super) fn jars_before(&self, batch: &Record, each: &Measure, count: &Entry) -> Option<i64> {
        let day = count.line.date.value;
        let is_first = self.is_first_of_its_code(batch);
        is_first.then(|| self.jars_until(batch, each, Some(day), Some(count)).here)
    }

    fn is_first_of_its_code(&self, batch: &Record) -> bool {
        self.batch(batch.code())
            .is_some_and(|b| b.path == batch.path && b.line == batch.line)
    }

    /// With all up to a day, one line of that day left out.
    fn jars_until(
        &self,
        batch: &Record,
        each: &Measure,
        on: Option<Date>,
        without: Option<&Entry>,
    ) -> Jars {
        let same = |m: &Measure| m.value == each.value && m.unit == each.unit;
        let mut jars = Jars::default();
        let made = on.is_none_or(|on| batch.made.is_none_or(|made| made <= on));
        for f in batch
            .packs
            .iter()
            .filter(|f| same(&f.each) && made && !batch.void)
        {
            jars.filled += i64::from(f.count);
            jars.kept += i64::from(f.kept);
            jars.spoilt += i64::from(f.spoilt);
        }
        jars.here = jars.filled - jars.kept - jars.spoilt;
        // Of two batches with one code the ledger's lines are taken as the first one's; `code-twice` names both.
        let is_first = self.is_first_of_its_code(batch);
        let mut lines: Vec<_> = self
            .entries(batch.code())
            .filter(|_| is_first)
            .filter(|e| on.is_none_or(|on| e.line.date.value <= on))
            .filter(|e| without.is_none_or(|w| w.path != e.path || w.at != e.at))
            .filter_map(|e| match &e.line.amount {
                LedgerAmount::Packs { count, each } if same(each) => {
                    Some((e.line.date.value, e.line.verb.value, i64::from(*count)))
                }
                _ => None,
            })
            .collect();
        // Of one day, the count stands in the evening.
        lines.sort_by_key(|(day, verb, _)| (*day, *verb == LedgerVerb::Counted));
        for (_, verb, n) in lines {
            match verb {
                LedgerVerb::Sold => {
                    jars.sold += n;
                    jars.here -= n;
                }
                LedgerVerb::Back => {
                    jars.sold -= n;
                    jars.here += n;
                }
                LedgerVerb::Gave | LedgerVerb::Sampled | LedgerVerb::Used => {
                    jars.given += n;
                    jars.here -= n;
                }
                LedgerVerb::ThrewAway => {
                    jars.thrown += n;
                    jars.here -= n;
                }
                LedgerVerb::Counted => jars.here = n,
                LedgerVerb::Moved => {}
            }
        }
        jars
    }

    /// All jars of a batch.
    pub fn jars(&self, batch: &Record, on: Option<Date>) -> Jars {
        let mut sum = Jars::default();
        let mut sizes: Vec<Measure> = Vec::new();
        for f in &batch.packs {
            let known = |m: &Measure| m.value == f.each.value && m.unit == f.each.unit;
            if !sizes.iter().any(known) {
                sizes.push(f.each);
                sum.add(self.jars_of(batch, &f.each, on));
            }
        }
        sum
    }
}
