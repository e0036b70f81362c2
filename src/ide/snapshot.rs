//! One state of one file with all that is known of it: what every feature reads.

use crate::kb::Kb;
use crate::model::shop::{Facts, Shop};
use crate::model::{Formula, Library, Settings, resolve};
use crate::rules::words::Degrees;
use crate::rules::{Finding, Workshop, is_about_writing, judge, judge_record};
use crate::syntax::tree::{FileKind, Line, SectionKind, Tree};
use crate::text::{Place, Span};
use std::path::{Path, PathBuf};

pub struct Snapshot {
    pub path: PathBuf,
    pub kind: FileKind,
    pub tree: Tree,
    /// Of a formula file.
    pub formula: Option<Formula>,
    pub findings: Vec<Finding>,
    pub kb: Kb,
    pub settings: Settings,
}

impl Snapshot {
    /// Resolves and judges the file.
    pub fn new(
        path: &Path,
        kind: FileKind,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        library: &dyn Library,
    ) -> Snapshot {
        let formula = resolve(&tree, path, kb, settings, library);
        let judged = judge(&tree, formula, kb, settings);
        let (formula, findings) = match kind {
            FileKind::Formula => (Some(judged.formula), judged.findings),
            // Of records and shelves only the writing is judged.
            FileKind::Batch | FileKind::Stock => (
                None,
                judged
                    .findings
                    .into_iter()
                    .filter(|f| is_about_writing(f.code))
                    .collect(),
            ),
        };
        Snapshot {
            path: path.to_owned(),
            kind,
            tree,
            formula,
            findings,
            kb: kb.clone(),
            settings: settings.clone(),
        }
    }

    /// Resolves the file and leaves the rules aside: completion needs no more, and is asked for at every key.
    pub fn unjudged(
        path: &Path,
        kind: FileKind,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        library: &dyn Library,
    ) -> Snapshot {
        let is_formula = kind == FileKind::Formula;
        let formula = is_formula.then(|| resolve(&tree, path, kb, settings, library));
        Snapshot {
            path: path.to_owned(),
            kind,
            tree,
            formula,
            findings: Vec::new(),
            kb: kb.clone(),
            settings: settings.clone(),
        }
    }

    /// Judges a batch or a stock file in its workshop: all batches and lots that belong with it.
    pub fn in_workshop(
        path: &Path,
        tree: Tree,
        kb: &Kb,
        settings: &Settings,
        library: &dyn Library,
        shop: &Shop,
        facts: &Facts,
    ) -> Snapshot {
        let workshop = Workshop::new(shop, facts, path, kb, settings, library);
        Snapshot {
            path: path.to_owned(),
            kind: tree.kind,
            findings: judge_record(&tree, workshop, kb, settings),
            tree,
            formula: None,
            kb: kb.clone(),
            settings: settings.clone(),
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

    /// The markets whose law is shown: `sold in`, else those of the settings.
    pub fn markets(&self) -> &[String] {
        self.formula.as_ref().map_or(&self.settings.markets, |f| {
            crate::model::law::markets(f, &self.settings)
        })
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
