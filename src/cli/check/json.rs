//! `--format json`, as the contract has it. One line a file.

use super::Format;
use super::place::{self, edited, region};
use super::report::{Report, Total};
use crate::chem::date::Date;
use crate::kb::Market;
use crate::rules::{Finding, Severity};
use serde::Serialize;

pub struct Json;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct FoundJson<'a> {
    code: &'a str,
    severity: &'static str,
    message: String,
    #[serde(skip_serializing_if = "str::is_empty")]
    help: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<&'a str>,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    basis: Option<EvidenceJson<'a>>,
    related: Vec<Related<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    excepted: Option<&'a str>,
    fixes: Vec<Fix<'a>>,
}

#[derive(Serialize)]
struct EvidenceJson<'a> {
    kind: crate::kb::schema::SourceKind,
    source: &'a str,
}

#[derive(Serialize)]
struct Related<'a> {
    path: String,
    line: u32,
    column: u32,
    message: &'a str,
}

#[derive(Serialize)]
struct Fix<'a> {
    title: &'a str,
    safe: bool,
    edits: Vec<Edit<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Edit<'a> {
    path: &'a str,
    line: u32,
    column: u32,
    end_line: u32,
    end_column: u32,
    text: &'a str,
}

#[derive(Serialize)]
struct File<'a> {
    path: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
    findings: Vec<FoundJson<'a>>,
}

#[derive(Serialize)]
struct Law {
    market: Market,
    as_of: Date,
}

#[derive(Serialize)]
struct Summary {
    files: usize,
    errors: usize,
    warnings: usize,
    information: usize,
    hints: usize,
    unreadable: usize,
}

impl Format for Json {
    fn begin(&self) -> String {
        "{\"version\":1,\"files\":[\n".into()
    }

    fn between(&self) -> &'static str {
        ",\n"
    }

    fn file(&self, report: &Report) -> String {
        let path = report.shown();
        let error = error(report);
        let findings = report
            .findings
            .iter()
            .map(|f| found(report, &path, f))
            .collect();
        serialized(&File {
            path: &path,
            error,
            findings,
        })
    }

    fn end(&self, total: &Total) -> String {
        let law: Vec<Law> = total
            .law()
            .into_iter()
            .map(|(market, as_of)| Law { market, as_of })
            .collect();
        let summary = Summary {
            files: total.files,
            errors: total.count(Severity::Error),
            warnings: total.count(Severity::Warning),
            information: total.count(Severity::Information),
            hints: total.count(Severity::Hint),
            unreadable: total.unreadable,
        };
        format!(
            "\n],\n\"law\":{},\n\"summary\":{}}}\n",
            serialized(&law),
            serialized(&summary)
        )
    }
}

fn found<'a>(report: &Report, path: &'a str, f: &'a Finding) -> FoundJson<'a> {
    let at = region(&report.source, f.place);
    FoundJson {
        code: f.code,
        severity: f.severity.name(),
        message: f.whole(),
        help: &f.help,
        why: f.why.as_deref(),
        line: at.line,
        column: at.column,
        end_line: at.end_line,
        end_column: at.end_column,
        basis: f.basis.as_ref().map(|b| EvidenceJson {
            kind: b.kind,
            source: &b.source,
        }),
        related: f
            .related
            .iter()
            .map(|r| {
                let (path, line, column) = place::related(report, r);
                Related {
                    path,
                    line,
                    column,
                    message: &r.message,
                }
            })
            .collect(),
        excepted: f.suppression_reason.as_deref(),
        fixes: f
            .fixes
            .iter()
            .map(|fix| Fix {
                title: &fix.title,
                safe: fix.safe,
                edits: fix
                    .edits
                    .iter()
                    .map(|e| {
                        let at = edited(&report.source, e);
                        Edit {
                            path,
                            line: at.line,
                            column: at.column,
                            end_line: at.end_line,
                            end_column: at.end_column,
                            text: &e.text,
                        }
                    })
                    .collect(),
            })
            .collect(),
    }
}

fn error(report: &Report) -> Option<String> {
    report.trouble.as_ref().map(|t| match t.line {
        Some(line) => format!("line {line}: {}", t.what),
        None => t.what.clone(),
    })
}

/// `--format jsonl`: a finding, or a file that cannot be read, on each line.
pub struct JsonLines;

#[derive(Serialize)]
struct OneFound<'a> {
    path: &'a str,
    #[serde(flatten)]
    found: FoundJson<'a>,
}

#[derive(Serialize)]
struct OneUnread<'a> {
    path: &'a str,
    error: String,
}

impl Format for JsonLines {
    fn file(&self, report: &Report) -> String {
        let path = report.shown();
        let mut out = String::new();
        if let Some(error) = error(report) {
            out.push_str(&serialized(&OneUnread { path: &path, error }));
            out.push('\n');
        }
        for f in &report.findings {
            let found = found(report, &path, f);
            out.push_str(&serialized(&OneFound { path: &path, found }));
            out.push('\n');
        }
        out
    }

    fn end(&self, _: &Total) -> String {
        String::new()
    }
}

/// Strings and numbers in structs: this cannot fail.
pub(super) fn serialized(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_default()
}
