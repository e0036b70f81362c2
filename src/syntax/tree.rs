//! What a file says, line by line. Spans are bytes inside their line, so a line's node is the same wherever the line stands.

use super::values::FieldValue;
use crate::chem::date::Date;
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

/// One line of the method: clauses parted by commas, "and then", "then".
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    pub clauses: Vec<Clause>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verb {
    Weigh,
    Slurry,
    Sprinkle,
    Hydrate,
    Dissolve,
    Melt,
    Grind,
    Sieve,
    Heat,
    Hold,
    TopUp,
    Add,
    Pour,
    Blend,
    Stir,
    Homogenize,
    Neutralize,
    Thicken,
    Cool,
    MeasurePh,
    AdjustPh,
    Fill,
    Mould,
    Rest,
    /// Tools, jars and labels: nothing happens to what is made.
    Tidy,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Clause {
    pub span: Span,
    /// None: not understood, kept as text.
    pub verb: Option<Spanned<Verb>>,
    /// What is acted on, as written: phase labels ("A", "phase C", "both phases", "oil phase") or materials ("lactic acid 10 %").
    pub objects: Vec<Spanned<SmolStr>>,
    /// "into A", "to B".
    pub into: Option<Spanned<SmolStr>>,
    /// "to 75 °C", "when below 40 °C", "at 70-75 °C".
    pub heat: Option<Spanned<Heat>>,
    /// "20 min", "2 to 3 minutes", "24 h": low and high, in minutes.
    pub minutes: Option<Spanned<(Decimal, Decimal)>>,
    /// "to 5.0-5.5", "pH 6.4": low and high.
    pub ph: Option<Spanned<(Decimal, Decimal)>>,
    /// "add 0.60 g lactic acid 10 %".
    pub amount: Option<Measure>,
    /// "with citric acid solution".
    pub with: Option<Spanned<SmolStr>>,
}

/// `glycerin   12.51 g of 12.50 g   lot GLY-07`.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    pub name: Spanned<String>,
    pub file: bool,
    /// None: `?`, not weighed yet.
    pub actual: Option<Measure>,
    pub actual_span: Span,
    pub planned: Option<Measure>,
    pub lot: Option<Spanned<String>>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct LogLine {
    pub time: Option<Spanned<LogTime>>,
    pub events: Vec<Spanned<Event>>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LogTime {
    /// Minutes after midnight.
    Clock(u16),
    /// YYYY-MM-DD, with a clock time where one follows.
    Date(String, Option<u16>),
    /// `+1 d`.
    Day(u32),
}

#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// `A 76 °C`, `48 °C`, `combined at 71 °C`.
    Temperature {
        vessel: Option<String>,
        at: Temperature,
        combined: bool,
    },
    /// `A 190.4 g`, `tare A 210 g`, `gross A 400.4 g`.
    Weight {
        vessel: Option<String>,
        weight: Measure,
        reading: WeightReading,
    },
    /// `add 4.3 g water to A`, `add C`, `add 1.50 g lactic acid 10 % lot LAC-03`;
    /// `add 0.12 g lactic acid 10 % to sample` is no part of the batch.
    Add {
        amount: Option<Measure>,
        what: String,
        into: Option<String>,
        lot: Option<Spanned<String>>,
    },
    /// `pH 5.6 (10 % in water, 22 °C, meter)`; of the sample: `sample pH 5.9`.
    Ph {
        value: Decimal,
        how: Option<String>,
        sample: bool,
    },
    /// `sample 30 g`: taken out of the batch to be tried on.
    Sample(Measure),
    /// `yield 243.1 g`.
    Yield(Measure),
    /// Kept as text.
    Text(String),
}

impl Event {
    /// Whether it went into the sample, not into the batch.
    pub fn is_of_sample(&self) -> bool {
        match self {
            Event::Add {
                into: Some(into), ..
            } => {
                let into = into.trim();
                let name = into
                    .get(..4)
                    .filter(|the| the.eq_ignore_ascii_case("the "))
                    .map_or(into, |_| into[4..].trim());
                name.eq_ignore_ascii_case("sample")
            }
            Event::Ph { sample, .. } => *sample,
            Event::Sample(_) => true,
            _ => false,
        }
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeightReading {
    Net,
    Tare,
    Gross,
}

/// `+28 d  40 °C, no separation`.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    pub time: Option<Spanned<LogTime>>,
    pub events: Vec<Spanned<Event>>,
}

/// `48 x 50 g, 2 kept, 1 spoilt`: how many of which pack; of these, how many are kept back or spoilt.
#[derive(Clone, Debug, PartialEq)]
pub struct Packs {
    pub count: Spanned<u32>,
    pub each: Measure,
    /// The pack as it is written: `50 g`.
    pub pack_span: Span,
    pub kept: u32,
    pub spoilt: u32,
}

/// `amber jar 50 mL  49 pieces of 50  lot JAR-03, 1 torn`.
#[derive(Clone, Debug, PartialEq)]
pub struct Packaging {
    /// Its weights are pieces.
    pub row: Weighed,
    /// Pieces among them that could not be used.
    pub spoilt: u32,
}

/// What happened to jars or to a lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LedgerVerb {
    Sold,
    Back,
    Gave,
    ThrewAway,
    Used,
    Counted,
    Sampled,
    Moved,
}

/// `2026-03-28  sold 24 x 50 g HC-031 to a shop, invoice 2026-017`.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerLine {
    pub date: Spanned<Date>,
    pub verb: Spanned<LedgerVerb>,
    pub amount: LedgerAmount,
    /// Of a lot or of a batch.
    pub code: Spanned<String>,
    /// `to`, `from` or `at`, and whom or where.
    pub place: Option<(LedgerWay, Spanned<String>)>,
    /// What else stands behind a comma.
    pub note: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LedgerWay {
    To,
    From,
    At,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LedgerAmount {
    Packs { count: u32, each: Measure },
    Measure(Measure),
}

/// `2026-05-02  order 1043, 50 g, rash on both hands, not serious`.
#[derive(Clone, Debug, PartialEq)]
pub struct Complaint {
    pub date: Spanned<Date>,
    pub words: Spanned<String>,
    /// `serious` or `not serious`; none where neither is said.
    pub serious: Option<bool>,
}
