//! What the law tables of one market say against the formula, in a line that promises nothing.

use crate::kb::law::Law;
use crate::kb::schema::SourceKind;
use crate::model::fields::Said;
use crate::papers::{Objection, Work};
use crate::rules::{Severity, judge};
use crate::text::Span;

/// The findings that rest on law, judged for this market alone.
pub fn objections(work: &Work, market: &str) -> Vec<Objection> {
    let mut formula = work.formula.clone();
    let (line, span) = formula
        .fields
        .sold_in
        .as_ref()
        .map_or((formula.heading_line, Span::default()), |s| {
            (s.line, s.span)
        });
    formula.fields.sold_in = Some(Said {
        value: vec![market.to_owned()],
        line,
        span,
    });
    let judged = judge(work.tree, formula, work.kb, work.settings);
    let legal = |f: &&crate::rules::Finding| {
        f.severity >= Severity::Warning
            && f.basis.as_ref().is_some_and(|b| b.kind == SourceKind::Law)
    };
    judged
        .findings
        .iter()
        .filter(legal)
        .map(|f| Objection {
            severity: f.severity.name(),
            code: f.code,
            line: f.place.line + 1,
            message: f.whole(),
        })
        .collect()
}

pub fn line(law: &Law, objections: &[Objection], has_unknown: bool) -> String {
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
