//! What the maker has: the lots of the stock files and the rows of the formulas that lie next to this one, as they are saved.
//! A file is read again when its date or size has changed.

use crate::kb::{Id, Kb, Lookup};
use crate::syntax::parse;
use crate::syntax::tree::{FileKind, Heading, Node};
use crate::text::read_file;
use std::collections::{HashMap, HashSet};
use std::fs::Metadata;
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};
use std::time::SystemTime;

/// Files looked at in one folder, at the most.
const MAX_FILES: usize = 200;
/// A larger file is left out.
const MAX_BYTES: u64 = 1 << 20;
/// Files that are remembered.
const MAX_KEPT: usize = 2_000;

type Stamp = (Option<SystemTime>, u64);
type Names = Arc<Vec<String>>;

static KEPT: LazyLock<Mutex<HashMap<PathBuf, (Stamp, Names)>>> = LazyLock::new(Mutex::default);

/// The materials in the files next to this one, and in the folder of the settings above it.
pub fn of(document: &Path, kb: &Kb) -> HashSet<Id> {
    let mut out = HashSet::new();
    let Some(folder) = document.parent().filter(|f| f.is_absolute()) else {
        return out;
    };
    let project = folder
        .ancestors()
        .skip(1)
        .find(|f| f.join("phasewright.toml").is_file());
    for folder in std::iter::once(folder).chain(project) {
        let files = std::fs::read_dir(folder).into_iter().flatten().flatten();
        for path in files.map(|f| f.path()).take(MAX_FILES) {
            if path != document
                && let Some(kind) = kind(&path)
                && let Some(names) = names(&path, kind)
            {
                out.extend(names.iter().filter_map(|name| match kb.lookup(name) {
                    Lookup::Known { id, .. } => Some(id),
                    Lookup::Ambiguous(_) | Lookup::Unknown => None,
                }));
            }
        }
    }
    out
}

fn kind(path: &Path) -> Option<FileKind> {
    match path.extension()?.to_str()? {
        "formula" => Some(FileKind::Formula),
        "stock" => Some(FileKind::Stock),
        _ => None,
    }
}

fn names(path: &Path, kind: FileKind) -> Option<Names> {
    let about = std::fs::metadata(path).ok().filter(Metadata::is_file)?;
    if about.len() > MAX_BYTES {
        return None;
    }
    let stamp = (about.modified().ok(), about.len());
    let kept = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, names)) = kept().get(path).filter(|(then, _)| *then == stamp) {
        return Some(names.clone());
    }
    let names = Arc::new(read(&read_file(path).ok()?, kind));
    let mut kept = kept();
    if kept.len() >= MAX_KEPT {
        kept.clear();
    }
    kept.insert(path.to_owned(), (stamp, names.clone()));
    Some(names)
}

/// The names of rows and lots, each once.
fn read(text: &str, kind: FileKind) -> Vec<String> {
    let tree = parse(kind, text);
    let mut names: Vec<String> = tree
        .lines
        .iter()
        .filter_map(|at| match &at.line.node {
            Node::Row(row) if !row.file => Some(row.name.value.to_string()),
            Node::Heading(Heading::Lot { of, .. }) => Some(of.as_ref()?.value.to_string()),
            _ => None,
        })
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}
