//! Ingredients that came, went, changed their share or moved to another phase. One material is one ingredient, whatever name it
//! goes by and in how many rows it stands.

use super::Change;
use crate::kb::names::key;
use crate::model::formula::{Material, Row};
use crate::papers::FormulaContext;
use crate::rules::words;
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct Ingredient {
    /// As the newer version writes it, else the older.
    pub name: String,
    pub change: Change,
    /// Of the whole; absent where it is not there, or its share is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before_percent: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_percent: Option<Decimal>,
    /// Labels of the phases that it stands in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before_phase: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_phase: Option<String>,
}

/// All rows of one material.
#[derive(Clone, Debug, PartialEq)]
struct Stock {
    name: String,
    percent: Option<Decimal>,
    phases: Vec<String>,
    /// Amounts as written say more than a share: `q.s. to pH 5.2`.
    purpose: Vec<String>,
}

fn identity(work: &FormulaContext, row: &Row) -> String {
    match &row.material {
        Material::Known { id, strength } => {
            let strength = strength.map_or(String::new(), |s| {
                format!(" {} {:?}", s.percent.normalize(), s.basis)
            });
            format!("={}{strength}", work.kb.get(*id).id)
        }
        _ => key(&row.name.value),
    }
}

fn stocks(work: &FormulaContext) -> Vec<(String, Stock)> {
    let mut out: Vec<(String, Stock)> = Vec::new();
    for row in &work.formula.rows {
        let id = identity(work, row);
        let phase = row
            .phase
            .map_or_else(String::new, |p| work.formula.phases[p].label.to_string());
        let purpose = row.purpose.as_ref().map(|p| p.value.clone());
        let percent = row.percent.map(|p| p.round_dp(6).normalize());
        match out.iter_mut().find(|(other, _)| *other == id) {
            Some((_, s)) => {
                s.percent = s
                    .percent
                    .zip(percent)
                    .and_then(|(a, b)| a.checked_add(b))
                    .map(|p| p.normalize());
                if !s.phases.contains(&phase) {
                    s.phases.push(phase);
                }
                s.purpose.extend(purpose);
            }
            None => {
                let name = row.name.value.to_string();
                out.push((
                    id,
                    Stock {
                        name,
                        percent,
                        phases: vec![phase],
                        purpose: purpose.into_iter().collect(),
                    },
                ));
            }
        }
    }
    out
}

pub(super) fn ingredients(a: &FormulaContext, b: &FormulaContext) -> Vec<Ingredient> {
    let (before, after) = (stocks(a), stocks(b));
    let phases = |s: &Stock| Some(s.phases.join(", ")).filter(|p| !p.is_empty());
    let mut out = Vec::new();
    for (id, new) in &after {
        let old = before.iter().find(|(other, _)| other == id).map(|(_, s)| s);
        let change = match old {
            None => Change::Added,
            Some(old)
                if old.percent == new.percent
                    && old.phases == new.phases
                    && old.purpose == new.purpose =>
            {
                continue;
            }
            Some(_) => Change::Changed,
        };
        out.push(Ingredient {
            name: new.name.clone(),
            change,
            before_percent: old.and_then(|s| s.percent),
            after_percent: new.percent,
            before_phase: old.and_then(phases),
            after_phase: phases(new),
        });
    }
    for (_, old) in before
        .iter()
        .filter(|(id, _)| !after.iter().any(|(other, _)| other == id))
    {
        out.push(Ingredient {
            name: old.name.clone(),
            change: Change::Removed,
            before_percent: old.percent,
            after_percent: None,
            before_phase: phases(old),
            after_phase: None,
        });
    }
    out
}

impl Ingredient {
    /// "+0.5 %" for what is there before and after.
    pub fn difference(&self) -> Option<String> {
        let by = self.after_percent? - self.before_percent?;
        (!by.is_zero()).then(|| {
            format!(
                "{}{}",
                if by > Decimal::ZERO { "+" } else { "" },
                words::number(by, 4)
            )
        })
    }

    /// "moves from B to C".
    pub fn moved(&self) -> Option<String> {
        let (from, to) = (self.before_phase.as_ref()?, self.after_phase.as_ref()?);
        (from != to).then(|| format!("moves from {from} to {to}"))
    }
}
