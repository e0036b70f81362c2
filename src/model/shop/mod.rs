//! The workshop: all batches, lots and ledger lines of a folder, in memory, found by their codes.
//!
//! Each file gives its [`Facts`]. An edit takes the old facts of one file out and puts the new ones in, so that the index is always
//! what a fresh build would be. Nothing is kept between runs: the files are the truth.
//!
//! Codes of lots and of batches share one list; small and capital letters and blanks make no difference ([`fold`]).

mod choice;
mod cost;
mod counts;
mod facts;
pub mod folder;
mod jars;
mod memo;
mod plan;
mod plans;
mod stock;
mod trace;

pub use choice::UsableLot;
pub use cost::{CannotCost, Cost};
pub use counts::Count;
pub use facts::{Conflict, Entry, Facts, Quantity, Use, UseKind};
pub use jars::Jars;
pub use plan::{Plan, PlannedRow, plan, solution};
pub use plans::{PlanResult, Plans};
pub use stock::{Held, Left, LotStatus};
pub use trace::{BackStep, Trace, TracedBatch, Uncertain};

use super::file_loader::resolve_relative;
use super::record::Record;
use super::shelf::Lot;
use crate::kb::Kb;
use crate::syntax::tree::Tree;
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where a fact stands: the file, and its number in that file's list.
pub type At = (Arc<Path>, usize);
/// By code; each place with the facts of its file, so that no file has to be looked up.
type Postings = HashMap<String, BTreeMap<At, Arc<Facts>>>;

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shop {
    files: BTreeMap<Arc<Path>, Arc<Facts>>,
    lots: Postings,
    batches: Postings,
    /// What batches took of a lot, by the lot's code.
    uses: Postings,
    /// Lots that were made in a batch, by the batch's code.
    made_in: Postings,
    ledger: Postings,
    memo: memo::Memo,
    /// Batches by the name of their formula's file.
    formulas: Postings,
    /// Folded codes with how often each begins a lot or a batch, by their letters and numbers alone.
    near: HashMap<String, BTreeMap<String, usize>>,
    /// Records in which somebody looked over the work.
    checked: usize,
}

/// A code as it is compared: without blanks, in small letters.
pub fn fold(code: &str) -> String {
    code.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect()
}

/// The name of a record's formula file, without its folder.
fn formula_name(record: &Record) -> Option<&str> {
    let path = Path::new(&record.formula.as_ref()?.value);
    path.file_name()?.to_str()
}

/// What is found by its code.
#[derive(Clone, Copy)]
enum List {
    Lots,
    MadeIn,
    Batches,
    Formulas,
    Uses,
    Ledger,
}

const LISTS: [List; 6] = [
    List::Lots,
    List::MadeIn,
    List::Batches,
    List::Formulas,
    List::Uses,
    List::Ledger,
];

/// The code under which a fact is found; none where it has none.
fn code_at(facts: &Facts, list: List, n: usize) -> Option<&str> {
    match list {
        List::Lots => Some(&facts.lots.get(n)?.code),
        List::MadeIn => facts.lots.get(n)?.from.as_deref(),
        List::Batches => Some(&facts.records.get(n)?.code.as_ref()?.value),
        List::Formulas => formula_name(facts.records.get(n)?),
        List::Uses => Some(&facts.uses.get(n)?.lot.value),
        List::Ledger => Some(&facts.ledger.get(n)?.line.code.value),
    }
}

/// The codes of a file with the numbers of their facts.
fn codes(facts: &Facts, list: List) -> impl Iterator<Item = (usize, &str)> {
    let count = match list {
        List::Lots | List::MadeIn => facts.lots.len(),
        List::Batches | List::Formulas => facts.records.len(),
        List::Uses => facts.uses.len(),
        List::Ledger => facts.ledger.len(),
    };
    (0..count).filter_map(move |n| Some((n, code_at(facts, list, n)?)))
}

