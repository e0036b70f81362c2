//! The weigh sheet: what goes on the scale, phase by phase, and the method.

mod html;
mod text;

use super::page::Head;
use super::{Hindrance, Objection, Paper, Work, answer, table};
use crate::model::weights::Weights;
use crate::syntax::tree::{Amount, Node};
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct Sheet {
    pub formula: String,
    /// The maker's own count of versions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub formula_version: Option<String>,
    pub file: String,
    pub batch_g: Decimal,
    pub scale_g: Decimal,
    pub rows: Vec<Row>,
    pub total_g: Decimal,
    pub steps: Vec<String>,
    pub objections: Vec<Objection>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Row {
    /// Its label; empty where a row stands in none.
    pub phase: String,
    pub ingredient: String,
    /// Of the whole, as it counts in the sum.
    pub percent: Decimal,
    pub grams: Decimal,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What may be asked for otherwise than the file says.
#[derive(Clone, Copy, Debug, Default)]
pub struct Wish {
    pub batch_g: Option<Decimal>,
    pub scale_g: Option<Decimal>,
}

pub fn sheet(work: &Work, wish: Wish) -> Result<Sheet, Hindrance> {
    work.amounts_known()?;
    let f = work.formula;
    let scale_g = wish.scale_g.unwrap_or_else(|| work.settings.scale_g(work.kb));
    let Some(batch_g) = wish.batch_g.or_else(|| f.batch_g()) else {
        return Err(Hindrance::on(f.heading_line, "no batch is named; add `batch: 250 g` to the formula, or ask with --batch 250g"));
    };
    let weights = Weights::of(f, Some(batch_g), scale_g);
    let rows: Vec<Row> = f
        .rows
        .iter()
        .zip(&weights.rows)
        .map(|(row, grams)| Row {
            phase: row.phase.map_or_else(String::new, |p| f.phases[p].label.clone()),
            ingredient: row.name.value.clone(),
            percent: row.percent.unwrap_or_default().normalize(),
            grams: grams.unwrap_or_default(),
            note: matches!(row.amount.value, Amount::Enough { .. }).then(|| "add in portions, measure in between".to_owned()),
        })
        .collect();
    let total_g = rows.iter().map(|r| r.grams).sum();
    let steps = work.tree.lines.iter().filter(|at| matches!(at.line.node, Node::Step(_)));
    Ok(Sheet {
        formula: work.name(),
        formula_version: f.fields.version.as_ref().map(|v| v.value.clone()),
        file: work.path.to_string_lossy().into_owned(),
        batch_g,
        scale_g,
        rows,
        total_g,
        steps: steps.map(|at| at.line.text[..at.line.comment.map_or(at.line.text.len(), |c| c.start as usize)].trim().to_owned()).collect(),
        objections: work.objections(),
    })
}

impl Sheet {
    fn head(&self) -> Head {
        let version = self.formula_version.as_ref().map_or(String::new(), |v| format!("Version {v}, "));
        Head { kind: "Weigh sheet", name: self.formula.clone(), from: format!("{version}{}", self.file) }
    }
}

impl Paper for Sheet {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.rows.iter().map(|r| {
            vec![r.phase.clone(), r.ingredient.clone(), r.percent.to_string(), r.grams.to_string(), r.note.clone().unwrap_or_default()]
        });
        Some(table::csv(&["phase", "ingredient", "percent", "grams", "note"], rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
