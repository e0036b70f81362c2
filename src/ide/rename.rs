//! Another label for a phase, another name for an ingredient of the maker's own.

use super::Snapshot;
use super::definition::{label_at, label_places};
use crate::kb::Id;
use crate::kb::Lookup;
use crate::kb::names::key;
use crate::model::FileLoader;
use crate::syntax::parse;
use crate::syntax::tree::{FileKind, Node, Tree};
use crate::text::{Place, Span};
use std::path::{Path, PathBuf};

/// New text for a place of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Renamed {
    pub path: PathBuf,
    pub place: Place,
    pub text: String,
}

/// The label of a phase or the name of an own ingredient under the cursor.
pub fn prepare(s: &Snapshot, line: u32, byte: u32) -> Option<Span> {
    if let Some((span, _)) = label_at(s, line, byte) {
        return Some(span);
    }
    own(s, line, byte).map(|(span, _)| span)
}

/// Every place that changes. The error says why the new name cannot be taken. `formulas`: the files in which an own ingredient may
/// be named, this one aside.
pub fn rename(
    s: &Snapshot,
    loader: &dyn FileLoader,
    formulas: &[PathBuf],
    line: u32,
    byte: u32,
    new: &str,
) -> Option<Result<Vec<Renamed>, String>> {
    if let Some((_, label)) = label_at(s, line, byte) {
        return Some(relabel(s, &label, new));
    }
    let (_, id) = own(s, line, byte)?;
    Some(rename_own(s, loader, formulas, id, new))
}

fn relabel(s: &Snapshot, label: &str, new: &str) -> Result<Vec<Renamed>, String> {
    if new.is_empty() || new.len() > 8 || !new.chars().all(|c| c.is_ascii_alphanumeric()) {
        return Err(format!(
            "\"{new}\" is no label. A letter with or without a digit makes one, such as A or A1."
        ));
    }
    let taken = |p: &crate::model::Phase| p.label.eq_ignore_ascii_case(new);
    let is_new = !new.eq_ignore_ascii_case(label);
    if is_new
        && s.formula
            .as_ref()
            .is_some_and(|f| f.phases.iter().any(taken))
    {
        return Err(format!(
            "Phase {new} is there already. Take a letter that is free."
        ));
    }
    let places = label_places(s, label).into_iter();
    Ok(places
        .map(|place| Renamed {
            path: s.path.clone(),
            place,
            text: new.to_owned(),
        })
        .collect())
}

/// The ingredient of the maker's own in the row under the cursor.
fn own(s: &Snapshot, line: u32, byte: u32) -> Option<(Span, Id)> {
    let f = s.formula.as_ref()?;
    let row = &f.rows[s.row_on(line)?];
    let id = row.id().filter(|_| row.name.span.contains(byte as usize))?;
    s.kb.user_file(id)?;
    Some((row.name.span, id))
}

/// Rows of all formulas get the new name. In its own file it is put in front, and the old names stay: records of what was made keep
/// the words that they were written with.
fn rename_own(
    s: &Snapshot,
    loader: &dyn FileLoader,
    formulas: &[PathBuf],
    id: Id,
    new: &str,
) -> Result<Vec<Renamed>, String> {
    match s.kb.lookup(new) {
        Lookup::Known { id: known, .. } if known == id => {}
        Lookup::Unknown if !new.is_empty() && !new.contains(['"', '\n', '#', '%', '\\']) => {}
        Lookup::Unknown => return Err(format!("\"{new}\" is no name for a material.")),
        Lookup::Known { .. } | Lookup::Ambiguous(_) => {
            return Err(format!(
                "\"{new}\" is a name of another material. Take one that is free."
            ));
        }
    }
    let mut out = Vec::new();
    let file = s.kb.user_file(id).ok_or("this material has no file")?;
    if matches!(s.kb.lookup(new), Lookup::Unknown) {
        let text = loader.read(file)?;
        let place = first_name(&text).ok_or_else(|| {
            format!(
                "{} has no `names = [` to put the name into; add it by hand",
                file.display()
            )
        })?;
        out.push(Renamed {
            path: file.to_owned(),
            place,
            text: format!("\"{new}\", "),
        });
    }
    take_rows(s, &s.path, &s.tree, id, new, &mut out);
    for path in formulas.iter().filter(|p| **p != s.path) {
        if let Ok(text) = loader.read(path) {
            take_rows(s, path, &parse(FileKind::Formula, &text), id, new, &mut out);
        }
    }
    Ok(out)
}

/// The rows that name the material; a strength behind its name stays.
fn take_rows(s: &Snapshot, path: &Path, tree: &Tree, id: Id, new: &str, out: &mut Vec<Renamed>) {
    for (n, at) in tree.lines.iter().enumerate() {
        let Node::Row(row) = &at.line.node else {
            continue;
        };
        let written = row.name.value.as_str();
        let is_it = !row.file
            && matches!(s.kb.lookup(written), Lookup::Known { id: known, strength: None } if known == id)
            && key(written) != key(new);
        if is_it {
            out.push(Renamed {
                path: path.to_owned(),
                place: Place {
                    line: n as u32,
                    span: row.name.span,
                },
                text: new.to_owned(),
            });
        }
    }
}

/// The place before the first of `names`.
fn first_name(text: &str) -> Option<Place> {
    text.lines().enumerate().find_map(|(n, line)| {
        let rest = line.trim_start().strip_prefix("names")?.trim_start();
        let inside = rest.strip_prefix('=')?.trim_start().strip_prefix('[')?;
        let at = line.len() - inside.trim_start().len();
        Some(Place {
            line: n as u32,
            span: Span::new(at, at),
        })
    })
}
