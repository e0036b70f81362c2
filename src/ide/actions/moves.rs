//! Moving a row to a phase that suits its material, which is made where it is missing.

use super::{Action, rewrites::holds_rows, settled};
use crate::ide::complete::next_label;
use crate::ide::folding::last_written;
use crate::ide::{Snapshot, place};
use crate::kb::schema::{Ingredient, PhaseKind};
use crate::model::{Formula, Row};
use crate::rules::Edit;
use crate::syntax::tree::{Heat, SectionKind};

pub fn offer(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Action> {
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    // One row at a time: a selection of many says nothing of where each belongs.
    let mut rows = f
        .rows
        .iter()
        .filter(|r| (first_line..=last_line).contains(&r.line));
    let (Some(row), None) = (rows.next(), rows.next()) else {
        return Vec::new();
    };
    let (Some(here), Some(id)) = (row.phase, row.id()) else {
        return Vec::new();
    };
    let entry = s.kb.get(id);
    let now = place::kind_of(s, f, here);
    if now.is_none() || place::fit(entry, now) < 2 || entry.phase.is_empty() {
        return Vec::new();
    }
    let mut out: Vec<Action> = Vec::new();
    for wanted in &entry.phase {
        let fitting = (0..f.phases.len()).find(|p| {
            *p != here && !f.phases[*p].premix && place::kind_of(s, f, *p) == Some(*wanted)
        });
        out.extend(fitting.and_then(|p| to_phase(s, f, row, p)));
    }
    if out.is_empty() {
        out.extend(
            entry
                .phase
                .first()
                .and_then(|wanted| to_new_phase(s, f, row, entry, *wanted)),
        );
    }
    out
}

/// The row as it stands, comment and all.
fn row_text(s: &Snapshot, row: &Row) -> String {
    format!("  {}\n", s.text(row.line).trim())
}

fn to_phase(s: &Snapshot, f: &Formula, row: &Row, to: usize) -> Option<Action> {
    let phase = &f.phases[to];
    let heading = *phase.lines.last()?;
    let section = s.tree.sections.iter().find(|x| x.first == heading)?;
    let behind = last_written(s, section.first, section.end) + 1;
    let edits = vec![
        insert(s, behind, &row_text(s, row)),
        Edit::delete_line(row.line),
    ];
    Some(Action::rewrite(
        format!("Move to phase {}", phase.label),
        edits,
    ))
}

/// Whole lines before a line, which may lie behind the end of the file.
fn insert(s: &Snapshot, line: u32, text: &str) -> Edit {
    settled(&s.tree, &Edit::insert_before(line, text))
}

fn to_new_phase(
    s: &Snapshot,
    f: &Formula,
    row: &Row,
    entry: &Ingredient,
    wanted: PhaseKind,
) -> Option<Action> {
    let (name, heat) = match wanted {
        PhaseKind::CoolDown => (
            "cool-down",
            format!(
                " below {}",
                s.degrees().show(entry.add_below_c.as_deref()?.value.0)
            ),
        ),
        PhaseKind::Oil => ("oil", hot(s, f)),
        PhaseKind::Water => ("water", hot(s, f)),
        PhaseKind::Surfactant => ("surfactants", String::new()),
        PhaseKind::Powder => ("powders", String::new()),
        PhaseKind::Any => return None,
    };
    let label = next_label(s);
    let last = s
        .tree
        .sections
        .iter()
        .filter(|x| holds_rows(x.kind))
        .max_by_key(|x| x.end)?;
    let behind = last_written(s, last.first, last.end) + 1;
    let heading = format!("phase {label} \"{name}\"{heat}");
    let edits = vec![
        insert(s, behind, &format!("\n{heading}\n{}", row_text(s, row))),
        Edit::delete_line(row.line),
    ];
    let method = s
        .tree
        .sections
        .iter()
        .any(|x| x.kind == SectionKind::Method);
    let also = if method {
        "; add it in the method too"
    } else {
        ""
    };
    Some(Action::rewrite(
        format!("Move to a new {heading}{also}"),
        edits,
    ))
}

/// As warm as the other hot phases.
fn hot(s: &Snapshot, f: &Formula) -> String {
    let hottest = f
        .phases
        .iter()
        .filter_map(|p| match p.heat.as_ref()?.value {
            Heat::At(t) => Some(t.celsius),
            _ => None,
        });
    hottest
        .max()
        .map_or(String::new(), |c| format!(" at {}", s.degrees().show(c)))
}
