//! What one file says, as the index takes it.

use crate::kb::Kb;
use crate::model::StockItem;
use crate::model::record::{self, Actual, Record};
use crate::model::shelf::{Lot, Problem, read_lots};
use crate::syntax::tree::{FileKind, LedgerLine, Node, Tree};
use crate::text::Spanned;
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    pub records: Vec<Record>,
    pub uses: Vec<Use>,
    pub lots: Vec<Lot>,
    pub ledger: Vec<Entry>,
    /// What of the stock cannot be read.
    pub problems: Vec<Problem>,
    /// Lines that git left when two versions met.
    pub conflict: Option<Conflict>,
}

/// The first mark of git in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conflict {
    pub line: u32,
}

/// What a batch took of a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Use {
    /// Number of the record in its file.
    pub record: usize,
    pub kind: UseKind,
    pub line: u32,
    pub name: String,
    pub item: StockItem,
    pub quantity: Quantity,
    pub lot: Spanned<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UseKind {
    Weighed,
    /// In the log; into the batch or into a sample of it.
    Added,
    /// A vessel was cleaned with it.
    Cleaning,
    /// A jar, a label.
    Packaging,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    Grams(Decimal),
    Pieces(Decimal),
    /// `?`.
    NotYet,
    Unreadable,
    /// Its weight is not asked for: what a vessel was cleaned with.
    NotAsked,
}

impl From<Actual> for Quantity {
    fn from(actual: Actual) -> Quantity {
        match actual {
            Actual::Grams(g) => Quantity::Grams(g),
            Actual::Pieces(n) => Quantity::Pieces(n),
            Actual::NotYet => Quantity::NotYet,
            Actual::Unreadable => Quantity::Unreadable,
        }
    }
}

/// A line of a ledger with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub path: PathBuf,
    pub at: u32,
    pub line: LedgerLine,
}

impl Facts {
    /// The facts of a file; a formula has none.
    pub fn of(tree: &Tree, path: &Path, kb: &Kb) -> Facts {
        let mut facts = Facts {
            conflict: conflict(tree),
            ..Facts::default()
        };
        match tree.kind {
            FileKind::Formula => return Facts::default(),
            FileKind::Batch => {
                facts.records = record::read(tree, path, kb);
                facts.uses = uses(&facts.records);
            }
            FileKind::Stock => {
                read_lots(tree, path, kb, &mut facts.lots, &mut facts.problems);
                facts.ledger = ledger(tree, path);
            }
        }
        facts
    }

    pub fn is_empty(&self) -> bool {
        self.records.is_empty()
            && self.lots.is_empty()
            && self.ledger.is_empty()
            && self.problems.is_empty()
            && self.conflict.is_none()
    }
}

fn uses(records: &[Record]) -> Vec<Use> {
    let mut out = Vec::new();
    for (n, record) in records.iter().enumerate() {
        for row in &record.weighed {
            if let Some(lot) = &row.lot {
                out.push(Use {
                    record: n,
                    kind: UseKind::Weighed,
                    line: row.line,
                    name: row.name.value.clone(),
                    item: row.item.clone(),
                    quantity: row.actual.into(),
                    lot: lot.clone(),
                });
            }
        }
        for added in &record.added {
            if let Some(lot) = &added.lot {
                out.push(Use {
                    record: n,
                    kind: UseKind::Added,
                    line: added.line,
                    name: added.name.clone(),
                    item: added.item.clone(),
                    quantity: added.grams.map_or(Quantity::Unreadable, Quantity::Grams),
                    lot: lot.clone(),
                });
            }
        }
        for cleaned in &record.cleaned {
            out.push(Use {
                record: n,
                kind: UseKind::Cleaning,
                line: cleaned.line,
                name: cleaned.name.clone(),
                item: cleaned.item.clone(),
                quantity: Quantity::NotAsked,
                lot: cleaned.lot.clone(),
            });
        }
        for jar in &record.packaging {
            if let Some(lot) = &jar.lot {
                out.push(Use {
                    record: n,
                    kind: UseKind::Packaging,
                    line: jar.line,
                    name: jar.name.value.clone(),
                    item: StockItem::Named(crate::kb::names::key(&jar.name.value)),
                    quantity: jar.pieces.into(),
                    lot: lot.clone(),
                });
            }
        }
    }
    out
}

fn ledger(tree: &Tree, path: &Path) -> Vec<Entry> {
    let lines = tree.lines.iter().enumerate();
    lines
        .filter_map(|(n, at)| match &at.line.node {
            Node::Ledger(line) => Some(Entry {
                path: path.to_owned(),
                at: n as u32,
                line: line.clone(),
            }),
            _ => None,
        })
        .collect()
}

fn conflict(tree: &Tree) -> Option<Conflict> {
    let marked = |text: &str| text.starts_with("<<<<<<< ") || text.starts_with(">>>>>>> ");
    let line = tree.lines.iter().position(|at| marked(&at.line.text))?;
    Some(Conflict { line: line as u32 })
}
