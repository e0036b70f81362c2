//! From an open document to what is known of it, and from findings to diagnostics.

use super::convert::Converter;
use super::kinds::{Kind, SETTINGS};
use super::loader::{Loader, Used};
use super::protocol::{CodeDescription, Diagnostic, Location, Position, Range, Related};
use super::rule_pages;
use super::session::ClientCapabilities;
use super::state::Judge;
use super::workshops::Workshop;
use super::workspace::{self, Project};
use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::settings;
use crate::model::shop::Facts;
use crate::rules::{Finding, Severity, by_code, judge_ingredients, judge_settings, words};
use crate::syntax::Tree;
use crate::text::{Document, MAX_FILE_BYTES, read_file};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A longer text is judged beside the loop.
pub const LONG: usize = 64 * 1024;

/// One state of a document and what follows from it.
pub struct AnalyzedDocument {
    pub text: Document,
    pub version: i32,
    pub body: AnalysisResult,
    /// The settings and own ingredients that it was judged with.
    pub project: Arc<Project>,
    /// Other files that were read for it.
    pub used: Vec<Used>,
    /// Batches and stock that belong with it and cannot be read, and why.
    pub unreadable: Vec<(PathBuf, String)>,
}

pub enum AnalysisResult {
    Judged(Box<Snapshot>),
    /// Settings or ingredients.
    Findings(Vec<Finding>),
    TooLarge,
    /// The judgement failed, which is a fault of the program.
    Failed,
    Other,
}

impl AnalyzedDocument {
    pub fn snapshot(&self) -> Option<&Snapshot> {
        match &self.body {
            AnalysisResult::Judged(s) => Some(s),
            _ => None,
        }
    }
}

/// All that a view is made from, taken at one moment.
pub struct AnalysisTask {
    pub path: PathBuf,
    pub kind: Kind,
    pub version: i32,
    pub text: Document,
    pub tree: Arc<Tree>,
    pub too_large: bool,
    pub project: Arc<Project>,
    pub loader: Loader,
    pub judge: Judge,
    /// Of a batch or a stock file.
    pub record: Option<Record>,
}

/// A record's workshop, and what its own text says.
pub struct Record {
    pub workshop: Arc<Workshop>,
    pub facts: Arc<Facts>,
}

impl AnalysisTask {
    pub async fn run(self) -> Arc<AnalyzedDocument> {
        let failed = AnalyzedDocument {
            text: self.text.clone(),
            version: self.version,
            body: AnalysisResult::Failed,
            project: self.project.clone(),
            used: Vec::new(),
            unreadable: Vec::new(),
        };
        let workshop = self.record.as_ref().map(|r| r.workshop.clone());
        if let Some(workshop) = workshop
            && !workshop.ready().await
        {
            return Arc::new(failed);
        }
        if self.text.len() <= LONG {
            return Arc::new(self.work());
        }
        let worked = tokio::task::spawn_blocking(move || self.work()).await;
        Arc::new(worked.unwrap_or(failed))
    }

    fn work(self) -> AnalyzedDocument {
        let body = catch_unwind(AssertUnwindSafe(|| self.body())).unwrap_or_else(|_| {
            eprintln!(
                "phasewright: {}: the judgement failed; this is a fault of the program",
                self.path.display()
            );
            AnalysisResult::Failed
        });
        AnalyzedDocument {
            used: self.loader.used(),
            unreadable: self
                .record
                .as_ref()
                .map_or_else(Vec::new, |r| r.workshop.unreadable()),
            text: self.text,
            version: self.version,
            body,
            project: self.project,
        }
    }

    fn body(&self) -> AnalysisResult {
        match self.kind {
            _ if self.too_large => AnalysisResult::TooLarge,
            Kind::Text(kind) => {
                let tree = Tree::clone(&self.tree);
                let Project { kb, settings, .. } = &*self.project;
                let snapshot = match &self.record {
                    Some(Record { workshop, facts }) => workshop.with_shop(|shop| {
                        Snapshot::in_workshop(
                            &self.path,
                            tree,
                            kb,
                            settings,
                            &self.loader,
                            shop,
                            facts,
                        )
                    }),
                    None => (self.judge)(&self.path, kind, tree, kb, settings, &self.loader),
                };
                AnalysisResult::Judged(Box::new(snapshot))
            }
            Kind::Settings => {
                let (_, faults) = settings::parse(&self.text.to_string(), &workspace::codes());
                AnalysisResult::Findings(judge_settings(&faults))
            }
            Kind::Ingredient => AnalysisResult::Findings(self.ingredient()),
            Kind::Other => AnalysisResult::Other,
        }
    }

    /// The file as it is in the editor, judged among the saved ones.
    fn ingredient(&self) -> Vec<Finding> {
        let text = self.text.to_string();
        let folder = self.path.parent().unwrap_or(Path::new(""));
        let others = workspace::tomls(folder).unwrap_or_default();
        let mut all: Vec<(PathBuf, String)> = others
            .into_iter()
            .filter(|p| *p != self.path)
            .filter_map(|p| read_file(&p).ok().map(|t| (p, t)))
            .collect();
        all.push((self.path.clone(), text.clone()));
        all.sort();
        let (_, faults) = Kb::with_own(&all);
        let mine: Vec<_> = faults.into_iter().filter(|f| f.file == self.path).collect();
        judge_ingredients(&text, &mine)
    }
}

