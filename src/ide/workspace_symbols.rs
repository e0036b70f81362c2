//! What a maker looks for by name in all folders: formulas, own materials, lots, batches.

use crate::kb::Kb;
use crate::kb::names::key;
use crate::model::FileLoader;
use crate::model::shop::Shop;
use crate::syntax::parse;
use crate::syntax::tree::{FileKind, Heading, Node};
use crate::text::{Place, Span};
use std::path::{Path, PathBuf};

/// Answers to one question at the most.
pub const MOST: usize = 500;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Formula,
    Material,
    Lot,
    Batch,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkspaceSymbol {
    pub name: String,
    /// What it is of, when it was made.
    pub detail: String,
    pub kind: Kind,
    pub path: PathBuf,
    pub place: Place,
}

/// Those whose name or detail holds each word of the query; all of an empty query, up to [`MOST`].
pub fn search(
    shop: &Shop,
    kb: &Kb,
    formulas: &[PathBuf],
    loader: &dyn FileLoader,
    query: &str,
) -> Vec<WorkspaceSymbol> {
    let query = key(query);
    let words: Vec<&str> = query.split(' ').filter(|w| !w.is_empty()).collect();
    let wanted = |name: &str, detail: &str| {
        let (name, detail) = (key(name), key(detail));
        words.iter().all(|w| name.contains(w) || detail.contains(w))
    };
    let at = |line: u32| Place {
        line,
        span: Span::new(0, usize::from(u16::MAX)),
    };
    let mut out = Vec::new();
    for lot in shop.all_lots() {
        let detail = format!("lot of {}", lot.name);
        if wanted(&lot.code, &detail) {
            out.push(WorkspaceSymbol {
                name: lot.code.clone(),
                detail,
                kind: Kind::Lot,
                path: lot.path.clone(),
                place: at(lot.line),
            });
        }
    }
    for batch in shop.all_batches().filter(|b| b.code.is_some()) {
        let of = batch.formula.as_ref().map_or("", |f| f.value.as_str());
        let made = batch.made.map_or(String::new(), |d| format!(", made {d}"));
        let detail = format!("batch of {of}{made}");
        if wanted(batch.code(), &detail) {
            out.push(WorkspaceSymbol {
                name: batch.code().to_owned(),
                detail,
                kind: Kind::Batch,
                path: batch.path.clone(),
                place: at(batch.line),
            });
        }
    }
    for (id, path) in kb.user_entries() {
        let name = kb.name(id);
        if wanted(name, "own material") {
            out.push(WorkspaceSymbol {
                name: name.to_owned(),
                detail: "own material".to_owned(),
                kind: Kind::Material,
                path: path.to_owned(),
                place: at(0),
            });
        }
    }
    for path in formulas {
        let Some((name, line)) = heading(path, loader) else {
            continue;
        };
        let detail = path
            .file_name()
            .map_or(String::new(), |f| f.to_string_lossy().into_owned());
        if wanted(&name, &detail) {
            out.push(WorkspaceSymbol {
                name,
                detail,
                kind: Kind::Formula,
                path: path.clone(),
                place: at(line),
            });
        }
    }
    out.truncate(MOST);
    out
}

/// The name of a formula and the line of its heading; by its file where it has no name.
fn heading(path: &Path, loader: &dyn FileLoader) -> Option<(String, u32)> {
    let tree = parse(FileKind::Formula, &loader.read(path).ok()?);
    let found = tree
        .lines
        .iter()
        .enumerate()
        .find_map(|(n, at)| match &at.line.node {
            Node::Heading(Heading::Formula { name: Some(name) }) => {
                Some((name.value.clone(), n as u32))
            }
            _ => None,
        });
    found.or_else(|| Some((path.file_stem()?.to_string_lossy().into_owned(), 0)))
}
