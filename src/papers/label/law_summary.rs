//! What the law tables of one market say against the formula, in a line that promises nothing.

use crate::kb::Market;
use crate::kb::law::Law;
use crate::kb::schema::SourceKind;
use crate::papers::{FormulaContext, ReportDiagnostic};
use crate::rules::Severity;

/// The findings that rest on law, judged only for this market.
pub fn objections(work: &FormulaContext, market: Market) -> Vec<ReportDiagnostic> {
    let judged = work.analysis.for_markets(&[market]);
    let legal = |f: &&crate::rules::Finding| {
        f.severity >= Severity::Warning
            && f.basis.as_ref().is_some_and(|b| b.kind == SourceKind::Law)
    };
    judged
        .findings()
        .iter()
        .filter(legal)
        .map(|f| ReportDiagnostic {
            severity: f.severity.name(),
            code: f.code,
            line: f.place.line + 1,
            message: f.whole(),
        })
        .collect()
}

pub fn line(law: &Law, objections: &[ReportDiagnostic], has_unknown: bool) -> String {
    let so_far = if has_unknown {
        ", as far as the materials are known"
    } else {
        ""
    };
    match objections.len() {
        0 => format!(
            "No listed limit exceeded{so_far} (data as of {}).",
            law.as_of
        ),
        1 => format!(
            "1 finding against the law tables{so_far} (data as of {}).",
            law.as_of
        ),
        n => format!(
            "{n} findings against the law tables{so_far} (data as of {}).",
            law.as_of
        ),
    }
}
