//! What changed between two versions of a formula: by ingredient, phase, field and step of the method, never by line; then what
//! follows from it: sums, shares of legal limits, findings that appear or vanish.

mod follows;
mod html;
mod ingredients;
mod outline;
mod text;

use super::page::Head;
use super::{FormulaContext, Paper, answer, table};
use crate::rules::words;
pub use follows::{Finding, Findings, LimitChange};
pub use ingredients::Ingredient;
pub use outline::{Field, OutlineStep, Phase};
use serde::Serialize;

/// How a part differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Change {
    Added,
    Removed,
    Changed,
}

impl Change {
    pub fn word(self) -> &'static str {
        match self {
            Change::Added => "new",
            Change::Removed => "gone",
            Change::Changed => "changed",
        }
    }
}

/// One of the two.
#[derive(Clone, Debug, Serialize)]
pub struct Side {
    pub formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    /// The revision that the file is taken from; absent: as it lies in the folder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub revision: Option<String>,
    /// As a maker says it: "100 %", or why it is not known.
    pub total: String,
}

#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    pub a: Side,
    pub b: Side,
    /// Nothing that counts differs; notes, comments and layout do not count.
    pub same: bool,
    pub ingredients: Vec<Ingredient>,
    pub phases: Vec<Phase>,
    pub fields: Vec<Field>,
    pub steps: Vec<OutlineStep>,
    pub limits: Vec<LimitChange>,
    pub findings: Findings,
}

/// A formula, and the revision that it is from.
#[derive(Clone, Copy)]
pub struct Version<'a> {
    pub work: FormulaContext<'a>,
    pub revision: Option<&'a str>,
}

pub fn compare(a: Version, b: Version) -> Comparison {
    let ingredients = ingredients::ingredients(&a.work, &b.work);
    let phases = outline::phases(&a.work, &b.work);
    let fields = outline::fields(&a.work, &b.work);
    let steps = outline::steps(&a.work, &b.work);
    let same = ingredients.is_empty() && phases.is_empty() && fields.is_empty() && steps.is_empty();
    Comparison {
        same,
        ingredients,
        phases,
        fields,
        steps,
        limits: follows::limits(&a.work, &b.work),
        findings: follows::findings(&a.work, &b.work),
        a: side(a),
        b: side(b),
    }
}

fn side(v: Version) -> Side {
    Side {
        formula: v.work.name(),
        formula_version: v
            .work
            .formula
            .fields
            .version
            .as_ref()
            .map(|v| v.value.clone()),
        file: v.work.shown_path(),
        revision: v.revision.map(str::to_owned),
        total: words::total(v.work.formula),
    }
}

impl Side {
    /// "cream.formula, version 4, at 3f2a91c".
    pub fn words(&self) -> String {
        let version = self
            .formula_version
            .as_ref()
            .map_or(String::new(), |v| format!(", version {v}"));
        let at = self
            .revision
            .as_ref()
            .map_or(String::new(), |r| format!(", at {r}"));
        format!("{}{version}{at}", self.file)
    }
}

impl Comparison {
    fn head(&self) -> Head {
        let name = match self.a.formula == self.b.formula {
            true => self.b.formula.clone(),
            false => format!("{} and {}", self.a.formula, self.b.formula),
        };
        Head {
            kind: "Comparison",
            name,
            from: format!("From {} to {}", self.a.words(), self.b.words()),
        }
    }
}

impl Paper for Comparison {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.ingredients.iter().map(|i| {
            let number =
                |n: &Option<rust_decimal::Decimal>| n.map_or(String::new(), |n| n.to_string());
            let phase = |p: &Option<String>| p.clone().unwrap_or_default();
            vec![
                i.name.clone(),
                i.change.word().to_owned(),
                number(&i.before_percent),
                number(&i.after_percent),
                phase(&i.before_phase),
                phase(&i.after_phase),
            ]
        });
        Some(table::csv(
            &[
                "ingredient",
                "change",
                "before_percent",
                "after_percent",
                "before_phase",
                "after_phase",
            ],
            rows,
        ))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
