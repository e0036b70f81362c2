//! From findings to the protocol's diagnostics.

use super::analysis::{AnalysisResult, AnalyzedDocument};
use super::client_capabilities::ClientCapabilities;
use super::convert::Converter;
use super::kinds::SETTINGS;
use super::rule_pages;
use crate::ide::Snapshot;
use crate::rules::{Finding, Severity, by_code, words};
use crate::text::MAX_FILE_BYTES;
use std::path::Path;
use tower_lsp::gen_lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag,
    Location, Position, Range, Uri,
};

/// What the client is told about a document. `uri_of` gives the URI of another file.
pub fn to_diagnostics(
    document: &AnalyzedDocument,
    own_uri: &Uri,
    client: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<Uri>,
) -> Vec<Diagnostic> {
    let to = Converter {
        text: &document.text,
        encoding: client.encoding,
        tree: document.snapshot().map(|s| &s.tree),
    };
    let mut out: Vec<Diagnostic> = match &document.body {
        AnalysisResult::Judged(s) => s
            .findings()
            .iter()
            .map(|f| diagnostic(f, &to, own_uri, client, uri_of))
            .collect(),
        AnalysisResult::Findings(findings) => findings
            .iter()
            .map(|f| diagnostic(f, &to, own_uri, client, uri_of))
            .collect(),
        AnalysisResult::TooLarge => {
            let megabytes = |n: u64| n.div_ceil(1_000_000);
            let message = format!(
                "this text is not checked: {} MB are more than the {} MB that a formula may have",
                megabytes(document.text.len() as u64),
                MAX_FILE_BYTES / 1_000_000
            );
            vec![plain(to.line_range(0, 0), Severity::Information, message)]
        }
        AnalysisResult::Failed => vec![plain(
            to.line_range(0, 0),
            Severity::Warning,
            "the check failed and says nothing; this is a fault of the program, not of the formula"
                .to_owned(),
        )],
        AnalysisResult::Unsupported => Vec::new(),
    };
    if let Some(s) = document.snapshot() {
        out.extend(own_files(s, document, &to, client, uri_of));
    }
    if client.hides_hints
        && let Some(s) = document.snapshot()
    {
        out.extend(hidden_hints(s, &to));
    }
    out
}

/// The settings, own ingredients, batches and stock that this file was judged with, where something is wrong in them: said on the heading,
/// for many editors show nothing about a file that is not open.
fn own_files(
    s: &Snapshot,
    document: &AnalyzedDocument,
    to: &Converter,
    client: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<Uri>,
) -> Vec<Diagnostic> {
    let heading = to.range(s.whole_line(s.formula.as_ref().map_or(0, |f| f.heading_line)));
    let folder = s.path.parent().unwrap_or(Path::new(""));
    let mut out = Vec::new();
    let mut say = |path: &Path, line: Option<u32>, what: String| {
        let code = if path.file_name().is_some_and(|n| n == SETTINGS) {
            Some("settings")
        } else if path.extension().is_some_and(|e| e == "toml") {
            Some("ingredient-file")
        } else {
            None
        };
        let at = Position {
            line: line.unwrap_or(0),
            character: 0,
        };
        let related = uri_of(path)
            .filter(|_| client.related)
            .map(|uri| related(uri, Range { start: at, end: at }, "here".to_owned()));
        out.push(Diagnostic {
            code: code.map(Into::into),
            related_information: related.map(|r| vec![r]),
            ..plain(heading, Severity::Warning, what)
        });
    };
    let project = &document.project;
    let own = project
        .unreadable()
        .map(|(path, why)| (path, why.to_string()));
    let records = document.unreadable.iter();
    let records = records.map(|(path, why)| (path.as_path(), why.clone()));
    for (path, why) in own.chain(records) {
        let name = from_folder(path, folder);
        say(path, None, format!("{name} does not count: {why}"));
    }
    for (path, _, findings) in project.faulty() {
        let Some(first) = findings.first() else {
            continue;
        };
        let more = match findings.len() - 1 {
            0 => String::new(),
            n => format!("; {n} more in this file"),
        };
        let name = from_folder(path, folder);
        let line = first.place.line;
        let what = format!("{name}, line {}: {}{more}", line + 1, first.message);
        say(path, Some(line), what);
    }
    out
}

