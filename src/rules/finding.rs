//! What a rule finds: where, how bad, in which words, on what it rests, and how to mend it.

use crate::kb::Kb;
use crate::kb::schema::{self, Check, SourceKind};
use crate::text::{Place, Span, with_breaks};
use rust_decimal::Decimal;
use std::borrow::Cow;
use std::path::PathBuf;

/// How bad. The order is from quiet to loud.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    Hint,
    Information,
    Warning,
    Error,
}

impl Severity {
    pub const ALL: [Severity; 4] = [
        Severity::Hint,
        Severity::Information,
        Severity::Warning,
        Severity::Error,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Severity::Hint => "hint",
            Severity::Information => "information",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
    pub fn parse(word: &str) -> Option<Severity> {
        Severity::ALL.into_iter().find(|s| s.name() == word)
    }
}

/// What a finding is about. Findings on one subject may yield to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Subject {
    Formula,
    Row(usize),
    Phase(usize),
    /// A line: a step, a field, a heading.
    Line(u32),
}

/// What a finding rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Basis {
    pub kind: SourceKind,
    /// Title and place, for the maker to look up.
    pub source: String,
}

impl Basis {
    /// The kind of its source, in a word.
    pub fn kind_name(&self) -> &'static str {
        match self.kind {
            SourceKind::Law => "law",
            SourceKind::Published => "published",
            SourceKind::Practice => "practice",
            SourceKind::Memory => "memory",
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Related {
    /// None: the same file.
    pub path: Option<PathBuf>,
    pub place: Place,
    pub message: String,
}

/// Replaces text from one place to another (line from 0, byte in it). A place behind the end of a line stands for its end.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Edit {
    pub start: (u32, u32),
    pub end: (u32, u32),
    pub text: String,
}

impl Edit {
    pub fn replace(line: u32, span: Span, text: impl Into<String>) -> Edit {
        Edit {
            start: (line, span.start),
            end: (line, span.end),
            text: text.into(),
        }
    }
    /// Puts whole lines (each ended by a line break) before this line.
    pub fn insert_before(line: u32, text: impl Into<String>) -> Edit {
        Edit {
            start: (line, 0),
            end: (line, 0),
            text: text.into(),
        }
    }
    /// Writes the line breaks of the text as the file does.
    pub fn break_lines_as(&mut self, line_break: &str) {
        if let Cow::Owned(text) = with_breaks(&self.text, line_break) {
            self.text = text;
        }
    }
    pub fn delete_line(line: u32) -> Edit {
        Edit {
            start: (line, 0),
            end: (line + 1, 0),
            text: String::new(),
        }
    }
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    pub title: String,
    /// Writes what is understood already as the language has it: no word and no meaning changes, so it may be applied to a
    /// whole file at once.
    pub safe: bool,
    pub edits: Vec<Edit>,
}

impl Fix {
    pub fn new(title: impl Into<String>, edits: Vec<Edit>) -> Fix {
        Fix {
            title: title.into(),
            safe: false,
            edits,
        }
    }
    pub fn safe(title: impl Into<String>, edits: Vec<Edit>) -> Fix {
        Fix {
            title: title.into(),
            safe: true,
            edits,
        }
    }
}

/// A level that an amount should keep to, as percent in its row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Level {
    AtMost(Decimal),
    AtLeast(Decimal),
}

impl Level {
    pub(super) fn percent(self) -> Decimal {
        match self {
            Level::AtMost(n) | Level::AtLeast(n) => n,
        }
    }
}

