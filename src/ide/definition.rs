//! Where something is written down, and where else it stands in the file.

use super::Snapshot;
use super::links;
use crate::syntax::tree::{Heading, Node};
use crate::text::{Place, Span, Spanned};
use smol_str::SmolStr;
use std::path::PathBuf;

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Definition {
    /// In this file: the heading of a phase.
    Here(Place),
    /// Another file: a formula, or an ingredient of the maker's own.
    File(PathBuf),
    /// A bundled ingredient, by its id.
    Ingredient(String),
}

pub fn definition(s: &Snapshot, line: u32, byte: u32) -> Option<Definition> {
    if let Some(link) = links::link_at(s, line, byte) {
        return Some(Definition::File(link.path));
    }
    if let Some((_, label)) = label_at(s, line, byte) {
        let f = s.formula.as_ref()?;
        let phase = f
            .phases
            .iter()
            .find(|p| p.label.eq_ignore_ascii_case(&label))?;
        return Some(Definition::Here(Place {
            line: *phase.lines.first()?,
            span: phase.label_span,
        }));
    }
    let f = s.formula.as_ref()?;
    let row = &f.rows[s.row_on(line)?];
    let id = row.id().filter(|_| row.name.span.contains(byte as usize))?;
    Some(match s.kb.user_file(id) {
        Some(file) => Definition::File(file.to_owned()),
        None => Definition::Ingredient(s.kb.get(id).id.to_string()),
    })
}

/// Every place in the file that means the same as what is under the cursor: a phase label, or a material.
pub fn highlights(s: &Snapshot, line: u32, byte: u32) -> Vec<Place> {
    if let Some((_, label)) = label_at(s, line, byte) {
        return label_places(s, &label);
    }
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    let Some(row) = s
        .row_on(line)
        .map(|n| &f.rows[n])
        .filter(|r| r.name.span.contains(byte as usize))
    else {
        return Vec::new();
    };
    let same = |r: &&crate::model::Row| match row.id() {
        Some(id) => r.id() == Some(id),
        None => r.name.value == row.name.value,
    };
    f.rows
        .iter()
        .filter(same)
        .map(|r| Place {
            line: r.line,
            span: r.name.span,
        })
        .collect()
}

/// The phase whose label is under the cursor, and where that label stands.
pub(super) fn phase_at(s: &Snapshot, line: u32, byte: u32) -> Option<(Span, usize)> {
    let (place, label) = labels_on(s, line)
        .into_iter()
        .find(|(p, _)| p.span.contains(byte as usize))?;
    let phase = s
        .formula
        .as_ref()?
        .phases
        .iter()
        .position(|p| p.label.eq_ignore_ascii_case(&label))?;
    Some((place.span, phase))
}

/// The label under the cursor, and where it stands.
pub(super) fn label_at(s: &Snapshot, line: u32, byte: u32) -> Option<(Span, String)> {
    labels_on(s, line)
        .into_iter()
        .find(|(p, _)| p.span.contains(byte as usize))
        .map(|(p, label)| (p.span, label))
}

/// Every place of a label in the file.
pub(super) fn label_places(s: &Snapshot, label: &str) -> Vec<Place> {
    labels(s)
        .into_iter()
        .filter(|(_, l)| l.eq_ignore_ascii_case(label))
        .map(|(p, _)| p)
        .collect()
}

/// The places of the label under the cursor that are spelled as it is: an editor may write them in step.
pub fn linked_labels(s: &Snapshot, line: u32, byte: u32) -> Vec<Place> {
    let Some((_, label)) = label_at(s, line, byte) else {
        return Vec::new();
    };
    let all = labels(s).into_iter();
    all.filter(|(_, l)| *l == label).map(|(p, _)| p).collect()
}

fn labels(s: &Snapshot) -> Vec<(Place, String)> {
    (0..s.tree.lines.len() as u32)
        .flat_map(|n| labels_on(s, n))
        .collect()
}

/// The phase labels that stand on a line: in its heading, or in a step.
fn labels_on(s: &Snapshot, line: u32) -> Vec<(Place, String)> {
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    let known = |word: &str| {
        f.phases
            .iter()
            .any(|p| !p.label.is_empty() && p.label.eq_ignore_ascii_case(word))
    };
    let mut found: Vec<&Spanned<SmolStr>> = Vec::new();
    match s.line(line).map(|l| &l.node) {
        Some(Node::Heading(Heading::Phase(h) | Heading::Premix(h))) => {
            found.extend(h.label.iter().chain(&h.into))
        }
        Some(Node::Step(step)) => {
            for c in &step.clauses {
                found.extend(c.objects.iter().chain(&c.into).chain(&c.with));
            }
        }
        _ => {}
    }
    found
        .into_iter()
        .filter_map(|w| {
            // "phase C": the label is its last word.
            let at = w.value.rfind(' ').map_or(0, |p| p + 1);
            let label = &w.value[at..];
            let start = w.span.start + at as u32;
            known(label).then(|| {
                (
                    Place {
                        line,
                        span: Span {
                            start,
                            end: start + label.len() as u32,
                        },
                    },
                    label.to_owned(),
                )
            })
        })
        .collect()
}