/// A path as it is seen from the formula's folder, where it lies in it or above.
fn from_folder(path: &Path, folder: &Path) -> String {
    let up = folder
        .ancestors()
        .enumerate()
        .find_map(|(n, f)| Some((n, path.strip_prefix(f).ok()?)));
    match up {
        Some((n, rest)) if n <= 3 => format!("{}{}", "../".repeat(n), rest.display()),
        _ => path.display().to_string(),
    }
}

/// Editors that leave hints out of their list of problems get one entry that names their lines and what they are about.
fn hidden_hints(s: &Snapshot, to: &Converter) -> Option<Diagnostic> {
    let mut about: Vec<(&str, Vec<String>)> = Vec::new();
    let hints = || s.findings().iter().filter(|f| f.severity == Severity::Hint);
    for f in hints() {
        let title = by_code(f.code).map_or(f.code, |rule| rule.title);
        let line = (f.place.line + 1).to_string();
        match about.iter_mut().find(|(known, _)| *known == title) {
            Some((_, lines)) if lines.contains(&line) => {}
            Some((_, lines)) => lines.push(line),
            None => about.push((title, vec![line])),
        }
    }
    let fact = match hints().count() {
        0 => return None,
        1 => "1 hint in the text is not in this list".to_owned(),
        count => format!("{count} hints in the text are not in this list"),
    };
    let about: Vec<String> = about
        .into_iter()
        .map(|(title, lines)| {
            let line = words::by_count(lines.len(), "line", "lines");
            format!("{title} ({line} {})", words::list(&lines))
        })
        .collect();
    let message = format!("{fact}\n{}", about.join("; "));
    let line = s.formula.as_ref().map_or(0, |f| f.heading_line);
    Some(plain(
        to.range(s.whole_line(line)),
        Severity::Information,
        message,
    ))
}

fn plain(range: Range, severity: Severity, message: String) -> Diagnostic {
    Diagnostic {
        range,
        severity: Some(level(severity)),
        source: Some(SOURCE.to_owned()),
        message: message.into(),
        ..Diagnostic::default()
    }
}

fn related(uri: Uri, range: Range, message: String) -> DiagnosticRelatedInformation {
    DiagnosticRelatedInformation {
        location: Location { uri, range },
        message,
    }
}

const SOURCE: &str = "phasewright";

fn level(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::Error,
        Severity::Warning => DiagnosticSeverity::Warning,
        Severity::Information => DiagnosticSeverity::Information,
        Severity::Hint => DiagnosticSeverity::Hint,
    }
}

fn diagnostic(
    f: &Finding,
    to: &Converter,
    own_uri: &Uri,
    client: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<Uri>,
) -> Diagnostic {
    let range = to.range(f.place);
    let behind = behind(f)
        .into_iter()
        .map(|message| related(own_uri.clone(), range, message));
    let others = f.related.iter().filter_map(|r| {
        let (uri, range) = match &r.path {
            None => (own_uri.clone(), to.range(r.place)),
            // The other file's text is not at hand: its line is right in every encoding.
            Some(path) => {
                let at = Position {
                    line: r.place.line,
                    character: 0,
                };
                (uri_of(path)?, Range { start: at, end: at })
            }
        };
        Some(related(uri, range, r.message.clone()))
    });
    let all: Vec<_> = match client.related {
        true => behind.chain(others).collect(),
        false => Vec::new(),
    };
    Diagnostic {
        code: Some(f.code.into()),
        code_description: client
            .rule_pages
            .as_deref()
            .and_then(|folder| rule_pages::uri(folder, f.code))
            .map(|href| CodeDescription { href }),
        tags: (client.tags && f.unnecessary).then(|| vec![DiagnosticTag::Unnecessary]),
        related_information: Some(all).filter(|all| !all.is_empty()),
        ..plain(range, f.severity, message(f, client))
    }
}

/// Two lines: the fact, and what to do or why it is excepted. A client that shows no related information gets the rest too.
fn message(f: &Finding, client: &ClientCapabilities) -> String {
    let mut lines = vec![f.message.clone()];
    match &f.suppression_reason {
        Some(reason) => lines.push(format!("Excepted: {reason}")),
        None => lines.extend(Some(f.help.clone()).filter(|h| !h.is_empty())),
    }
    if !client.related {
        lines.extend(behind(f));
    }
    lines.join("\n")
}

/// What stands behind a finding: why, and what it rests on.
fn behind(f: &Finding) -> Vec<String> {
    let basis = f
        .basis
        .as_ref()
        .map(|b| format!("{}: {}", b.kind_name(), b.source));
    f.why.clone().into_iter().chain(basis).collect()
}
