//! The pH that each row of a formula needs: to do its work, to last.

use super::formula::Formula;
use crate::kb::Kb;
use crate::kb::role::Role;
use crate::kb::schema::{Ingredient, Range};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    Works,
    Lasts,
}

impl Does {
    pub fn verb(self) -> &'static str {
        match self {
            Does::Works => "works at pH",
            Does::Lasts => "lasts at pH",
        }
    }
}

/// A window of one row: its name, what happens in it, the range.
#[derive(Clone, Debug)]
pub struct Need<'a> {
    pub name: String,
    pub does: Does,
    pub range: &'a Range,
}

/// In the order of the rows, each once.
pub fn needs<'a>(f: &Formula, kb: &'a Kb) -> Vec<Need<'a>> {
    let mut out: Vec<Need> = Vec::new();
    for row in &f.rows {
        let Some(id) = row.id() else { continue };
        let entry = kb.get(id);
        let before = out.len();
        of_entry(entry, &row.name.value, &mut out);
        // A blend without windows of its own has those of its parts.
        if out.len() == before {
            for part in &entry.composition {
                if let Some((part_id, part)) = kb.substance(&part.of) {
                    of_entry(
                        part,
                        &format!("{} in {}", kb.name(part_id), row.name.value),
                        &mut out,
                    );
                }
            }
        }
    }
    let mut seen: Vec<(String, Does)> = Vec::new();
    out.retain(|n| {
        let key = (n.name.clone(), n.does);
        let new = !seen.contains(&key);
        if new {
            seen.push(key);
        }
        new
    });
    out
}

fn of_entry<'a>(entry: &'a Ingredient, name: &str, out: &mut Vec<Need<'a>>) {
    // What sets the pH does not ask for one.
    if entry
        .roles
        .primary_in(&[Role::Acid, Role::Base, Role::Buffer])
    {
        return;
    }
    let works = entry.ph.works.as_deref();
    out.extend(works.map(|range| Need {
        name: name.to_owned(),
        does: Does::Works,
        range,
    }));
    let bears = entry
        .ph
        .bears
        .as_deref()
        .filter(|b| !works.is_some_and(|w| w.low == b.low && w.high == b.high));
    out.extend(bears.map(|range| Need {
        name: name.to_owned(),
        does: Does::Lasts,
        range,
    }));
}
