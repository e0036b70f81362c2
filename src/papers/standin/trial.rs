//! The formula with the other material in it, judged as any formula is.

use crate::kb::{Id, StrengthBasis};
use crate::model::FileLoader;
use crate::model::formula::Material;
use crate::papers::FormulaContext;
use crate::rules::{Finding, Severity, Subject, analyze};
use crate::syntax::{self, FileKind};
use serde::Serialize;

/// Something that the check says.
#[derive(Clone, Debug, Serialize)]
pub struct ReportedFinding {
    pub severity: &'static str,
    pub code: &'static str,
    pub message: String,
}

impl ReportedFinding {
    pub fn words(&self) -> String {
        format!("{}: {} ({})", self.severity, self.message, self.code)
    }
}

pub(super) struct Outcome {
    pub appeared: Vec<ReportedFinding>,
    pub vanished: Vec<ReportedFinding>,
}

impl Outcome {
    pub fn warnings(&self) -> usize {
        self.appeared
            .iter()
            .filter(|s| s.severity == Severity::Warning.name())
            .count()
    }
}

/// Puts `other` in the place of the rows and judges; refused with the reason where that brings an error.
pub(super) fn swap(
    work: &FormulaContext,
    rows: &[usize],
    other: Id,
    loader: &dyn FileLoader,
) -> Result<Outcome, String> {
    let mut lines: Vec<String> = work
        .tree
        .lines
        .iter()
        .map(|at| at.line.text.clone())
        .collect();
    for n in rows {
        let row = &work.formula.rows[*n];
        let (from, to) = (row.name.span.start as usize, row.name.span.end as usize);
        let Some(line) = lines
            .get_mut(row.line as usize)
            .filter(|l| l.is_char_boundary(from) && l.is_char_boundary(to))
        else {
            continue;
        };
        // A strength stays what it was: 10 % of the other in the same water.
        let strength = match &row.material {
            Material::Known {
                strength: Some(s), ..
            } if s.basis == StrengthBasis::ByWeight => format!(" {} %", s.percent.normalize()),
            _ => String::new(),
        };
        line.replace_range(from..to, &format!("{}{strength}", work.kb.name(other)));
    }
    let tree = syntax::parse(FileKind::Formula, &lines.join("\n"));
    let judged = analyze(tree, work.path, work.kb, work.settings, loader);
    // Lines stay where they are, so what stands on the same line with the same code is the same.
    let place = |f: &Finding| match f.subject {
        Subject::Formula => (f.code, None),
        _ => (f.code, Some(f.place.line)),
    };
    let only = |of: &[Finding], without: &[Finding]| -> Vec<ReportedFinding> {
        let louder = |f: &&Finding| {
            !without
                .iter()
                .any(|o| place(o) == place(f) && o.severity >= f.severity)
        };
        let said = |f: &Finding| ReportedFinding {
            severity: f.severity.name(),
            code: f.code,
            message: f.whole(),
        };
        of.iter()
            .filter(|f| f.severity > Severity::Hint)
            .filter(louder)
            .map(said)
            .collect()
    };
    let appeared = only(judged.findings(), work.findings);
    match appeared
        .iter()
        .find(|s| s.severity == Severity::Error.name())
    {
        Some(error) => Err(format!("{} ({})", error.message, error.code)),
        None => Ok(Outcome {
            appeared,
            vanished: only(work.findings, judged.findings()),
        }),
    }
}
