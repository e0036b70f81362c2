//! What could stand in for an ingredient in this formula: ranked by what it does and how alike it is, each tried in the formula
//! itself. What the law or the formula's other parts forbid is left out, and said.
//!
//! The ranking is ours: common practice, no source. It weighs role, phase, solubility, HLB, melting, charge and oxidation.

mod alike;
mod changes;
mod html;
mod text;
mod trial;

use super::page::Head;
use super::{CannotRender, FormulaContext, Paper, answer, table};
use crate::kb::Id;
use crate::kb::names::key;
use crate::model::FileLoader;
pub use changes::Difference;
use rust_decimal::Decimal;
use serde::Serialize;
use smol_str::SmolStr;
pub use trial::ReportedFinding;

#[derive(Clone, Debug, Serialize)]
pub struct StandIns {
    pub ingredient: String,
    pub formula: String,
    pub file: String,
    /// Of the whole, over all its rows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent: Option<Decimal>,
    /// Best first.
    pub suggestions: Vec<Suggestion>,
    /// Alike, and not to be had here.
    pub left_out: Vec<LeftOut>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Suggestion {
    pub id: String,
    pub name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inci: Option<String>,
    /// From 1.
    pub rank: usize,
    /// Why it fits.
    pub reasons: Vec<String>,
    /// What becomes different.
    pub changes: Vec<Difference>,
    /// What the check says of the formula with it, and did not say before; errors never.
    pub appeared: Vec<ReportedFinding>,
    pub vanished: Vec<ReportedFinding>,
}

#[derive(Clone, Debug, Serialize)]
pub struct LeftOut {
    pub name: String,
    pub why: String,
}

/// So many are tried in the formula, and so many shown.
const TRIED: usize = 40;
const SHOWN: usize = 8;
const LEFT_OUT_SHOWN: usize = 5;

pub fn standins(
    work: &FormulaContext,
    name: &str,
    loader: &dyn FileLoader,
) -> Result<StandIns, CannotRender> {
    let id = in_formula(work, name)?;
    let rows: Vec<usize> = (0..work.formula.rows.len())
        .filter(|n| work.formula.rows[*n].id() == Some(id))
        .collect();
    let mut candidates = alike::candidates(work, id, &rows);
    candidates.truncate(TRIED);
    let mut suggestions = Vec::new();
    let mut left_out = Vec::new();
    for c in candidates {
        let called = work.kb.name(c.id).to_owned();
        match trial::swap(work, &rows, c.id, loader) {
            Err(why) => left_out.push(LeftOut { name: called, why }),
            Ok(outcome) => {
                // A new warning weighs as much as a role that is missing.
                let score = c.score - 4.0 * outcome.warnings() as f64;
                let one = work.kb.get(c.id);
                suggestions.push((
                    score,
                    Suggestion {
                        id: one.id.to_string(),
                        name: called,
                        inci: one.inci.as_ref().map(SmolStr::to_string),
                        rank: 0,
                        reasons: c.reasons,
                        changes: changes::changes(work.kb, id, c.id),
                        appeared: outcome.appeared,
                        vanished: outcome.vanished,
                    },
                ));
            }
        }
    }
    suggestions.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.name.cmp(&b.1.name)));
    let mut suggestions: Vec<Suggestion> = suggestions
        .into_iter()
        .map(|(_, s)| s)
        .take(SHOWN)
        .collect();
    for (n, s) in suggestions.iter_mut().enumerate() {
        s.rank = n + 1;
    }
    left_out.truncate(LEFT_OUT_SHOWN);
    let percent = rows.iter().try_fold(Decimal::ZERO, |sum, n| {
        sum.checked_add(work.formula.rows[*n].percent?)
    });
    Ok(StandIns {
        ingredient: work.formula.rows[rows[0]].name.value.to_string(),
        formula: work.name(),
        file: work.shown_path(),
        percent: percent.map(|p| p.normalize()),
        suggestions,
        left_out,
    })
}

/// The ingredient of the formula that a name means.
fn in_formula(work: &FormulaContext, name: &str) -> Result<Id, CannotRender> {
    let f = work.formula;
    let known = match work.kb.lookup(name) {
        crate::kb::Lookup::Known { id, .. } => Some(id),
        _ => None,
    };
    let row = f
        .rows
        .iter()
        .find(|r| known.is_some() && r.id() == known || key(&r.name.value) == key(name));
    match row.map(|r| (r, r.id())) {
        Some((_, Some(id))) => Ok(id),
        Some((r, None)) => Err(CannotRender::on(
            r.line,
            format!(
                "\"{}\" is not a material that is known, so nothing can be said to be like it",
                r.name.value
            ),
        )),
        None => {
            let there: Vec<&str> = f.rows.iter().map(|r| r.name.value.as_str()).collect();
            Err(CannotRender::on(
                f.heading_line,
                format!(
                    "\"{name}\" is not in this formula; it holds {}",
                    there.join(", ")
                ),
            ))
        }
    }
}

impl StandIns {
    fn head(&self) -> Head {
        Head {
            kind: "In place of",
            name: self.ingredient.clone(),
            from: format!("In {}, {}", self.formula, self.file),
        }
    }
}

impl Paper for StandIns {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.suggestions.iter().map(|s| {
            let changes: Vec<String> = s.changes.iter().map(Difference::words).collect();
            let appeared: Vec<&str> = s.appeared.iter().map(|f| f.code).collect();
            vec![
                s.rank.to_string(),
                s.name.clone(),
                s.inci.clone().unwrap_or_default(),
                changes.join("; "),
                appeared.join(" "),
            ]
        });
        Some(table::csv(
            &["rank", "name", "inci", "changes", "new findings"],
            rows,
        ))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
