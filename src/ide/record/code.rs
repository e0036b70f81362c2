//! The code of a lot or a batch: what stands under the cursor, and where else it is written.

use super::RecordView;
use crate::model::FileLoader;
use crate::model::shop::{Shop, fold};
use crate::syntax::parse;
use crate::syntax::tree::{Event, FileKind, Heading, Line, Node};
use crate::text::{Place, Span};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where a code is written.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CodePlace {
    pub path: PathBuf,
    pub place: Place,
}

/// The code under the cursor.
pub fn code_at(view: &RecordView, line: u32, byte: u32) -> Option<(String, Span)> {
    let found = codes_on(view.snapshot.line(line)?);
    found
        .into_iter()
        .find(|(_, span)| span.contains(byte as usize))
}

/// All codes on a line, with where they stand.
fn codes_on(line: &Line) -> Vec<(String, Span)> {
    let of = |s: &crate::text::Spanned<String>| (s.value.clone(), s.span);
    match &line.node {
        Node::Weighed(w) => w.lot.iter().map(of).collect(),
        Node::Packaging(p) => p.row.lot.iter().map(of).collect(),
        Node::Ledger(l) => vec![of(&l.code)],
        Node::Heading(Heading::Batch { code, .. } | Heading::Lot { code, .. }) => {
            code.iter().map(of).collect()
        }
        Node::Log(log) => log
            .events
            .iter()
            .filter_map(|e| match &e.value {
                Event::Add { lot: Some(lot), .. } => Some(of(lot)),
                _ => None,
            })
            .collect(),
        Node::Field(f) if f.key.value == "from" => {
            let text = &f.value.value;
            let code = text.split_whitespace().last().unwrap_or_default();
            let at = text.rfind(code).unwrap_or(0);
            let start = f.value.span.start as usize + at;
            vec![(code.to_owned(), Span::new(start, start + code.len()))]
        }
        _ => Vec::new(),
    }
}

/// The lines on which a code is written, by file.
fn lines_of(shop: &Shop, code: &str) -> Vec<(PathBuf, u32)> {
    let headings = shop.places_of_code(code).into_iter();
    let uses = shop.uses(code).map(|(r, u)| (r.path.clone(), u.line));
    let ledger = shop.entries(code).map(|e| (e.path.clone(), e.at));
    let mut all: Vec<(PathBuf, u32)> = headings.chain(uses).chain(ledger).collect();
    // The line of `from` is one of those below the lot's heading.
    for lot in shop.lots_made_in(code) {
        all.push((lot.path.clone(), lot.line));
    }
    all.sort();
    all.dedup();
    all
}

/// Texts of files, each read once.
pub struct Texts<'a> {
    loader: &'a dyn FileLoader,
    read: BTreeMap<PathBuf, Vec<std::sync::Arc<Line>>>,
}

impl<'a> Texts<'a> {
    pub fn new(loader: &'a dyn FileLoader) -> Texts<'a> {
        Texts {
            loader,
            read: BTreeMap::new(),
        }
    }

    fn lines(&mut self, path: &Path) -> &[std::sync::Arc<Line>] {
        let loader = self.loader;
        self.read.entry(path.to_owned()).or_insert_with(|| {
            let kind = FileKind::of_path(path);
            let text = loader.read(path).ok();
            let tree = kind.zip(text).map(|(kind, text)| parse(kind, &text));
            tree.map_or_else(Vec::new, |t| {
                t.lines.into_iter().map(|at| at.line).collect()
            })
        })
    }

    /// Every place of a code: headings, rows, additions, the ledger, `from`.
    pub fn places(&mut self, shop: &Shop, code: &str) -> Vec<CodePlace> {
        let wanted = fold(code);
        let mut out = Vec::new();
        for (path, line) in lines_of(shop, code) {
            let lines = self.lines(&path);
            let Some(at) = lines.get(line as usize) else {
                continue;
            };
            let is_lot = matches!(at.node, Node::Heading(Heading::Lot { .. }));
            let fields = lines[line as usize + 1..]
                .iter()
                .take_while(|l| is_lot && !matches!(l.node, Node::Heading(_)))
                .filter(|l| matches!(&l.node, Node::Field(f) if f.key.value == "from"));
            for (n, at) in std::iter::once((line, at)).chain(fields.map(|l| {
                let n = lines
                    .iter()
                    .position(|x| std::ptr::eq(&**x, &**l))
                    .unwrap_or(0);
                (n as u32, l)
            })) {
                let here = codes_on(at).into_iter().filter(|(c, _)| fold(c) == wanted);
                out.extend(here.map(|(_, span)| CodePlace {
                    path: path.clone(),
                    place: Place { line: n, span },
                }));
            }
        }
        out.sort();
        out.dedup();
        out
    }
}