/// What a finding asks of the amount of a row. The engine picks the strictest of all that are asked of one row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Target {
    pub row: usize,
    pub level: Level,
    /// The material as a sentence names it: "it", or the name of the row.
    pub what: String,
    /// What this level is, for other findings that have to name it: "the highest that is usual here".
    pub as_what: &'static str,
    /// Its fix may change another row, so that the whole stays 100 %.
    pub others_too: bool,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    pub code: &'static str,
    pub severity: Severity,
    pub place: Place,
    /// The fact with its numbers, in one line without a full stop.
    pub message: String,
    /// What to do about it.
    pub help: String,
    /// What stands behind the fact, where the fact alone does not say it.
    pub why: Option<String>,
    pub subject: Subject,
    /// Other subjects that this finding answers for: findings there may yield to it too.
    pub(super) covers: Vec<Subject>,
    pub(super) target: Option<Target>,
    pub basis: Option<Basis>,
    pub related: Vec<Related>,
    pub fixes: Vec<Fix>,
    /// The reason of the exception that lowered it.
    pub excepted: Option<String>,
    /// About a part of the text that does nothing: editors may grey it out.
    pub unnecessary: bool,
    /// The loudest that its weakest figure allows.
    pub(super) cap: Severity,
    /// A ban or legal limit: never lowered below a warning.
    pub(super) legal: bool,
}

impl Finding {
    /// A ban or legal limit: an exception lowers it, and it stays.
    pub fn is_legal(&self) -> bool {
        self.legal
    }

    pub(super) fn new(
        code: &'static str,
        severity: Severity,
        subject: Subject,
        place: Place,
        message: String,
    ) -> Finding {
        Finding {
            code,
            severity,
            place,
            message,
            help: String::new(),
            why: None,
            subject,
            covers: Vec::new(),
            target: None,
            basis: None,
            related: Vec::new(),
            fixes: Vec::new(),
            excepted: None,
            unnecessary: false,
            cap: Severity::Error,
            legal: false,
        }
    }

    /// The fact and what to do, in one text.
    pub fn whole(&self) -> String {
        if self.help.is_empty() {
            return self.message.clone();
        }
        [&self.message, ". ", &self.help].concat()
    }
}

/// A figure that a finding rests on: the id of its source, the page, whether the text has to be seen again.
#[derive(Clone, Copy, Debug)]
pub struct RestsOn<'a> {
    pub source: &'a str,
    pub at: Option<&'a str>,
    pub recheck: bool,
}

/// Anything in the knowledge base that names its source.
pub trait Sourced {
    fn rests_on(&self) -> RestsOn<'_>;
}

impl Sourced for RestsOn<'_> {
    fn rests_on(&self) -> RestsOn<'_> {
        *self
    }
}

macro_rules! sourced {
    ($($t:ident),* $(,)?) => { $(impl Sourced for schema::$t {
        fn rests_on(&self) -> RestsOn<'_> {
            RestsOn { source: &self.source, at: self.at.as_deref(), recheck: false }
        }
    })* };
}
sourced!(
    Figure,
    Range,
    Bears,
    UseLevel,
    Constituent,
    Solubility,
    Spectrum,
    Partition,
    Binding,
    Effective,
    Threshold,
    Pair,
    Exposure,
    SkinMaximum
);

macro_rules! sourced_law {
    ($($t:ident),* $(,)?) => { $(impl Sourced for schema::$t {
        fn rests_on(&self) -> RestsOn<'_> {
            RestsOn { source: &self.source, at: self.at.as_deref(), recheck: self.check == Check::Recheck }
        }
    })* };
}
sourced_law!(Limit, Ban, Allergen, Colour, Warning, Medicine, Duty);

/// The title of a source with the place in it, as messages and cards show it.
pub fn cite(kb: &Kb, source: &str, at: Option<&str>) -> String {
    let title = kb.source(source).map_or(source, |s| s.title.as_str());
    match at {
        Some(at) => [title, ", ", at].concat(),
        None => title.to_owned(),
    }
}

/// Collects the findings of one rule.
pub struct Sink<'a> {
    code: &'static str,
    loudest: Severity,
    kb: &'a Kb,
    out: &'a mut Vec<Finding>,
    /// Where in the list its own begin.
    from: usize,
}

