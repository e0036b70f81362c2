//! The record of a batch for the drawer: filled in as far as it is written, with room to write where it is not.

mod gather;
mod html;
mod text;

use super::page::Head;
use super::{Paper, answer, table};
use crate::kb::Kb;
use crate::model::record::Record;
use crate::model::shop::Shop;
use crate::model::{Formula, Settings};
use crate::rules::Finding;
use crate::syntax::Tree;
pub use gather::record;
use rust_decimal::Decimal;
use serde::Serialize;

/// What the paper is made from.
#[derive(Clone, Copy)]
pub struct RecordContext<'a> {
    pub record: &'a Record,
    /// The whole file.
    pub tree: &'a Tree,
    pub shop: &'a Shop,
    /// The formula as its file has it now, where it can be read.
    pub formula: Option<&'a Formula>,
    /// What the rules say of the file.
    pub findings: &'a [Finding],
    pub kb: &'a Kb,
    pub settings: &'a Settings,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct BatchRecord {
    pub code: String,
    pub formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub checked: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target_g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    pub scale_g: String,
    pub equipment: Vec<String>,
    pub rows: Vec<Row>,
    /// Rows that are weighed, of how many.
    pub weighed: [usize; 2],
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weighed_g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_g: Option<String>,
    /// "A 76 °C", in the order of the log.
    pub heat: Vec<String>,
    pub log: Vec<Entry>,
    pub cleaned: Vec<String>,
    /// "6.4", "after 26.2 g lactic acid 10 % from LAC-02: 5.25".
    pub ph: Vec<String>,
    /// Lowest and highest that the formula allows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph_range: Option<[String; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yield_g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub put_in_g: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yield_percent: Option<String>,
    pub packs: Vec<Packs>,
    /// Of the yield, what is in no jar.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_over_g: Option<String>,
    pub packaging: Vec<Pieces>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_before: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_opening: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<Cost>,
    pub not_as_planned: Vec<Deviation>,
    pub corrections: Vec<Corrected>,
    pub observations: Vec<Entry>,
    pub complaints: Vec<String>,
    pub decisions: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sealed: Option<String>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Row {
    /// From 1.
    pub line: u32,
    pub name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_g: Option<String>,
    /// Absent until it is weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weighed_g: Option<String>,
    /// Above the plan, below zero where less.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub off_percent: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot_best_before: Option<String>,
    /// Water is kept by no lot.
    #[serde(skip)]
    pub water: bool,
    /// Somebody else looks at this row too.
    pub preservative: bool,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Entry {
    pub time: String,
    pub words: String,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Packs {
    pub pack: String,
    pub count: u32,
    pub kept: u32,
    pub spoilt: u32,
    pub for_sale: u32,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Pieces {
    pub name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub used: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned: Option<String>,
    pub spoilt: u32,
    /// Used without what was spoilt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub good: Option<String>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Cost {
    pub materials: String,
    pub currency: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_100g: Option<String>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Deviation {
    /// From 1.
    pub line: u32,
    pub code: String,
    pub message: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Corrected {
    /// From 1.
    pub line: u32,
    /// The line as it stands.
    pub now: String,
    pub was: String,
    pub reason: String,
}

impl BatchRecord {
    fn head(&self) -> Head {
        let made = self
            .made
            .as_ref()
            .map_or(String::new(), |m| format!(", made {m}"));
        let by = self
            .by
            .as_ref()
            .map_or(String::new(), |b| format!(" by {b}"));
        let version = self
            .formula_version
            .as_ref()
            .map_or(String::new(), |v| format!(", version {v}"));
        Head {
            kind: "Batch record",
            name: format!("{}  {}", self.code, self.formula),
            from: format!("Batch {}{version}{made}{by}", self.code),
        }
    }

    /// What has to be done before it is closed.
    pub fn open(&self) -> Vec<String> {
        let mut out = Vec::new();
        let missing = self.weighed[1] - self.weighed[0];
        if missing > 0 {
            out.push(counted(missing, "row", "rows") + " to weigh");
        }
        let unexplained = self.not_as_planned.iter().filter(|d| d.reason.is_none());
        let unexplained = unexplained.count();
        if unexplained > 0 {
            out.push(counted(unexplained, "reason", "reasons"));
        }
        if self.checked.is_none() {
            out.push("second check".to_owned());
        }
        out
    }
}

pub(super) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn plain(amount: Decimal) -> String {
    amount.normalize().to_string()
}

impl Paper for BatchRecord {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.rows.iter().map(|r| {
            let or = |v: &Option<String>| v.clone().unwrap_or_default();
            vec![
                r.name.clone(),
                or(&r.planned_g),
                or(&r.weighed_g),
                or(&r.lot),
                or(&r.lot_best_before),
            ]
        });
        let columns = [
            "material",
            "planned_g",
            "weighed_g",
            "lot",
            "lot_best_before",
        ];
        Some(table::csv(&columns, rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
