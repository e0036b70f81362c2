//! What is printed and filed: weigh sheet, label, cost sheet, card, comparison. Each is plain values first, made from a judged
//! formula; then text for the terminal, HTML for the printer, CSV for tables, JSON for programs.

pub mod card;
pub mod compare;
pub mod cost;
pub mod count;
pub mod dose;
pub mod label;
pub mod letter;
pub mod page;
pub mod plot;
pub mod record;
pub mod sheet;
pub mod standin;
pub mod stickers;
pub mod table;
pub mod year;

use crate::analysis::Analysis;
use crate::analysis::law::LawAssessment;
use crate::kb::Kb;
use crate::model::{Formula, Settings, Total};
use crate::rules::{Finding, Severity};
use crate::syntax::Tree;
use serde::Serialize;
use std::path::Path;

/// A formula on the desk: what every paper is made from.
#[derive(Clone, Copy)]
pub struct FormulaContext<'a> {
    pub analysis: &'a Analysis,
    /// As it is shown.
    pub path: &'a Path,
    pub tree: &'a Tree,
    pub formula: &'a Formula,
    pub findings: &'a [Finding],
    pub kb: &'a Kb,
    pub settings: &'a Settings,
}

/// Why a paper cannot be made: the line, what is wrong, what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CannotRender {
    /// From 0.
    pub line: Option<u32>,
    pub what: String,
}

impl CannotRender {
    pub fn new(what: impl Into<String>) -> CannotRender {
        CannotRender {
            line: None,
            what: what.into(),
        }
    }
    pub fn on(line: u32, what: impl Into<String>) -> CannotRender {
        CannotRender {
            line: Some(line),
            what: what.into(),
        }
    }
}

/// A paper that is made.
pub trait Paper {
    /// For a terminal of so many columns.
    fn text(&self, width: usize) -> String;
    /// A whole page that needs nothing from outside and prints on A4 and Letter.
    fn html(&self) -> String;
    /// Its table, where it has one: the first row names the columns, decimals have a point.
    fn csv(&self) -> Option<String>;
    /// As `docs/schemas` describes it; see [`answer`].
    fn json(&self) -> String;
}

/// A value as the JSON of an answer, the version of its shape in front, one line break at its end.
pub fn answer(value: &impl Serialize) -> String {
    #[derive(Serialize)]
    struct Answer<'a, T> {
        version: u8,
        #[serde(flatten)]
        value: &'a T,
    }
    serde_json::to_string_pretty(&Answer { version: 1, value })
        .expect("papers are structs of plain text and numbers")
        + "\n"
}

/// What the rules say against the formula, carried onto the papers: nobody weighs by a sheet without knowing.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct ReportDiagnostic {
    pub severity: &'static str,
    pub code: &'static str,
    /// From 1.
    pub line: u32,
    pub message: String,
}

impl ReportDiagnostic {
    /// "line 12, error: ... (above-legal-limit)".
    pub fn words(&self) -> String {
        format!(
            "line {}, {}: {} ({})",
            self.line, self.severity, self.message, self.code
        )
    }
}

impl<'a> FormulaContext<'a> {
    /// Judges the formula, unless that has been done.
    pub fn of(analysis: &'a Analysis) -> FormulaContext<'a> {
        FormulaContext {
            analysis,
            path: &analysis.path,
            tree: &analysis.tree,
            formula: &analysis.formula,
            findings: analysis.findings(),
            kb: &analysis.kb,
            settings: &analysis.settings,
        }
    }

    /// What the law of the markets says.
    pub fn law(&self) -> LawAssessment<'a> {
        self.analysis.law()
    }

    /// The path as it is shown: always with `/`.
    pub fn shown_path(&self) -> String {
        let text = self.path.to_string_lossy();
        if std::path::MAIN_SEPARATOR == '/' {
            text.into_owned()
        } else {
            text.replace(std::path::MAIN_SEPARATOR, "/")
        }
    }

    pub fn name(&self) -> String {
        match &self.formula.name {
            Some(name) => name.value.clone(),
            None => self.path.file_stem().map_or_else(
                || "without a name".to_owned(),
                |s| s.to_string_lossy().into_owned(),
            ),
        }
    }

    /// Errors, then warnings, in the order of their lines.
    pub fn objections(&self) -> Vec<ReportDiagnostic> {
        let of = |level: Severity| self.findings.iter().filter(move |f| f.severity == level);
        of(Severity::Error)
            .chain(of(Severity::Warning))
            .map(|f| ReportDiagnostic {
                severity: f.severity.name(),
                code: f.code,
                line: f.place.line + 1,
                message: f.whole(),
            })
            .collect()
    }

    /// A paper about amounts needs them all: the first line that hinders, with the way out.
    pub fn amounts_known(&self) -> Result<(), CannotRender> {
        let f = self.formula;
        if f.rows.is_empty() {
            return Err(CannotRender::on(
                f.heading_line,
                "there are no ingredients yet; write some under a phase",
            ));
        }
        if let Total::Unknown { line } = f.total {
            return Err(CannotRender::on(
                line,
                "this amount cannot be read, so no sum is known; mend the line and try again",
            ));
        }
        match f.rows.iter().find(|r| r.percent.is_none()) {
            Some(row) => Err(CannotRender::on(
                row.line,
                format!(
                    "the share of \"{}\" in the whole is not known; give its amount by weight or in percent",
                    row.name.value
                ),
            )),
            None => Ok(()),
        }
    }
}
