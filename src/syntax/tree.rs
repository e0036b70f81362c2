//! What a file says, line by line. Spans are bytes inside their line, so a line's node is the same wherever the line stands.

mod method;
mod record;

pub use method::{Clause, Step, Verb};
pub use record::{
    Complaint, Event, LedgerAmount, LedgerLine, LedgerVerb, LedgerWay, LogLine, LogTime,
    Observation, Packaging, Packs, Weighed, WeightReading,
};

use crate::chem::units::Unit;
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::sync::Arc;

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FileKind {
    Formula,
    Batch,
    Stock,
}

/// What section a line stands in. It decides how the line is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SectionKind {
    /// Before the first heading.
    Top,
    Formula,
    Phase,
    Premix,
    Method,
    Notes,
    Batch,
    Weighed,
    Log,
    Observations,
    /// What was filled, kept back and spoilt; jars and labels by the piece.
    Packed,
    /// What was heard of the product.
    Complaints,
    Lot,
    /// What became of jars and lots.
    Ledger,
    /// After a heading that no keyword is near to: its lines are kept and draw no messages.
    Unknown,
}

/// A whole file.
#[derive(Clone, Debug)]
pub struct Tree {
    pub kind: FileKind,
    pub lines: Vec<LineAt>,
    pub sections: Vec<Section>,
    /// The first line break of the file, which everything written into it uses; LF where it has none.
    pub line_break: &'static str,
    /// Lines whose heading is missing above them; the message about them is given once.
    pub(super) strays: usize,
}

/// A line and where it begins in the file (bytes).
#[derive(Clone, Debug)]
pub struct LineAt {
    pub start: usize,
    pub line: Arc<Line>,
}

/// A run of lines under one heading (the heading included).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    pub kind: SectionKind,
    /// Line of the heading; none for what stands before the first.
    pub heading: Option<u32>,
    pub first: u32,
    /// Exclusive.
    pub end: u32,
}

/// One line, without its line break.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    pub text: String,
    pub section: SectionKind,
    pub node: Node,
    /// The trailing or whole-line comment, with its `#`.
    pub comment: Option<Span>,
    pub exception: Option<Exception>,
    /// Values that stood here before: `, was 125.0 g (misread)`.
    pub corrections: Vec<Correction>,
    pub errors: Vec<SyntaxError>,
}

/// `# except CODE: reason`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Exception {
    pub code: Spanned<String>,
    /// Empty where no reason is given.
    pub reason: Spanned<String>,
    pub span: Span,
}

/// `, was OLD (reason)` behind a figure or a lot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Correction {
    /// As it was written.
    pub old: Spanned<String>,
    /// Empty where none is given.
    pub reason: Spanned<String>,
    /// From the comma to the end.
    pub span: Span,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    Blank,
    Comment,
    Heading(Heading),
    Field(Field),
    Row(Row),
    Step(Step),
    /// Free text under `notes`, or under `observations` what has no day.
    Note,
    Weighed(Weighed),
    Log(LogLine),
    Observation(Observation),
    Packs(Packs),
    Packaging(Packaging),
    Ledger(LedgerLine),
    Complaint(Complaint),
    /// A line that cannot be read; `errors` says why.
    Broken,
    /// A line of an unknown section.
    Kept,
}

/// The code of the rule under which an error of reading is reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ErrorCode {
    Syntax,
    MissingAmount,
    AmbiguousNumber,
    UnknownUnit,
    UnknownField,
}

/// What is wrong inside one line: where, what, and ways out.
#[derive(Clone, Debug, PartialEq)]
pub struct SyntaxError {
    pub code: ErrorCode,
    pub span: Span,
    /// The fact, in one line without a full stop.
    pub message: String,
    /// What to do about it, as a sentence without a full stop.
    pub help: String,
    pub fixes: Vec<LineFix>,
}

impl SyntaxError {
    /// `said`: the fact, and what to do on a line of its own. Nothing that is quoted from a line holds a line break.
    pub fn new(code: ErrorCode, span: Span, said: &str, fixes: Vec<LineFix>) -> SyntaxError {
        let (fact, help) = said.split_once('\n').unwrap_or((said, ""));
        SyntaxError {
            code,
            span,
            message: fact.to_owned(),
            help: help.to_owned(),
            fixes,
        }
    }

    /// The fact and what to do, in one text.
    pub fn whole(&self) -> String {
        format!("{}. {}", self.message, self.help)
    }
}

/// Replaces a span of the line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineFix {
    pub title: String,
    pub span: Span,
    pub text: String,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Heading {
    Formula {
        name: Option<Spanned<String>>,
    },
    Phase(PhaseHeading),
    Premix(PhaseHeading),
    Method,
    Notes,
    Batch {
        code: Option<Spanned<String>>,
        formula: Option<Spanned<String>>,
        version: Option<Spanned<String>>,
    },
    Weighed,
    Log,
    Observations,
    Packed,
    Complaints,
    Ledger,
    Lot {
        code: Option<Spanned<String>>,
        of: Option<Spanned<String>>,
        of_file: bool,
    },
    /// Not readable; opens the section that its first word is nearest to.
    Broken,
}

#[derive(Clone, Debug, PartialEq, Default)]
pub struct PhaseHeading {
    pub label: Option<Spanned<SmolStr>>,
    pub name: Option<Spanned<SmolStr>>,
    pub heat: Option<Spanned<Heat>>,
    pub dry: bool,
    pub hold_minutes: Option<Spanned<Decimal>>,
    /// Of a premix: the phase that takes it.
    pub into: Option<Spanned<SmolStr>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heat {
    At(Temperature),
    Below(Temperature),
    Above(Temperature),
    Between(Temperature, Temperature),
    Room,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Temperature {
    pub celsius: Decimal,
    /// Written in degrees Fahrenheit.
    pub fahrenheit: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Lower case, single blanks.
    pub key: Spanned<String>,
    pub value: Spanned<String>,
    pub read: FieldValue,
}

/// What the value of a field says, where the language fixes its form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FieldValue {
    /// As it is written; also where it is malformed.
    Words,
    Measure(Measure),
    /// Low and high.
    Ph(Decimal, Decimal),
    Packs(Vec<Pack>),
}

/// `5 x 50 g` of the field `fill`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    pub count: u32,
    pub each: Measure,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// As written, without the quotes of a file.
    pub name: Spanned<SmolStr>,
    /// The name was a quoted file.
    pub file: bool,
    pub amount: Spanned<Amount>,
    /// `as preservative`.
    pub purpose: Option<Spanned<String>>,
}

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measure {
    pub value: Decimal,
    pub unit: Unit,
    pub value_span: Span,
    pub unit_span: Span,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    Measured(Measure),
    /// `q.s.`: fills to 100 % or to a stated total.
    Fill {
        to: Option<Measure>,
    },
    /// `q.s. to pH 5.2`, or `q.s.` with `about`/`at most`: as much as it takes.
    Enough {
        ph: Option<PhTarget>,
        about: Option<Measure>,
        at_most: Option<Measure>,
    },
    /// The line has none.
    Missing,
    /// There is one that cannot be read: the sum is unknown.
    Unreadable,
}

/// The pH of `q.s. to pH 5.2`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhTarget {
    pub value: Decimal,
    pub span: Span,
}
