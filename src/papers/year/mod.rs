//! The batches of a year: what was made, what came of it, who released it, until when it keeps.

use super::page::{self, Head};
use super::table::{self, Column};
use super::{Paper, answer};
use crate::model::record::{DecisionKind, Record, decided};
use crate::model::shop::Shop;
use askama::Template;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct YearList {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    pub batches: Vec<Batch>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Batch {
    pub code: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made: Option<String>,
    /// The formula's file.
    pub formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yield_g: Option<String>,
    pub jars: i64,
    pub kept: i64,
    pub sold: i64,
    pub here: i64,
    /// As printed, else the earliest of what went in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_before: Option<String>,
    /// The latest decision: "released 2026-02-06 by Ana".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decision: Option<String>,
    /// Nobody has released it, or it is on hold or rejected.
    pub held: bool,
    pub sealed: bool,
    pub void: bool,
}

/// The batches of a year, or all of them, by the day on which they were made.
pub fn year(shop: &Shop, year: Option<i32>) -> YearList {
    let of_year = |r: &&Record| year.is_none_or(|y| r.made.is_some_and(|d| d.year() == y));
    let mut all: Vec<&Record> = shop.all_batches().filter(of_year).collect();
    all.sort_by_key(|r| (r.made, r.code().to_owned()));
    YearList {
        year,
        batches: all.into_iter().map(|r| batch(shop, r)).collect(),
    }
}

fn batch(shop: &Shop, r: &Record) -> Batch {
    let jars = shop.jars(r, None);
    let decision = decided(&r.decisions, None);
    let until = shop.batch_keeps_until(r).map(|(date, _)| date);
    Batch {
        code: r.code().to_owned(),
        made: r.made.map(|d| d.to_string()),
        formula: r
            .formula
            .as_ref()
            .map_or(String::new(), |f| f.value.clone()),
        formula_version: r.version.as_ref().map(|v| v.value.clone()),
        yield_g: r.yield_g.map(|g| g.normalize().to_string()),
        jars: jars.filled,
        kept: jars.kept,
        sold: jars.sold,
        here: jars.here,
        best_before: until.map(|d| d.to_string()),
        decision: decision.map(|d| {
            let by = Some(&d.decision.by).filter(|by| !by.is_empty());
            let by = by.map_or(String::new(), |by| format!(" by {by}"));
            format!("{} {}{by}", d.kind.words(), d.decision.date)
        }),
        held: decision.is_none_or(|d| d.kind != DecisionKind::Released),
        sealed: r.sealed.is_some(),
        void: r.void,
    }
}

impl YearList {
    fn head(&self) -> Head {
        let year = self.year.map_or("all years".to_owned(), |y| y.to_string());
        let released = self.batches.iter().filter(|b| !b.held).count();
        Head {
            kind: "Batches made",
            name: year,
            from: format!(
                "{} batches, {released} of them released",
                self.batches.len()
            ),
        }
    }
}

impl Batch {
    fn cells(&self) -> Vec<String> {
        let or = |v: &Option<String>| v.clone().unwrap_or_default();
        let mut state = or(&self.decision);
        for (is, word) in [(self.void, "void"), (self.sealed, "sealed")] {
            if is {
                state.push_str(if state.is_empty() { "" } else { ", " });
                state.push_str(word);
            }
        }
        vec![
            self.code.clone(),
            or(&self.made),
            self.formula.trim_end_matches(".formula").to_owned(),
            or(&self.formula_version),
            or(&self.yield_g),
            self.jars.to_string(),
            self.kept.to_string(),
            self.sold.to_string(),
            self.here.to_string(),
            or(&self.best_before),
            state,
        ]
    }
}

const COLUMNS: [(&str, Column); 11] = [
    ("batch", Column::Words),
    ("made", Column::Words),
    ("formula", Column::Words),
    ("version", Column::Words),
    ("yield g", Column::Number),
    ("jars", Column::Number),
    ("kept", Column::Number),
    ("sold", Column::Number),
    ("here", Column::Number),
    ("best before", Column::Words),
    ("release", Column::Words),
];

#[derive(Template)]
#[template(path = "year/year.html")]
struct YearPage {
    head: Head,
    rows: Vec<Vec<String>>,
}

impl Paper for YearList {
    fn text(&self, width: usize) -> String {
        // A terminal is narrower than paper.
        let shown = |n: &usize| !matches!(n, 3 | 4 | 6 | 7);
        let narrow = |all: Vec<String>| {
            (0..all.len())
                .filter(shown)
                .map(|n| all[n].clone())
                .collect()
        };
        let columns: Vec<_> = (0..COLUMNS.len())
            .filter(shown)
            .map(|n| COLUMNS[n])
            .collect();
        let rows = self.batches.iter().map(|b| narrow(b.cells()));
        page::heading(&self.head(), width) + &table::text(&columns, rows, width)
    }
    fn html(&self) -> String {
        YearPage {
            head: self.head(),
            rows: self.batches.iter().map(Batch::cells).collect(),
        }
        .render()
        .expect("a template that compiled writes into memory")
    }
    fn csv(&self) -> Option<String> {
        let names: Vec<&str> = COLUMNS.iter().map(|(name, _)| *name).collect();
        Some(table::csv(&names, self.batches.iter().map(Batch::cells)))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
