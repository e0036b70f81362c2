//! `--format github`: workflow commands, which a build on that service shows next to the line.

use super::Format;
use super::place::region;
use super::report::{Report, Total};
use crate::rules::Severity;
use std::fmt::Write;

pub struct Github;

impl Format for Github {
    fn file(&self, report: &Report) -> String {
        let mut out = String::new();
        let path = property(&report.shown());
        if let Some(t) = &report.trouble {
            let _ = writeln!(
                out,
                "::error file={path},line={},title=cannot be read::{}",
                t.line.unwrap_or(1),
                data(&t.what)
            );
        }
        for f in &report.findings {
            let command = match f.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
                Severity::Information | Severity::Hint => "notice",
            };
            let at = region(&report.source, f.place);
            let mut message = f.whole();
            if let Some(why) = &f.why {
                let _ = write!(message, "\n{why}");
            }
            if let Some(b) = &f.basis {
                let _ = write!(message, "\n{}: {}", b.kind_name(), b.source);
            }
            let _ = writeln!(
                out,
                "::{command} file={path},line={},endLine={},col={},endColumn={},title={}::{}",
                at.line,
                at.end_line,
                at.column,
                at.end_column,
                property(f.code),
                data(&message)
            );
        }
        out
    }

    fn end(&self, _: &Total) -> String {
        String::new()
    }
}

fn data(text: &str) -> String {
    text.replace('%', "%25")
        .replace('\r', "%0D")
        .replace('\n', "%0A")
}

fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
