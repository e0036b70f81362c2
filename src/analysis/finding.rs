//! What is said of a formula: where, how bad, in which words, on what it rests, and how to mend it.

use crate::kb::schema::SourceKind;
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
pub struct Evidence {
    pub kind: SourceKind,
    /// Title and place, for the maker to look up.
    pub source: String,
}

impl Evidence {
    /// The kind of its source, in a word.
    pub fn kind_name(&self) -> &'static str {
        match self.kind {
            SourceKind::Law => "law",
            SourceKind::Published => "published",
            SourceKind::Practice => "practice",
            SourceKind::Unsourced => "memory",
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
pub enum Level {
    AtMost(Decimal),
    AtLeast(Decimal),
}

impl Level {
    pub fn percent(self) -> Decimal {
        match self {
            Level::AtMost(n) | Level::AtLeast(n) => n,
        }
    }
}

/// What a finding asks of the amount of a row. The engine picks the strictest of all that are asked of one row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
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
    pub covers: Vec<Subject>,
    pub target: Option<Target>,
    pub basis: Option<Evidence>,
    pub related: Vec<Related>,
    pub fixes: Vec<Fix>,
    /// The reason of the exception that lowered it.
    pub suppression_reason: Option<String>,
    /// About a part of the text that does nothing: editors may grey it out.
    pub unnecessary: bool,
    /// The loudest that its weakest figure allows.
    pub severity_cap: Severity,
    /// A ban or legal limit: never lowered below a warning.
    pub is_legal: bool,
}

impl Finding {
    pub fn new(
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
            suppression_reason: None,
            unnecessary: false,
            severity_cap: Severity::Error,
            is_legal: false,
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
