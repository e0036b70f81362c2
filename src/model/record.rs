//! A batch as it was made: what was weighed, from which lots, what went in later, what came out, what became of it.

mod read;

pub use read::read;

use super::stock_item::StockItem;
use crate::chem::date::Date;
use crate::syntax::tree::{LogTime, Measure, Temperature};
use crate::syntax::values::Decision;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use std::path::PathBuf;

#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    pub path: PathBuf,
    /// Line of its heading.
    pub line: u32,
    pub code: Option<Spanned<String>>,
    /// The formula's file, as written.
    pub formula: Option<Spanned<String>>,
    pub version: Option<Spanned<String>>,
    pub made: Option<Date>,
    pub made_line: Option<u32>,
    pub by: Option<String>,
    pub checked: Option<String>,
    pub equipment: Option<String>,
    pub room_c: Option<Decimal>,
    pub target_g: Option<Decimal>,
    pub target_line: Option<u32>,
    /// As printed on the jar.
    pub best_before: Option<Date>,
    pub after_opening: Option<String>,
    pub decisions: Vec<Decided>,
    /// Of a sealed record: the text behind `sealed`, and its line.
    pub sealed: Option<(u32, Spanned<String>)>,
    /// The code stays used, and what was made counts for nothing.
    pub void: bool,
    pub weighed: Vec<Weighed>,
    /// Additions of the log that name a weight; what went into a sample is marked.
    pub added: Vec<Added>,
    /// Vessels cleaned with something that has a lot.
    pub cleaned: Vec<Cleaned>,
    pub log: Vec<LogEvent>,
    pub observations: Vec<LogEvent>,
    /// Taken out as samples and not put back.
    pub sampled_g: Decimal,
    pub yield_g: Option<Decimal>,
    pub yield_line: Option<u32>,
    pub packs: Vec<Filled>,
    pub packaging: Vec<Packaging>,
    pub complaints: Vec<Heard>,
    /// Lines that could not be read: what they say is missing here.
    pub unread: Vec<u32>,
}

/// A row of `weighed`.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    pub line: u32,
    pub name: Spanned<String>,
    pub item: StockItem,
    pub actual: Actual,
    /// The weight as it is written.
    pub actual_span: Span,
    pub planned_g: Option<Decimal>,
    pub lot: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Actual {
    Grams(Decimal),
    Pieces(Decimal),
    /// `?`.
    NotYet,
    /// There is something, and it is no weight.
    Unreadable,
}

/// `add 1.50 g lactic acid 10 % lot LAC-03` of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Added {
    pub line: u32,
    pub span: Span,
    pub name: String,
    pub item: StockItem,
    /// None: a volume of something whose density is not known.
    pub grams: Option<Decimal>,
    pub lot: Option<Spanned<String>>,
    /// It went into a sample, not into the batch.
    pub to_sample: bool,
}

/// `clean pot 2 with ethanol 70 % lot ETH-02` of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Cleaned {
    pub line: u32,
    pub what: String,
    pub name: String,
    pub item: StockItem,
    pub lot: Spanned<String>,
}

/// Something that was taken for a batch: a row of `weighed`, or an addition of the log.
#[derive(Clone, Copy, Debug)]
pub struct Taken<'a> {
    pub line: u32,
    pub name: &'a str,
    pub item: &'a StockItem,
    pub actual: Actual,
    pub lot: Option<&'a str>,
    pub from_log: bool,
}

/// An event of the log or an observation, with its line, its place there and its time.
#[derive(Clone, Debug, PartialEq)]
pub struct LogEvent {
    pub line: u32,
    pub span: Span,
    pub time: Option<LogTime>,
    pub time_span: Option<Span>,
    pub what: What,
}

#[derive(Clone, Debug, PartialEq)]
pub enum What {
    Temperature {
        vessel: Option<String>,
        at: Temperature,
        combined: bool,
    },
    Ph {
        value: Decimal,
        /// The upper end of a reading with a width; the value is then the lower.
        upper: Option<Decimal>,
        how: Option<String>,
    },
    /// A phase or a material went in.
    Added(String),
    Words(String),
    Other,
}

/// `released: 2026-03-20 by Ana` and its like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decided {
    pub line: u32,
    pub kind: DecisionKind,
    pub decision: Decision,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecisionKind {
    Released,
    Rejected,
    OnHold,
}

impl DecisionKind {
    pub fn of(key: &str) -> Option<DecisionKind> {
        match key {
            "released" => Some(DecisionKind::Released),
            "rejected" => Some(DecisionKind::Rejected),
            "on hold" => Some(DecisionKind::OnHold),
            _ => None,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            DecisionKind::Released => "released",
            DecisionKind::Rejected => "rejected",
            DecisionKind::OnHold => "on hold",
        }
    }
}

/// The decision that holds: the latest day, of one day the last line.
pub fn decided(all: &[Decided], on: Option<Date>) -> Option<&Decided> {
    all.iter()
        .filter(|d| on.is_none_or(|on| d.decision.date <= on))
        .max_by_key(|d| (d.decision.date, d.line))
}

/// Jars of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    pub line: u32,
    /// The pack, as it is written: `50 g`.
    pub pack: String,
    pub each: Measure,
    pub count: u32,
    pub kept: u32,
    pub spoilt: u32,
}

/// Jars or labels by the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Packaging {
    pub line: u32,
    pub name: Spanned<String>,
    pub pieces: Actual,
    pub planned: Option<Decimal>,
    pub spoilt: u32,
    pub lot: Option<Spanned<String>>,
}

/// A complaint.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    pub line: u32,
    pub date: Date,
    pub words: Spanned<String>,
    pub serious: Option<bool>,
}

impl Record {
    /// All that was taken for it: the rows of `weighed`, then the additions.
    pub fn taken(&self) -> impl Iterator<Item = Taken<'_>> {
        let weighed = self.weighed.iter().map(|w| Taken {
            line: w.line,
            name: &w.name.value,
            item: &w.item,
            actual: w.actual,
            lot: w.lot.as_ref().map(|l| l.value.as_str()),
            from_log: false,
        });
        let added = self.added.iter().filter(|a| !a.to_sample).map(|a| Taken {
            line: a.line,
            name: &a.name,
            item: &a.item,
            actual: a.grams.map_or(Actual::Unreadable, Actual::Grams),
            lot: a.lot.as_ref().map(|l| l.value.as_str()),
            from_log: true,
        });
        weighed.chain(added)
    }

    /// What was weighed and added, less the samples; none where one of the weights is not known.
    pub fn put_in_g(&self) -> Option<Decimal> {
        let weighed = self.weighed.iter().filter_map(|w| match w.actual {
            Actual::Grams(g) => Some(Some(g)),
            Actual::Pieces(_) => None,
            Actual::NotYet | Actual::Unreadable => Some(None),
        });
        let added = self.added.iter().filter(|a| !a.to_sample);
        let sum = weighed
            .chain(added.map(|a| a.grams))
            .try_fold(Decimal::ZERO, |sum, g| sum.checked_add(g?))?;
        sum.checked_sub(self.sampled_g)
    }

    /// What it gives: what came out, where that is written, else what went in.
    pub fn size_g(&self) -> Option<Decimal> {
        self.yield_g
            .or_else(|| self.put_in_g())
            .filter(|g| *g > Decimal::ZERO)
    }

    /// Its code; empty where it has none.
    pub fn code(&self) -> &str {
        self.code.as_ref().map_or("", |c| &c.value)
    }
}