/// What the client is told about a view. `uri_of` gives the URI of another file.
pub fn diagnostics(
    view: &AnalyzedDocument,
    own_uri: &str,
    session: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<String>,
) -> Vec<Diagnostic> {
    let to = Converter {
        text: &view.text,
        encoding: session.encoding,
        tree: view.snapshot().map(|s| &s.tree),
    };
    let mut out: Vec<Diagnostic> = match &view.body {
        AnalysisResult::Judged(s) => s
            .findings
            .iter()
            .map(|f| diagnostic(f, &to, own_uri, session, uri_of))
            .collect(),
        AnalysisResult::Findings(findings) => findings
            .iter()
            .map(|f| diagnostic(f, &to, own_uri, session, uri_of))
            .collect(),
        AnalysisResult::TooLarge => {
            let megabytes = |n: u64| n.div_ceil(1_000_000);
            let message = format!(
                "this text is not checked: {} MB are more than the {} MB that a formula may have",
                megabytes(view.text.len() as u64),
                MAX_FILE_BYTES / 1_000_000
            );
            vec![plain(to.lines(0, 0), Severity::Information, message)]
        }
        AnalysisResult::Failed => vec![plain(
            to.lines(0, 0),
            Severity::Warning,
            "the check failed and says nothing; this is a fault of the program, not of the formula"
                .to_owned(),
        )],
        AnalysisResult::Other => Vec::new(),
    };
    if let Some(s) = view.snapshot() {
        out.extend(own_files(s, view, &to, session, uri_of));
    }
    if session.hides_hints
        && let Some(s) = view.snapshot()
    {
        out.extend(hidden_hints(s, &to));
    }
    out
}

/// The settings, own ingredients, batches and stock that this file was judged with, where something is wrong in them: said on the heading,
/// for many editors show nothing about a file that is not open.
fn own_files(
    s: &Snapshot,
    view: &AnalyzedDocument,
    to: &Converter,
    session: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<String>,
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
        let related = uri_of(path).filter(|_| session.related).map(|uri| Related {
            location: Location {
                uri,
                range: Range { start: at, end: at },
            },
            message: "here".to_owned(),
        });
        out.push(Diagnostic {
            code: code.map(Into::into),
            related_information: related.into_iter().collect(),
            ..plain(heading, Severity::Warning, what)
        });
    };
    let project = &view.project;
    for (path, why) in project.unreadable.iter().chain(&view.unreadable) {
        let name = from_folder(path, folder);
        say(path, None, format!("{name} does not count: {why}"));
    }
    for (path, _, findings) in &project.faulty {
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
    let hints = || s.findings.iter().filter(|f| f.severity == Severity::Hint);
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
        severity: level(severity),
        code: None,
        code_description: None,
        source: SOURCE.into(),
        message,
        tags: Vec::new(),
        related_information: Vec::new(),
    }
}

const SOURCE: &str = "phasewright";

fn level(severity: Severity) -> u8 {
    match severity {
        Severity::Error => 1,
        Severity::Warning => 2,
        Severity::Information => 3,
        Severity::Hint => 4,
    }
}

fn diagnostic(
    f: &Finding,
    to: &Converter,
    own_uri: &str,
    session: &ClientCapabilities,
    uri_of: &dyn Fn(&Path) -> Option<String>,
) -> Diagnostic {
    let range = to.range(f.place);
    let behind = behind(f)
        .into_iter()
        .filter(|_| session.related)
        .map(|message| Related {
            location: Location {
                uri: own_uri.to_owned(),
                range,
            },
            message,
        });
    let related = f
        .related
        .iter()
        .filter(|_| session.related)
        .filter_map(|r| {
            let (uri, range) = match &r.path {
                None => (own_uri.to_owned(), to.range(r.place)),
                // The other file's text is not at hand: its line is right in every encoding.
                Some(path) => {
                    let at = Position {
                        line: r.place.line,
                        character: 0,
                    };
                    (uri_of(path)?, Range { start: at, end: at })
                }
            };
            Some(Related {
                location: Location { uri, range },
                message: r.message.clone(),
            })
        });
    Diagnostic {
        range,
        severity: level(f.severity),
        code: Some(f.code.into()),
        code_description: session
            .rule_pages
            .as_deref()
            .and_then(|folder| rule_pages::uri(folder, f.code))
            .map(|href| CodeDescription { href }),
        source: SOURCE.into(),
        message: message(f, session),
        tags: if session.tags && f.unnecessary {
            vec![1]
        } else {
            Vec::new()
        },
        related_information: behind.chain(related).collect(),
    }
}

/// Two lines: the fact, and what to do or why it is excepted. A client that shows no related information gets the rest too.
fn message(f: &Finding, session: &ClientCapabilities) -> String {
    let mut lines = vec![f.message.clone()];
    match &f.excepted {
        Some(reason) => lines.push(format!("Excepted: {reason}")),
        None => lines.extend(Some(f.help.clone()).filter(|h| !h.is_empty())),
    }
    if !session.related {
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
