//! `--format text`: for reading. A finding is its fact, its line with the place marked, what to do, what it rests on, and fixes.

use super::Format;
use super::excerpt;
use super::place;
use super::report::{Report, Total};
use crate::cli::out::{Styling, style};
use crate::cli::wrap::wrap;
use crate::rules::{Finding, Severity};

pub struct Text {
    pub paint: Styling,
    pub width: usize,
    /// The closing counts are left out.
    pub quiet: bool,
}

/// Fixes shown for one finding; more would bury it.
const MOST_FIXES: usize = 3;

impl Format for Text {
    fn between(&self) -> &'static str {
        "\n"
    }

    fn file(&self, report: &Report) -> String {
        if report.findings.is_empty() {
            return String::new();
        }
        let p = self.paint;
        let mut out = p.with(style::FILE, excerpt::clean(&report.shown()));
        if let Some(name) = &report.name {
            out.push_str(&p.with(style::DIM, format!("  {}", excerpt::clean(name))));
        }
        out.push('\n');
        // Line numbers of one file stand under each other.
        let gutter = report
            .findings
            .iter()
            .map(|f| f.place.line + 1)
            .max()
            .unwrap_or(1)
            .to_string()
            .len()
            .max(3);
        for f in &report.findings {
            out.push('\n');
            self.finding(report, f, gutter, &mut out);
        }
        out
    }

    fn end(&self, total: &Total) -> String {
        if total.files == 0 || self.quiet {
            return String::new();
        }
        let p = self.paint;
        let counts = [
            (Severity::Error, "error", "errors"),
            (Severity::Warning, "warning", "warnings"),
            (Severity::Information, "information", "information"),
            (Severity::Hint, "hint", "hints"),
        ];
        let said: Vec<String> = counts
            .into_iter()
            .filter(|(s, _, _)| total.count(*s) > 0)
            .map(|(s, one, many)| p.with(style::severity(s), plural(total.count(s), one, many)))
            .collect();
        let any = !said.is_empty();
        let mut out = String::from(if any { "\n" } else { "" });
        out.push_str(&plural(total.files, "file", "files"));
        out.push_str(": ");
        let found = if any {
            said.join(", ")
        } else {
            p.with(style::GOOD, "nothing to object to")
        };
        out.push_str(&found);
        if total.unreadable > 0 {
            out.push_str(&p.with(
                style::severity(Severity::Error),
                format!(", {} not read", total.unreadable),
            ));
        }
        out.push('\n');
        let law: Vec<String> = total
            .law()
            .into_iter()
            .map(|(market, as_of)| format!("{market} {as_of}"))
            .collect();
        if !law.is_empty() {
            out.push_str(&p.with(style::DIM, format!("law as of: {}", law.join(", "))));
            out.push('\n');
        }
        out
    }
}

impl Text {
    fn finding(&self, report: &Report, f: &Finding, gutter: usize, out: &mut String) {
        let p = self.paint;
        let tone = style::severity(f.severity);
        self.head(f, out);

        let line = format!("{:>gutter$}", f.place.line + 1);
        let bar = p.with(style::DIM, "│");
        let shown = excerpt::excerpt(
            report.source.line(f.place.line),
            f.place.span,
            self.width.saturating_sub(gutter + 4),
        );
        if !shown.text.trim().is_empty() {
            out.push_str(&format!(
                "{} {bar} {}\n",
                p.with(style::DIM, &line),
                shown.text
            ));
            out.push_str(&format!(
                "{:gutter$} {bar} {}{}\n",
                "",
                " ".repeat(shown.before),
                p.with(tone, "^".repeat(shown.marks))
            ));
        }

        if !f.help.is_empty() {
            self.note(gutter, "help", style::BOLD, &f.help, out);
        }
        if let Some(why) = &f.why {
            self.note(gutter, "why", style::DIM, why, out);
        }
        if let Some(b) = &f.basis {
            self.note(gutter, b.kind_name(), style::source(b.kind), &b.source, out);
        }
        if let Some(reason) = &f.suppression_reason {
            self.note(gutter, "excepted", style::BOLD, reason, out);
        }
        for r in &f.related {
            let (path, line, _) = place::related(report, r);
            let at = if r.path.is_some() {
                format!("{path}:{line}")
            } else {
                format!("line {line}")
            };
            self.note(
                gutter,
                "see",
                style::DIM,
                &format!("{at}: {}", r.message),
                out,
            );
        }
        for fix in f.fixes.iter().take(MOST_FIXES) {
            self.note(gutter, "fix", style::FIX, &fix.title, out);
        }
        if f.fixes.len() > MOST_FIXES {
            self.note(
                gutter,
                "",
                style::DIM,
                &format!("and {} more", f.fixes.len() - MOST_FIXES),
                out,
            );
        }
    }

    /// `error[code]: message`, wrapped under itself.
    fn head(&self, f: &Finding, out: &mut String) {
        let p = self.paint;
        let lead = format!("{}[{}]:", f.severity.name(), f.code);
        let text = format!("{lead} {}", excerpt::clean(&f.message));
        for line in wrap(&text, self.width, "", "  ") {
            match line.strip_prefix(lead.as_str()) {
                Some(message) => {
                    out.push_str(&p.with(style::severity(f.severity), f.severity.name()));
                    out.push_str(&p.with(style::DIM, format!("[{}]:", f.code)));
                    out.push_str(&p.with(style::BOLD, message));
                }
                None => out.push_str(&p.with(style::BOLD, &line)),
            }
            out.push('\n');
        }
    }

    /// A line next to the bar: a label and its text, wrapped under itself.
    fn note(&self, gutter: usize, label: &str, tone: anstyle::Style, text: &str, out: &mut String) {
        const LABEL: usize = 10;
        let p = self.paint;
        let bar = p.with(style::DIM, "│");
        let room = self.width.saturating_sub(gutter + 3 + LABEL).max(20);
        let text = excerpt::clean(text);
        for (n, line) in wrap(&text, room, "", "").iter().enumerate() {
            let label = if n == 0 { label } else { "" };
            out.push_str(&format!(
                "{:gutter$} {bar} {}{line}\n",
                "",
                p.with(tone, format!("{label:<LABEL$}"))
            ));
        }
    }
}

fn plural(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
