//! `--format junit`: a suite a file, a case a finding; what is denied is a failure.

use super::Format;
use super::place::region;
use super::report::{Report, Total};
use crate::rules::Severity;
use std::fmt::Write;

pub struct Junit {
    pub deny: Severity,
}

impl Format for Junit {
    fn begin(&self) -> String {
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"phasewright\">\n".into()
    }

    fn file(&self, report: &Report) -> String {
        let path = escaped(&report.shown());
        let failures = report
            .findings
            .iter()
            .filter(|f| f.severity >= self.deny)
            .count();
        let errors = usize::from(report.trouble.is_some());
        let tests = report.findings.len().max(1);
        let mut out = format!(
            "  <testsuite name=\"{path}\" tests=\"{tests}\" failures=\"{failures}\" errors=\"{errors}\">\n"
        );
        if let Some(t) = &report.trouble {
            let _ = writeln!(
                out,
                "    <testcase name=\"read\" classname=\"{path}\"><error message=\"{}\"/></testcase>",
                escaped(&t.what)
            );
        } else if report.findings.is_empty() {
            let _ = writeln!(out, "    <testcase name=\"check\" classname=\"{path}\"/>");
        }
        for f in &report.findings {
            let at = region(&report.source, f.place);
            let mut body = format!(
                "{}:{}:{}: {}: {}",
                report.shown(),
                at.line,
                at.column,
                f.severity.name(),
                f.whole()
            );
            if let Some(b) = &f.basis {
                let _ = write!(body, "\n{}: {}", b.kind_name(), b.source);
            }
            let inner = if f.severity >= self.deny {
                format!(
                    "<failure type=\"{}\" message=\"{}\">{}</failure>",
                    f.severity.name(),
                    escaped(&f.whole()),
                    escaped(&body)
                )
            } else {
                format!("<system-out>{}</system-out>", escaped(&body))
            };
            let _ = writeln!(
                out,
                "    <testcase name=\"{} line {}\" classname=\"{path}\">{inner}</testcase>",
                f.code, at.line
            );
        }
        out.push_str("  </testsuite>\n");
        out
    }

    fn end(&self, _: &Total) -> String {
        "</testsuites>\n".into()
    }
}

/// For text and attributes; characters that XML 1.0 cannot hold become U+FFFD.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("&#10;"),
            '\t' => out.push_str("&#9;"),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}
