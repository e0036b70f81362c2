//! A formula's file is called otherwise: the rows, batches and lots that name it follow.

use super::rename::Renamed;
use crate::model::FileLoader;
use crate::model::file_loader::resolve_relative;
use crate::syntax::parse;
use crate::syntax::tree::{FileKind, Heading, Line, Node};
use crate::text::{Place, Span};
use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

/// A file, or a folder with all that is in it, and where it goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    pub from: PathBuf,
    pub to: PathBuf,
}

/// New names in the files that name what is moved. Files that are moved themselves keep their place in the answer: the editor has not
/// moved them yet.
pub fn follow(moved: &[Moved], files: BTreeSet<PathBuf>, loader: &dyn FileLoader) -> Vec<Renamed> {
    let mut out = Vec::new();
    for file in files {
        let Some(kind) = FileKind::of_path(&file) else {
            continue;
        };
        let Ok(text) = loader.read(&file) else {
            continue;
        };
        // Most files name none.
        if !text.contains(".formula") {
            continue;
        }
        let here = goes_to(moved, &file).unwrap_or_else(|| file.clone());
        for (n, at) in parse(kind, &text).lines.iter().enumerate() {
            for (span, name) in names(&at.line) {
                let target = resolve_relative(&file, &name);
                let now = goes_to(moved, &target);
                if now.is_none() && here == file {
                    continue;
                }
                let new = relative(&here, &now.unwrap_or(target));
                if new != name {
                    out.push(Renamed {
                        path: file.clone(),
                        place: Place {
                            line: n as u32,
                            span,
                        },
                        text: new,
                    });
                }
            }
        }
    }
    out
}

fn goes_to(moved: &[Moved], path: &Path) -> Option<PathBuf> {
    moved.iter().find_map(|m| {
        let rest = path.strip_prefix(&m.from).ok()?;
        Some(match rest.as_os_str().is_empty() {
            true => m.to.clone(),
            false => m.to.join(rest),
        })
    })
}

/// The files that a line names between quotes.
fn names(line: &Line) -> Vec<(Span, String)> {
    match &line.node {
        Node::Row(row) if row.file => vec![(row.name.span, row.name.value.to_string())],
        Node::Weighed(row) if row.file => vec![(row.name.span, row.name.value.clone())],
        Node::Heading(Heading::Batch {
            formula: Some(file),
            ..
        })
        | Node::Heading(Heading::Lot {
            of: Some(file),
            of_file: true,
            ..
        }) => vec![(file.span, file.value.clone())],
        Node::Field(field) if field.key.value == "for" => {
            let text = &field.value.value;
            let inside = text.find('"').and_then(|open| {
                let close = text[open + 1..].find('"')? + open + 1;
                Some((open + 1, close))
            });
            let at = field.value.span.start as usize;
            inside
                .map(|(open, close)| {
                    (
                        Span::new(at + open, at + close),
                        text[open..close].to_owned(),
                    )
                })
                .into_iter()
                .collect()
        }
        _ => Vec::new(),
    }
}

/// The path of a file as another one names it.
fn relative(from: &Path, to: &Path) -> String {
    let folder: Vec<Component> = from
        .parent()
        .unwrap_or(Path::new(""))
        .components()
        .collect();
    let target: Vec<Component> = to.components().collect();
    let shared = folder
        .iter()
        .zip(&target)
        .take_while(|(a, b)| a == b)
        .count();
    let up = folder[shared..].iter().map(|_| "..".to_owned());
    let down = target[shared..]
        .iter()
        .map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}
