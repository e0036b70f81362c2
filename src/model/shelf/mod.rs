//! The shelf: all lots of the stock files, what each cost, and what the batches have left of it.
//!
//! What is left is what was bought less what the batches say was weighed of the lot. A lot that was made here (`from: batch CS-002`)
//! holds what that batch yielded, costs what went into it, and keeps no longer than the lots that it was made of.
//! Reading never fails: what is not understood is a [`Problem`] with its line, and everything else stands.

mod in_house_batches;
mod lots;

pub use lots::read as read_lots;

use super::record::{self, Actual, Decided, Record};
use super::stock_item::StockItem;
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::syntax::tree::{FileKind, Tree};
use crate::syntax::values;
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, Default)]
pub struct Shelf {
    /// In the order of the files.
    pub lots: Vec<Lot>,
    pub records: Vec<Record>,
    pub problems: Vec<Problem>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    pub code: String,
    /// What it is of, as written.
    pub name: String,
    pub item: StockItem,
    pub path: PathBuf,
    /// From 0.
    pub line: u32,
    pub supplier: Option<String>,
    /// The code on the supplier's drum.
    pub supplier_lot: Option<String>,
    pub received: Option<Date>,
    pub opened: Option<Date>,
    pub after_opening_months: Option<u32>,
    pub retest: Option<Date>,
    pub decisions: Vec<Decided>,
    /// Of a label: the formula's file and the version that it was made for, as written.
    pub label_for: Option<String>,
    /// Of jars and labels: how many were bought.
    pub pieces: Option<Decimal>,
    /// As written; of a lot made here, else the earliest of the lots that went into it.
    pub best_before: Option<Date>,
    /// The lot inside it that sets its date, where it has none of its own.
    pub limited_by: Option<String>,
    /// Code of the batch that it was made in.
    pub from: Option<String>,
    pub pack: Option<LotPack>,
    pub price: Result<LotPrice, NoPrice>,
    /// What batches have weighed of it.
    pub used_g: Decimal,
    /// A weight of it in a batch cannot be read, so that less may be left.
    pub used_unsure: bool,
}

/// What a lot held when it came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LotPack {
    pub grams: Decimal,
    /// A volume, weighed by its density.
    pub estimated: bool,
}

/// What the whole pack cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotPrice {
    pub amount: Decimal,
    pub currency: String,
}

impl From<values::Price> for LotPrice {
    fn from(p: values::Price) -> LotPrice {
        LotPrice {
            amount: p.amount,
            currency: p.currency,
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPrice {
    NotWritten,
    Unreadable,
    /// Made here, and why its batch does not tell.
    Made(String),
}

/// What is not understood, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub path: PathBuf,
    /// From 0.
    pub line: u32,
    /// A sentence without its full stop.
    pub message: String,
    /// The lot that it is about, where that is known.
    pub lot: Option<String>,
}

/// A stock or batch file that was read.
#[derive(Clone, Copy)]
pub struct File<'a> {
    pub path: &'a Path,
    pub tree: &'a Tree,
}

impl Shelf {
    /// Puts the shelf together from stock files and batch files; formulas among them are passed over.
    pub fn read(files: &[File], kb: &Kb) -> Shelf {
        let mut shelf = Shelf::default();
        for file in files.iter().filter(|f| f.tree.kind == FileKind::Stock) {
            lots::read(
                file.tree,
                file.path,
                kb,
                &mut shelf.lots,
                &mut shelf.problems,
            );
        }
        for file in files.iter().filter(|f| f.tree.kind == FileKind::Batch) {
            shelf.records.extend(record::read(file.tree, file.path, kb));
        }
        shelf.twice();
        in_house_batches::fill(&mut shelf, kb);
        shelf.used(kb);
        shelf
    }

    /// The lot of a code; of two with one code, the first.
    pub fn lot(&self, code: &str) -> Option<&Lot> {
        self.position(code).map(|n| &self.lots[n])
    }

    fn position(&self, code: &str) -> Option<usize> {
        self.lots.iter().position(|l| l.code == code)
    }

    /// Lots that can give what is asked for, each with the grams of it that make one gram.
    pub fn lots_for<'a>(
        &'a self,
        item: &'a StockItem,
        kb: &'a Kb,
    ) -> impl Iterator<Item = (usize, Decimal)> + 'a {
        self.lots
            .iter()
            .enumerate()
            .filter_map(|(n, lot)| Some((n, item.share_of(&lot.item, kb)?)))
    }

    /// One code is one lot: a recall has to find it.
    fn twice(&mut self) {
        for n in 1..self.lots.len() {
            let lot = &self.lots[n];
            let Some(first) = self
                .position(&lot.code)
                .filter(|f| *f < n)
                .map(|f| &self.lots[f])
            else {
                continue;
            };
            let message = format!(
                "the code {} is used for two lots, here and in {}:{}; what batches weighed is taken off the other one",
                lot.code,
                first.path.display(),
                first.line + 1
            );
            let problem = Problem {
                path: lot.path.clone(),
                line: lot.line,
                message,
                lot: Some(lot.code.clone()),
            };
            self.problems.push(problem);
        }
    }

    /// Takes off the lots what the batches have weighed of them.
    fn used(&mut self, kb: &Kb) {
        for record in &self.records {
            for row in record.taken() {
                let Some(code) = row.lot else { continue };
                let Some(lot) = self.lots.iter_mut().find(|l| l.code == code) else {
                    continue;
                };
                match row.actual {
                    // A name that does not fit the lot is taken as what was in the pot: the weight has left the lot.
                    Actual::Grams(g) => {
                        let share = row.item.share_of(&lot.item, kb).unwrap_or(Decimal::ONE);
                        lot.used_g = lot.used_g.saturating_add(g.saturating_mul(share));
                    }
                    Actual::NotYet | Actual::Pieces(_) => {}
                    Actual::Unreadable => {
                        lot.used_unsure = true;
                        let message = format!(
                            "this weight cannot be read, so less of {} may be left than is counted",
                            code
                        );
                        let problem = Problem {
                            path: record.path.clone(),
                            line: row.line,
                            message,
                            lot: Some(code.to_owned()),
                        };
                        self.problems.push(problem);
                    }
                }
            }
        }
        for lot in &self.lots {
            let Some(pack) = lot.pack.filter(|p| lot.used_g > p.grams) else {
                continue;
            };
            let message = format!(
                "the batches weighed {} g of {}, and there were only {} g: is a weight or a lot's code wrong?",
                lot.used_g.normalize(),
                lot.code,
                pack.grams.normalize()
            );
            self.problems.push(Problem {
                path: lot.path.clone(),
                line: lot.line,
                message,
                lot: Some(lot.code.clone()),
            });
        }
    }
}

impl Lot {
    /// Grams left, never less than none; none where it is not known what it held.
    pub fn left_g(&self) -> Option<Decimal> {
        self.pack
            .map(|p| (p.grams - self.used_g).max(Decimal::ZERO))
    }

    /// Past its date on a day; on the date itself it is still good.
    pub fn expired(&self, on: Date) -> bool {
        self.best_before.is_some_and(|b| b < on)
    }
}
