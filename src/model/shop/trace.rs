//! A recall: from a lot to every batch that it went into, through lots made here; and from a batch back to its lots.

use super::{Quantity, Shop, UseKind, fold};
use crate::model::record::Record;
use crate::model::shelf::Lot;
use std::collections::{HashSet, VecDeque};
use std::path::PathBuf;

/// Forward: what a lot, or a batch, went into.
#[derive(Clone, Debug, Default)]
pub struct Trace<'a> {
    pub batches: Vec<TracedBatch<'a>>,
    /// The lot asked for, and the lots made here that hold it.
    pub lots: Vec<&'a Lot>,
    pub uncertain: Vec<Uncertain>,
}

#[derive(Clone, Debug)]
pub struct TracedBatch<'a> {
    pub record: &'a Record,
    /// Lots from the one asked for to the one that went in.
    pub path: Vec<String>,
    pub how: UseKind,
}

/// A line that a recall cannot be sure of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Uncertain {
    pub path: PathBuf,
    /// From 0.
    pub line: u32,
    pub message: String,
}

/// Backward: what went into a batch.
#[derive(Clone, Debug)]
pub struct BackStep<'a> {
    /// 0 for what went into the batch itself, 1 for what went into a lot made here, and so on.
    pub depth: usize,
    pub name: String,
    pub lot: &'a str,
    pub how: UseKind,
    /// The batch that the lot was made in.
    pub made_in: Option<&'a str>,
    /// The lot stands on no shelf.
    pub unknown: bool,
}

impl Shop {
    /// Where a lot, or what a batch made, went. None where no lot and no batch has this code and no line names it.
    pub fn trace(&self, code: &str) -> Option<Trace<'_>> {
        let mut out = Trace::default();
        let mut waiting: VecDeque<(String, Vec<String>)> = VecDeque::new();
        let mut seen_lots: HashSet<String> = HashSet::new();
        let mut seen_batches: HashSet<(PathBuf, u32)> = HashSet::new();
        let known = self.lot(code).is_some() || self.uses(code).next().is_some();
        if let Some(batch) = self.batch(code) {
            seen_batches.insert((batch.path.clone(), batch.line));
            out.batches.push(TracedBatch {
                record: batch,
                path: Vec::new(),
                how: UseKind::Weighed,
            });
            for lot in self.lots_made_in(code) {
                waiting.push_back((lot.code.clone(), vec![lot.code.clone()]));
            }
        } else if known {
            let written = self.lot(code).map_or(code, |l| l.code.as_str()).to_owned();
            waiting.push_back((written.clone(), vec![written]));
        } else {
            return None;
        }
        while let Some((lot_code, path)) = waiting.pop_front() {
            if !seen_lots.insert(fold(&lot_code)) {
                continue;
            }
            out.lots.extend(self.lot(&lot_code));
            for (record, one) in self.uses(&lot_code) {
                if one.quantity == Quantity::NotYet {
                    continue;
                }
                if !seen_batches.insert((record.path.clone(), record.line)) {
                    continue;
                }
                out.batches.push(TracedBatch {
                    record,
                    path: path.clone(),
                    how: one.kind,
                });
                for lot in self.lots_made_in(record.code()) {
                    let mut longer = path.clone();
                    longer.push(lot.code.clone());
                    waiting.push_back((lot.code.clone(), longer));
                }
            }
        }
        out.uncertain = self.uncertain();
        Some(out)
    }

    /// Lines of any batch that a recall cannot be sure of: a lot that is on no shelf, nothing weighed, a weight without a lot, a line
    /// that cannot be read.
    fn uncertain(&self) -> Vec<Uncertain> {
        let mut out = Vec::new();
        for record in self.all_batches() {
            let mut say = |line: u32, message: String| {
                out.push(Uncertain {
                    path: record.path.clone(),
                    line,
                    message,
                });
            };
            if record.weighed.is_empty() {
                say(
                    record.line,
                    format!("{} has nothing weighed", record.code()),
                );
            }
            for one in self.uses_in(record) {
                if self.lot(&one.lot.value).is_none() {
                    let message = format!(
                        "{} names a lot that is on no shelf ({})",
                        record.code(),
                        one.lot.value
                    );
                    say(one.line, message);
                }
            }
            for line in &record.unread {
                say(
                    *line,
                    format!("{} has a line that cannot be read", record.code()),
                );
            }
        }
        out.sort();
        out
    }

    /// What went into a batch, lots made here looked into; each lot where it went in.
    pub fn back<'a>(&'a self, batch: &'a Record) -> Vec<BackStep<'a>> {
        let mut out = Vec::new();
        self.back_into(batch, 0, &mut HashSet::new(), &mut out);
        out
    }

    fn back_into<'a>(
        &'a self,
        batch: &'a Record,
        depth: usize,
        open: &mut HashSet<String>,
        out: &mut Vec<BackStep<'a>>,
    ) {
        if !open.insert(fold(batch.code())) {
            return;
        }
        for one in self.uses_in(batch) {
            if one.quantity == Quantity::NotYet {
                continue;
            }
            let lot = self.lot(&one.lot.value);
            let made_in = lot.and_then(|l| l.from.as_deref());
            out.push(BackStep {
                depth,
                name: one.name.clone(),
                lot: &one.lot.value,
                how: one.kind,
                made_in,
                unknown: lot.is_none(),
            });
            if let Some(inner) = made_in.and_then(|code| self.batch(code)) {
                self.back_into(inner, depth + 1, open, out);
            }
        }
        open.remove(&fold(batch.code()));
    }
}