impl<'a> Sink<'a> {
    /// Adds to a list.
    pub(super) fn new(
        code: &'static str,
        loudest: Severity,
        kb: &'a Kb,
        out: &'a mut Vec<Finding>,
    ) -> Self {
        let from = out.len();
        Sink {
            code,
            loudest,
            kb,
            out,
            from,
        }
    }

    /// What the rule has said so far.
    pub fn all(&mut self) -> &mut [Finding] {
        &mut self.out[self.from..]
    }

    /// The code of the rule that speaks.
    pub fn code(&self) -> &'static str {
        self.code
    }

    /// A finding at the rule's loudest, by its fact; what to do comes next, then what narrows it.
    pub fn say(
        &mut self,
        subject: Subject,
        line: u32,
        span: Span,
        message: impl Into<String>,
    ) -> Fact<'_> {
        self.out.push(Finding::new(
            self.code,
            self.loudest,
            subject,
            Place { line, span },
            message.into(),
        ));
        let last = self.out.len() - 1;
        Fact(Saying {
            kb: self.kb,
            finding: &mut self.out[last],
        })
    }
}

/// A fact that does not say yet what to do.
#[must_use = "a finding says what to do: call `help`"]
pub struct Fact<'a>(Saying<'a>);

impl<'a> Fact<'a> {
    /// What to do, as a sentence without a full stop. With `ask`, another way out in lower case, or nothing.
    pub fn help(self, help: impl Into<String>) -> Saying<'a> {
        self.0.finding.help = help.into();
        self.0
    }
}

/// A finding being put together.
pub struct Saying<'a> {
    kb: &'a Kb,
    finding: &'a mut Finding,
}

impl Saying<'_> {
    pub fn level(self, severity: Severity) -> Self {
        self.finding.severity = severity;
        self
    }

    /// Asks for a level. What to do is written by the engine; `help` then holds another way out, in lower case.
    pub(super) fn ask(self, target: Option<Target>) -> Self {
        self.finding.target = target;
        self
    }

    /// What stands behind the fact.
    pub fn why(self, why: impl Into<Option<String>>) -> Self {
        self.finding.why = why.into();
        self
    }

    /// A figure that it rests on. The weakest one is shown and caps the severity.
    pub fn rests_on(self, what: &impl Sourced) -> Self {
        let r = what.rests_on();
        let kind = self
            .kb
            .source(r.source)
            .map_or(SourceKind::Memory, |s| s.kind);
        let cap = match kind {
            SourceKind::Memory => Severity::Hint,
            SourceKind::Law | SourceKind::Published if !r.recheck => Severity::Error,
            _ => Severity::Warning,
        };
        if self.finding.basis.is_none() || cap < self.finding.cap {
            let mut source = cite(self.kb, r.source, r.at);
            if r.recheck {
                source.push_str("; to be looked up again");
            }
            self.finding.basis = Some(Basis { kind, source });
        }
        self.finding.cap = self.finding.cap.min(cap);
        self
    }

    /// A row of law: shown with the date of its text, lowered to no less than a warning.
    pub fn law(self, law: &crate::kb::law::Law, row: &impl Sourced) -> Self {
        let s = self.rests_on(row);
        if let Some(b) = &mut s.finding.basis {
            b.source = format!("{}; {} text as of {}", b.source, law.market, law.as_of);
        }
        s.finding.legal = true;
        s
    }

    pub fn related(self, line: u32, span: Span, message: impl Into<String>) -> Self {
        self.finding.related.push(Related {
            path: None,
            place: Place { line, span },
            message: message.into(),
        });
        self
    }

    pub fn fix(self, fix: Fix) -> Self {
        self.finding.fixes.push(fix);
        self
    }

    pub fn fixes(self, fixes: impl IntoIterator<Item = Fix>) -> Self {
        self.finding.fixes.extend(fixes);
        self
    }

    pub fn covers(self, subjects: impl IntoIterator<Item = Subject>) -> Self {
        self.finding.covers.extend(subjects);
        self
    }

    pub fn unnecessary(self) -> Self {
        self.finding.unnecessary = true;
        self
    }
}
