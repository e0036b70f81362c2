//! Phases, fields and the steps of the method.

use super::Change;
use crate::papers::FormulaContext;
use crate::papers::sheet::treatment;
use crate::rules::words::Degrees;
use crate::syntax::tree::{Node, SectionKind};
use serde::Serialize;
use similar::{Algorithm, DiffOp, capture_diff_slices};

#[derive(Clone, Debug, Serialize)]
pub struct Phase {
    pub label: String,
    pub change: Change,
    /// "water, at 75 °C, hold 20 min".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct Field {
    pub field: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
pub struct OutlineStep {
    pub change: Change,
    /// Its number in the older method, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<usize>,
    pub step: String,
}

/// Each side's things by name; what differs, the newer's order first.
fn differing<T: PartialEq + Clone>(
    a: Vec<(String, T)>,
    b: Vec<(String, T)>,
) -> Vec<(String, Option<T>, Option<T>)> {
    let mut out = Vec::new();
    for (name, new) in &b {
        let old = a
            .iter()
            .find(|(n, _)| n.eq_ignore_ascii_case(name))
            .map(|(_, v)| v.clone());
        if old.as_ref() != Some(new) {
            out.push((name.clone(), old, Some(new.clone())));
        }
    }
    for (name, old) in a
        .iter()
        .filter(|(n, _)| !b.iter().any(|(m, _)| n.eq_ignore_ascii_case(m)))
    {
        out.push((name.clone(), Some(old.clone()), None));
    }
    out
}

pub(super) fn phases(a: &FormulaContext, b: &FormulaContext) -> Vec<Phase> {
    let of = |work: &FormulaContext| -> Vec<(String, String)> {
        let f = work.formula;
        let degrees = Degrees::of(work.tree);
        let phases = f.phases.iter().map(|p| {
            let into = p.into.map(|n| format!("into {}", f.phases[n].label));
            let parts = [
                p.premix.then(|| "premix".to_owned()),
                p.name.as_deref().map(str::to_owned),
                treatment(p, degrees),
                into,
            ];
            (
                p.label.to_string(),
                parts.into_iter().flatten().collect::<Vec<_>>().join(", "),
            )
        });
        phases.collect()
    };
    let said = |s: Option<String>| s.filter(|s| !s.is_empty());
    differing(of(a), of(b))
        .into_iter()
        .map(|(label, before, after)| {
            let change = match (&before, &after) {
                (None, _) => Change::Added,
                (_, None) => Change::Removed,
                _ => Change::Changed,
            };
            Phase {
                label,
                change,
                before: said(before),
                after: said(after),
            }
        })
        .collect()
}

pub(super) fn fields(a: &FormulaContext, b: &FormulaContext) -> Vec<Field> {
    let of = |work: &FormulaContext| -> Vec<(String, String)> {
        let lines = work
            .tree
            .lines
            .iter()
            .filter(|at| at.line.section == SectionKind::Formula);
        let fields = lines.filter_map(|at| match &at.line.node {
            Node::Field(f) => Some((f.key.value.clone(), even(&f.value.value))),
            _ => None,
        });
        let mut out: Vec<(String, String)> = fields.collect();
        out.insert(0, ("name".to_owned(), work.name()));
        out
    };
    differing(of(a), of(b))
        .into_iter()
        .map(|(field, before, after)| Field {
            field,
            before,
            after,
        })
        .collect()
}

pub(super) fn steps(a: &FormulaContext, b: &FormulaContext) -> Vec<OutlineStep> {
    let of = |work: &FormulaContext| -> Vec<String> {
        let steps = work
            .tree
            .lines
            .iter()
            .filter(|at| matches!(at.line.node, Node::Step(_)));
        steps
            .map(|at| {
                even(
                    &at.line.text[..at
                        .line
                        .comment
                        .map_or(at.line.text.len(), |c| c.start as usize)],
                )
            })
            .collect()
    };
    let (before, after) = (of(a), of(b));
    let mut out = Vec::new();
    for op in capture_diff_slices(Algorithm::Myers, &before, &after) {
        if matches!(op, DiffOp::Equal { .. }) {
            continue;
        }
        let gone = op.old_range().map(|n| OutlineStep {
            change: Change::Removed,
            before: Some(n + 1),
            after: None,
            step: before[n].clone(),
        });
        out.extend(gone);
        out.extend(op.new_range().map(|n| OutlineStep {
            change: Change::Added,
            before: None,
            after: Some(n + 1),
            step: after[n].clone(),
        }));
    }
    out
}

/// Single blanks, none around.
fn even(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
