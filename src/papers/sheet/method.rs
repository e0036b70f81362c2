//! The steps at the bench, the water to put back, and what to take care of.

use super::rows::{SheetRow, is_hot, treatment, with_premixes};
use crate::model::system;
use crate::papers::FormulaContext;
use crate::rules::words::{self, Degrees};
use crate::syntax::tree::{Amount, Node};
use rust_decimal::Decimal;
use serde::Serialize;

/// A heated phase that loses water.
#[derive(Clone, Debug, Serialize)]
pub struct Evaporation {
    pub phase: String,
    /// Of the phase with its premixes, before heating.
    pub start_g: Decimal,
}

pub(super) fn evaporation(work: &FormulaContext, rows: &[SheetRow]) -> Vec<Evaporation> {
    let f = work.formula;
    let hot = work.kb.threshold("hot-phase-c").value.0;
    let wet = |row: usize| {
        f.components
            .iter()
            .any(|s| s.row == row && !s.typical.is_zero() && system::is_water(work.kb.get(s.id)))
    };
    let phases = f
        .phases
        .iter()
        .enumerate()
        .filter(|(_, p)| is_hot(p, hot) && p.into.is_none());
    phases
        .map(|(n, p)| (p, with_premixes(f, n)))
        .filter(|(_, of)| of.iter().any(|r| wet(*r)))
        .map(|(p, of)| Evaporation {
            phase: p.label.to_string(),
            start_g: of.iter().map(|r| rows[*r].grams).sum(),
        })
        .collect()
}

/// The maker's own steps; without any, those that the headings amount to.
pub(super) fn steps(work: &FormulaContext) -> (Vec<String>, bool) {
    let steps = work
        .tree
        .lines
        .iter()
        .filter(|at| matches!(at.line.node, Node::Step(_)));
    let written: Vec<String> = steps
        .map(|at| {
            at.line.text[..at
                .line
                .comment
                .map_or(at.line.text.len(), |c| c.start as usize)]
                .trim()
                .to_owned()
        })
        .collect();
    match written.is_empty() {
        true => (from_headings(work), false),
        false => (written, true),
    }
}

fn from_headings(work: &FormulaContext) -> Vec<String> {
    let f = work.formula;
    let degrees = Degrees::of(work.tree);
    let hot_from = work.kb.threshold("hot-phase-c").value.0;
    let mut out = Vec::new();
    for p in f.phases.iter().filter(|p| !p.rows.is_empty()) {
        if let Some(into) = p.into {
            let how = treatment(p, degrees).map_or(String::new(), |t| format!(" {t}"));
            out.push(format!(
                "mix {}{how}, stir into {}",
                p.label, f.phases[into].label
            ));
        }
    }
    let main = || {
        f.phases
            .iter()
            .filter(|p| p.into.is_none() && !p.rows.is_empty())
    };
    let hot: Vec<_> = main().filter(|p| is_hot(p, hot_from)).collect();
    for p in &hot {
        out.push(format!(
            "heat {}: {}",
            p.label,
            treatment(p, degrees).unwrap_or_default()
        ));
    }
    if hot.len() > 1 {
        let labels: Vec<&str> = hot.iter().map(|p| p.label.as_str()).collect();
        out.push(format!("bring {} together, blend", words::list(&labels)));
    }
    for p in main().filter(|p| !is_hot(p, hot_from)) {
        match (hot.is_empty(), treatment(p, degrees)) {
            (false, Some(t)) => out.push(format!("cool, add {} {t}, stir", p.label)),
            (false, None) => out.push(format!("add {}, stir", p.label)),
            (true, t) => out.push(format!(
                "mix {}{}",
                p.label,
                t.map_or(String::new(), |t| format!(" {t}"))
            )),
        }
    }
    let adjusts = f
        .rows
        .iter()
        .any(|r| matches!(r.amount.value, Amount::Enough { ph: Some(_), .. }));
    if adjusts || system::ph_aim(f).is_some() {
        out.push("measure pH".to_owned());
    }
    if !out.is_empty() {
        out.push("fill".to_owned());
    }
    out
}

/// Rules whose words belong at the bench.
const BENCH_CAUTIONS: [&str; 7] = [
    "caution-hot",
    "caution-caustic",
    "caution-dust",
    "caution-eye",
    "flammable",
    "gas-pressure",
    "inhalation",
];

pub(super) fn cautions(work: &FormulaContext) -> Vec<String> {
    work.findings
        .iter()
        .filter(|f| BENCH_CAUTIONS.contains(&f.code))
        .map(|f| f.whole())
        .collect()
}