/// A code as it is looked up; the name of a file stays as it is written.
fn key(list: List, code: &str) -> String {
    match list {
        List::Formulas => code.to_owned(),
        _ => fold(code),
    }
}

fn take_out(postings: &mut Postings, code: &str, at: &At) {
    if let Some(all) = postings.get_mut(code) {
        all.remove(at);
        if all.is_empty() {
            postings.remove(code);
        }
    }
}

impl Shop {
    /// The shop of some files; formulas among them are passed over.
    pub fn of<'a>(files: impl IntoIterator<Item = (&'a Path, &'a Tree)>, kb: &Kb) -> Shop {
        let mut shop = Shop::default();
        for (path, tree) in files {
            shop.set(path, Facts::of(tree, path, kb));
        }
        shop
    }

    /// Puts the facts of a file in place of those it had. What stands where it stood keeps its posting, so that a change in one line of
    /// a long ledger costs little.
    pub fn set(&mut self, path: &Path, facts: impl Into<Arc<Facts>>) {
        let facts = facts.into();
        if facts.is_empty() {
            return self.remove(path);
        }
        let before = self.files.remove_entry(path);
        let path = match &before {
            Some((path, _)) => path.clone(),
            None => Arc::from(path),
        };
        for list in LISTS {
            let postings = self.postings(list);
            let old = before.as_ref().map(|(_, old)| old);
            for (n, code) in old.into_iter().flat_map(|old| codes(old, list)) {
                if code_at(&facts, list, n) != Some(code) {
                    take_out(postings, &key(list, code), &(path.clone(), n));
                }
            }
            for (n, code) in codes(&facts, list) {
                let places = postings.entry(key(list, code)).or_default();
                places.insert((path.clone(), n), facts.clone());
            }
        }
        if let Some((_, old)) = &before {
            self.tally(old, false);
        }
        self.tally(&facts, true);
        self.files.insert(path, facts);
        self.memo.forget();
    }

    /// Takes a file out.
    pub fn remove(&mut self, path: &Path) {
        let Some((path, facts)) = self.files.remove_entry(path) else {
            return;
        };
        for list in LISTS {
            let postings = self.postings(list);
            for (n, code) in codes(&facts, list) {
                take_out(postings, &key(list, code), &(path.clone(), n));
            }
        }
        self.tally(&facts, false);
        self.memo.forget();
    }

    fn postings(&mut self, list: List) -> &mut Postings {
        match list {
            List::Lots => &mut self.lots,
            List::MadeIn => &mut self.made_in,
            List::Batches => &mut self.batches,
            List::Formulas => &mut self.formulas,
            List::Uses => &mut self.uses,
            List::Ledger => &mut self.ledger,
        }
    }

    /// Counts what a file adds, or what it takes away.
    fn tally(&mut self, facts: &Facts, adds: bool) {
        let lots = facts.lots.iter().map(|l| l.code.as_str());
        let batches = facts.records.iter().filter(|r| r.code.is_some());
        for code in lots.chain(batches.map(Record::code)) {
            let key = counts::bare(code);
            let all = self.near.entry(key.clone()).or_default();
            let count = all.entry(fold(code)).or_default();
            *count = if adds { *count + 1 } else { *count - 1 };
            all.retain(|_, n| *n > 0);
            if all.is_empty() {
                self.near.remove(&key);
            }
        }
        let checked = facts.records.iter().filter(|r| r.checked.is_some()).count();
        self.checked = if adds {
            self.checked + checked
        } else {
            self.checked - checked
        };
    }

    /// Whether any record says who looked over the work.
    pub fn keeps_checks(&self) -> bool {
        self.checked > 0
    }

    pub fn facts(&self, path: &Path) -> Option<&Arc<Facts>> {
        self.files.get(path)
    }

    pub fn files(&self) -> impl Iterator<Item = (&Path, &Facts)> {
        self.files.iter().map(|(p, f)| (&**p, &**f))
    }

    fn at<'a, T: 'a>(
        &'a self,
        postings: &'a Postings,
        code: &str,
        list: impl Fn(&'a Facts) -> &'a [T] + 'a,
    ) -> impl Iterator<Item = &'a T> + 'a {
        postings
            .get(&fold(code))
            .into_iter()
            .flatten()
            .filter_map(move |((_, n), facts)| list(facts).get(*n))
    }

    /// The lot of a code; of two with one code, the first by file and line.
    pub fn lot(&self, code: &str) -> Option<&Lot> {
        self.lots_of_code(code).next()
    }

    pub fn lots_of_code<'a>(&'a self, code: &str) -> impl Iterator<Item = &'a Lot> + 'a {
        self.at(&self.lots, code, |f| &f.lots)
    }

    pub fn batch(&self, code: &str) -> Option<&Record> {
        self.batches_of_code(code).next()
    }

    pub fn batches_of_code<'a>(&'a self, code: &str) -> impl Iterator<Item = &'a Record> + 'a {
        self.at(&self.batches, code, |f| &f.records)
    }

    /// The batches of a record's formula, itself among them.
    pub fn batches_like<'a>(&'a self, record: &Record) -> impl Iterator<Item = &'a Record> + 'a {
        let own = record
            .formula
            .as_ref()
            .map(|f| resolve_relative(&record.path, &f.value));
        let name = formula_name(record).unwrap_or_default();
        let all = self.formulas.get(name).into_iter().flatten();
        all.filter_map(|((_, n), facts)| facts.records.get(*n))
            .filter(move |r| {
                r.formula
                    .as_ref()
                    .map(|f| resolve_relative(&r.path, &f.value))
                    == own
            })
    }

    /// What batches took of a lot, with the batch.
    pub fn uses(&self, lot: &str) -> impl Iterator<Item = (&Record, &Use)> {
        self.uses
            .get(&fold(lot))
            .into_iter()
            .flatten()
            .filter_map(|((_, n), facts)| {
                let one = facts.uses.get(*n)?;
                Some((facts.records.get(one.record)?, one))
            })
    }

    /// Lots that were made in a batch.
    pub fn lots_made_in<'a>(&'a self, batch: &str) -> impl Iterator<Item = &'a Lot> + 'a {
        self.at(&self.made_in, batch, |f| &f.lots)
    }

    /// The ledger's lines of a code, in the order of files and lines.
    pub fn entries<'a>(&'a self, code: &str) -> impl Iterator<Item = &'a Entry> + 'a {
        self.at(&self.ledger, code, |f| &f.ledger)
    }

    /// Every lot, in the order of files and lines.
    pub fn all_lots(&self) -> impl Iterator<Item = &Lot> {
        self.files.values().flat_map(|f| &f.lots)
    }

    pub fn all_batches(&self) -> impl Iterator<Item = &Record> {
        self.files.values().flat_map(|f| &f.records)
    }

    /// The uses of one batch, in the order of its lines.
    pub fn uses_in<'a>(&'a self, record: &'a Record) -> impl Iterator<Item = &'a Use> + 'a {
        self.files
            .get(record.path.as_path())
            .into_iter()
            .flat_map(move |f| {
                f.uses.iter().filter(move |u| {
                    f.records
                        .get(u.record)
                        .is_some_and(|r| r.line == record.line)
                })
            })
    }

    /// Places that carry a code more than once, batches and lots together: path and line from 0, in order.
    pub fn places_of_code(&self, code: &str) -> Vec<(PathBuf, u32)> {
        let lots = self.lots_of_code(code).map(|l| (l.path.clone(), l.line));
        let batches = self.batches_of_code(code).map(|r| (r.path.clone(), r.line));
        let mut all: Vec<_> = lots.chain(batches).collect();
        all.sort();
        all
    }

    /// The codes that begin lots or batches.
    pub fn codes(&self) -> impl Iterator<Item = &str> {
        let lots = self.all_lots().map(|l| l.code.as_str());
        lots.chain(
            self.all_batches()
                .filter_map(|r| r.code.as_ref())
                .map(|c| c.value.as_str()),
        )
    }
}
