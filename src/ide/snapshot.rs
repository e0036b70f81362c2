//! One state of one file with all that is known of it: what every feature reads.

use crate::analysis::{Analysis, Judge};
use crate::kb::Kb;
use crate::model::shop::{Facts, Plans, Shop};
use crate::model::{FileLoader, Formula, Settings};
use crate::rules::words::Degrees;
use crate::rules::{Workshop, analyze_record, check, check_writing};
use crate::syntax::tree::{FileKind, Line, SectionKind, Tree};
use crate::text::{Place, Span};
use std::ops::Deref;
use std::path::Path;
use std::sync::Arc;

pub struct Snapshot {
    pub kind: FileKind,
    /// Of a formula file.
    pub formula: Option<Arc<Formula>>,
    pub analysis: Analysis,
}

impl Deref for Snapshot {
    type Target = Analysis;

    fn deref(&self) -> &Analysis {
        &self.analysis
    }
}

impl Snapshot {
    /// Resolves and judges the file.
    pub fn new(
        path: &Path,
        kind: FileKind,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
    ) -> Snapshot {
        let snapshot = Snapshot::unjudged(path, kind, tree, kb, settings, loader);
        // Here, on the thread that may take its time.
        snapshot.findings();
        snapshot
    }

    /// Resolves the file and leaves the rules aside until their findings are asked for: completion needs no more, and is
    /// asked for at every key.
    pub fn unjudged(
        path: &Path,
        kind: FileKind,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
    ) -> Snapshot {
        // Of records and shelves outside a workshop only the writing is judged.
        let judge: Judge = match kind {
            FileKind::Formula => check,
            FileKind::Batch | FileKind::Stock => check_writing,
        };
        let analysis = Analysis::new(tree, path, kb, settings, loader, judge);
        Snapshot {
            kind,
            formula: (kind == FileKind::Formula).then(|| analysis.formula.clone()),
            analysis,
        }
    }

    /// Judges a batch or a stock file in its workshop: all batches and lots that belong with it.
    pub fn in_workshop(
        path: &Path,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        loader: &dyn FileLoader,
        shop: &Shop,
        facts: &Facts,
    ) -> Snapshot {
        let workshop = Workshop::new(shop, facts, path, kb, settings, loader, &Plans::default());
        Snapshot {
            kind: tree.kind,
            formula: None,
            analysis: analyze_record(tree, workshop, kb, settings),
        }
    }

    pub fn line(&self, line: u32) -> Option<&Line> {
        self.tree
            .lines
            .get(line as usize)
            .map(|at| at.line.as_ref())
    }

    pub fn text(&self, line: u32) -> &str {
        self.line(line).map_or("", |l| l.text.as_str())
    }

    /// The section that a line typed here would stand in: that of the line above, unknown sections passed over.
    pub fn section_before(&self, line: u32) -> SectionKind {
        let above = self
            .tree
            .lines
            .iter()
            .take(line as usize)
            .rev()
            .map(|at| at.line.section);
        above
            .into_iter()
            .find(|s| *s != SectionKind::Unknown)
            .unwrap_or(SectionKind::Top)
    }

    /// A line without the blanks around it.
    pub fn whole_line(&self, line: u32) -> Place {
        let text = self.text(line);
        let start = text.len() - text.trim_start().len();
        Place {
            line,
            span: Span::new(start, text.trim_end().len().max(start)),
        }
    }

    /// Temperatures in the unit that the file uses.
    pub fn degrees(&self) -> Degrees {
        Degrees::of(&self.tree)
    }

    /// The row of the formula that stands on a line.
    pub fn row_on(&self, line: u32) -> Option<usize> {
        self.formula.as_ref()?.row_on(line)
    }

    /// The phase whose heading stands on a line.
    pub fn phase_on(&self, line: u32) -> Option<usize> {
        self.formula
            .as_ref()?
            .phases
            .iter()
            .position(|p| p.lines.contains(&line))
    }

    /// The phase that a line stands in.
    pub fn phase_around(&self, line: u32) -> Option<usize> {
        let f = self.formula.as_ref()?;
        if !matches!(
            self.section_before(line + 1),
            SectionKind::Phase | SectionKind::Premix
        ) {
            return None;
        }
        let headings = f
            .phases
            .iter()
            .enumerate()
            .flat_map(|(n, p)| p.lines.iter().map(move |l| (*l, n)));
        headings.filter(|(l, _)| *l <= line).max().map(|(_, n)| n)
    }
}
