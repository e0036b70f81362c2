//! A batch as it was made: what was weighed, from which lots, what went in later, what came out, what became of it.

use super::shelf::Stuff;
use crate::chem::date::Date;
use crate::chem::units::{Amount, Unit};
use crate::kb::Kb;
use crate::syntax::tree::{
    Event, FieldValue, Heading, LogTime, Measure, Node, Packs, SectionKind, Temperature, Tree,
};
use crate::syntax::values::{self, Decision};
use crate::text::{Span, Spanned};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    pub path: PathBuf,
    /// Line of its heading.
    pub line: u32,
    pub code: Option<Spanned<String>>,
    /// The formula's file, as written.
    pub formula: Option<Spanned<String>>,
    pub version: Option<Spanned<String>>,
    pub made: Option<Date>,
    pub made_line: Option<u32>,
    pub by: Option<String>,
    pub checked: Option<String>,
    pub equipment: Option<String>,
    pub room_c: Option<Decimal>,
    pub target_g: Option<Decimal>,
    pub target_line: Option<u32>,
    /// As printed on the jar.
    pub best_before: Option<Date>,
    pub decisions: Vec<Decided>,
    /// Of a sealed record: the text behind `sealed`, and its line.
    pub sealed: Option<(u32, Spanned<String>)>,
    /// The code stays used, and what was made counts for nothing.
    pub void: bool,
    pub weighed: Vec<Weighed>,
    /// Additions of the log that name a weight; what went into a sample is marked.
    pub added: Vec<Added>,
    pub log: Vec<LogEvent>,
    pub observations: Vec<LogEvent>,
    /// Taken out as samples and not put back.
    pub sampled_g: Decimal,
    pub yield_g: Option<Decimal>,
    pub yield_line: Option<u32>,
    pub packs: Vec<Filled>,
    pub packaging: Vec<Packaging>,
    pub complaints: Vec<Heard>,
    /// Lines that could not be read: what they say is missing here.
    pub unread: Vec<u32>,
}

/// A row of `weighed`.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    pub line: u32,
    pub name: Spanned<String>,
    pub stuff: Stuff,
    pub actual: Actual,
    /// The weight as it is written.
    pub actual_span: Span,
    pub planned_g: Option<Decimal>,
    pub lot: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Actual {
    Grams(Decimal),
    Pieces(Decimal),
    /// `?`.
    NotYet,
    /// There is something, and it is no weight.
    Unreadable,
}

/// `add 1.50 g lactic acid 10 % lot LAC-03` of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Added {
    pub line: u32,
    pub span: Span,
    pub name: String,
    pub stuff: Stuff,
    /// None: a volume of something whose density is not known.
    pub grams: Option<Decimal>,
    pub lot: Option<Spanned<String>>,
    /// It went into a sample, not into the batch.
    pub to_sample: bool,
}

/// Something that was taken for a batch: a row of `weighed`, or an addition of the log.
#[derive(Clone, Copy, Debug)]
pub struct Taken<'a> {
    pub line: u32,
    pub name: &'a str,
    pub stuff: &'a Stuff,
    pub actual: Actual,
    pub lot: Option<&'a str>,
    pub from_log: bool,
}

/// An event of the log or an observation, with its line, its place there and its time.
#[derive(Clone, Debug, PartialEq)]
pub struct LogEvent {
    pub line: u32,
    pub span: Span,
    pub time: Option<LogTime>,
    pub time_span: Option<Span>,
    pub what: What,
}

#[derive(Clone, Debug, PartialEq)]
pub enum What {
    Temperature {
        vessel: Option<String>,
        at: Temperature,
        combined: bool,
    },
    Ph {
        value: Decimal,
        how: Option<String>,
    },
    /// A phase or a material went in.
    Added(String),
    Words(String),
    Other,
}

/// `released: 2026-03-20 by Ana` and its like.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decided {
    pub line: u32,
    pub kind: DecisionKind,
    pub decision: Decision,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecisionKind {
    Released,
    Rejected,
    OnHold,
}

impl DecisionKind {
    pub fn of(key: &str) -> Option<DecisionKind> {
        match key {
            "released" => Some(DecisionKind::Released),
            "rejected" => Some(DecisionKind::Rejected),
            "on hold" => Some(DecisionKind::OnHold),
            _ => None,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            DecisionKind::Released => "released",
            DecisionKind::Rejected => "rejected",
            DecisionKind::OnHold => "on hold",
        }
    }
}

/// The decision that holds: the latest day, of one day the last line.
pub fn decided(all: &[Decided], on: Option<Date>) -> Option<&Decided> {
    all.iter()
        .filter(|d| on.is_none_or(|on| d.decision.date <= on))
        .max_by_key(|d| (d.decision.date, d.line))
}

/// Jars of one size.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    pub line: u32,
    /// The pack, as it is written: `50 g`.
    pub pack: String,
    pub each: Measure,
    pub count: u32,
    pub kept: u32,
    pub spoilt: u32,
}

/// Jars or labels by the piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Packaging {
    pub line: u32,
    pub name: Spanned<String>,
    pub pieces: Actual,
    pub planned: Option<Decimal>,
    pub spoilt: u32,
    pub lot: Option<Spanned<String>>,
}

/// A complaint.
#[derive(Clone, Debug, PartialEq)]
pub struct Heard {
    pub line: u32,
    pub date: Date,
    pub words: Spanned<String>,
    pub serious: Option<bool>,
}

/// The batches of a batch file, each under its heading; what stands above the first is one without a code.
pub fn read(tree: &Tree, path: &Path, kb: &Kb) -> Vec<Record> {
    let mut out: Vec<Record> = Vec::new();
    for (n, at) in tree.lines.iter().enumerate() {
        let line = n as u32;
        match &at.line.node {
            Node::Heading(Heading::Batch {
                code,
                formula,
                version,
            }) => out.push(Record {
                code: code.clone(),
                formula: formula.clone(),
                version: version.clone(),
                ..Record::nameless(path, line)
            }),
            Node::Blank | Node::Comment | Node::Heading(_) | Node::Note | Node::Kept => {}
            node => {
                if out.is_empty() {
                    out.push(Record::nameless(path, line));
                }
                if let Some(record) = out.last_mut() {
                    let faulty = !at.line.errors.is_empty();
                    if faulty || matches!(node, Node::Broken) {
                        record.unread.push(line);
                    }
                    record.take(node, line, &at.line.text, at.line.section, faulty, kb);
                }
            }
        }
    }
    out
}

impl Record {
    fn nameless(path: &Path, line: u32) -> Record {
        Record {
            path: path.to_owned(),
            line,
            code: None,
            formula: None,
            version: None,
            made: None,
            made_line: None,
            by: None,
            checked: None,
            equipment: None,
            room_c: None,
            target_g: None,
            target_line: None,
            best_before: None,
            decisions: Vec::new(),
            sealed: None,
            void: false,
            weighed: Vec::new(),
            added: Vec::new(),
            log: Vec::new(),
            observations: Vec::new(),
            sampled_g: Decimal::ZERO,
            yield_g: None,
            yield_line: None,
            packs: Vec::new(),
            packaging: Vec::new(),
            complaints: Vec::new(),
            unread: Vec::new(),
        }
    }

    fn take(
        &mut self,
        node: &Node,
        line: u32,
        text: &str,
        section: SectionKind,
        faulty: bool,
        kb: &Kb,
    ) {
        match node {
            Node::Field(field) => {
                self.field(&field.key.value, &field.value, field.read.clone(), line)
            }
            Node::Weighed(row) => {
                let stuff = Stuff::of(&row.name.value, row.file, &self.path, kb);
                let density = stuff.density(kb);
                let actual = actual(row.actual, faulty, density);
                self.weighed.push(Weighed {
                    line,
                    name: row.name.clone(),
                    stuff,
                    actual,
                    actual_span: row.actual_span,
                    planned_g: row.planned.and_then(|m| grams(m, density)),
                    lot: row.lot.clone(),
                });
            }
            Node::Log(log) => self.events(line, &log.time, &log.events, false, kb),
            Node::Observation(o) => self.events(line, &o.time, &o.events, true, kb),
            Node::Packs(packs) => self.packs.push(filled(packs, line, text)),
            Node::Packaging(p) => self.packaging.push(Packaging {
                line,
                name: p.row.name.clone(),
                pieces: actual(p.row.actual, faulty, None),
                planned: p.row.planned.map(|m| m.value),
                spoilt: p.spoilt,
                lot: p.row.lot.clone(),
            }),
            Node::Complaint(c) => self.complaints.push(Heard {
                line,
                date: c.date.value,
                words: c.words.clone(),
                serious: c.serious,
            }),
            _ => debug_assert!(section != SectionKind::Packed || matches!(node, Node::Broken)),
        }
    }

    fn field(&mut self, key: &str, value: &Spanned<String>, read: FieldValue, line: u32) {
        let text = || Some(value.value.clone()).filter(|v| !v.is_empty());
        match key {
            "made" => {
                self.made = value.value.parse().ok().or(self.made);
                self.made_line = Some(line);
            }
            "target" => {
                if let FieldValue::Measure(m) = read {
                    self.target_g = grams(m, None).or(self.target_g);
                    self.target_line = Some(line);
                }
            }
            "by" => self.by = text(),
            "checked" => self.checked = text(),
            "equipment" => self.equipment = text(),
            "best before" => self.best_before = values::last_day(value).ok(),
            "sealed" => self.sealed = Some((line, value.clone())),
            "void" => self.void = true,
            key => {
                if let (Some(kind), Ok(decision)) = (DecisionKind::of(key), values::decision(value))
                {
                    self.decisions.push(Decided {
                        line,
                        kind,
                        decision,
                    });
                }
            }
        }
    }

    fn events(
        &mut self,
        line: u32,
        time: &Option<Spanned<LogTime>>,
        events: &[Spanned<Event>],
        observed: bool,
        kb: &Kb,
    ) {
        for event in events {
            let span = event.span;
            let to_sample = event.value.is_of_sample();
            let what = match &event.value {
                Event::Yield(m) => {
                    if let Some(g) = grams(*m, None) {
                        self.yield_g = Some(g);
                        self.yield_line = Some(line);
                    }
                    What::Other
                }
                Event::Sample(m) => {
                    let taken = grams(*m, None).unwrap_or_default();
                    self.sampled_g = self.sampled_g.saturating_add(taken);
                    What::Other
                }
                Event::Add {
                    amount, what, lot, ..
                } => {
                    if let Some(m) = amount {
                        let stuff = Stuff::of(what, false, &self.path, kb);
                        let grams = grams(*m, stuff.density(kb));
                        self.added.push(Added {
                            line,
                            span,
                            name: what.clone(),
                            stuff,
                            grams,
                            lot: lot.clone(),
                            to_sample,
                        });
                    }
                    if to_sample {
                        What::Other
                    } else {
                        What::Added(what.clone())
                    }
                }
                Event::Ph {
                    value,
                    how,
                    sample: false,
                } => What::Ph {
                    value: *value,
                    how: how.clone(),
                },
                Event::Temperature {
                    vessel,
                    at,
                    combined,
                } => What::Temperature {
                    vessel: vessel.clone(),
                    at: *at,
                    combined: *combined,
                },
                Event::Text(words) => What::Words(words.clone()),
                _ => What::Other,
            };
            let list = if observed {
                &mut self.observations
            } else {
                &mut self.log
            };
            list.push(LogEvent {
                line,
                span,
                time: time.as_ref().map(|t| t.value.clone()),
                time_span: time.as_ref().map(|t| t.span),
                what,
            });
        }
    }

    /// All that was taken for it: the rows of `weighed`, then the additions.
    pub fn taken(&self) -> impl Iterator<Item = Taken<'_>> {
        let weighed = self.weighed.iter().map(|w| Taken {
            line: w.line,
            name: &w.name.value,
            stuff: &w.stuff,
            actual: w.actual,
            lot: w.lot.as_ref().map(|l| l.value.as_str()),
            from_log: false,
        });
        let added = self.added.iter().filter(|a| !a.to_sample).map(|a| Taken {
            line: a.line,
            name: &a.name,
            stuff: &a.stuff,
            actual: a.grams.map_or(Actual::Unreadable, Actual::Grams),
            lot: a.lot.as_ref().map(|l| l.value.as_str()),
            from_log: true,
        });
        weighed.chain(added)
    }

    /// What was weighed and added, less the samples; none where one of the weights is not known.
    pub fn put_in_g(&self) -> Option<Decimal> {
        let weighed = self.weighed.iter().filter_map(|w| match w.actual {
            Actual::Grams(g) => Some(Some(g)),
            Actual::Pieces(_) => None,
            Actual::NotYet | Actual::Unreadable => Some(None),
        });
        let added = self.added.iter().filter(|a| !a.to_sample);
        let sum = weighed
            .chain(added.map(|a| a.grams))
            .try_fold(Decimal::ZERO, |sum, g| sum.checked_add(g?))?;
        sum.checked_sub(self.sampled_g)
    }

    /// What it gives: what came out, where that is written, else what went in.
    pub fn size_g(&self) -> Option<Decimal> {
        self.yield_g
            .or_else(|| self.put_in_g())
            .filter(|g| *g > Decimal::ZERO)
    }

    /// Its code; empty where it has none.
    pub fn code(&self) -> &str {
        self.code.as_ref().map_or("", |c| &c.value)
    }
}

fn filled(packs: &Packs, line: u32, text: &str) -> Filled {
    let pack = text.get(packs.pack_span.range()).unwrap_or("").trim();
    Filled {
        line,
        pack: pack.split_whitespace().collect::<Vec<_>>().join(" "),
        each: packs.each,
        count: packs.count.value,
        kept: packs.kept,
        spoilt: packs.spoilt,
    }
}

fn actual(m: Option<Measure>, faulty: bool, density: Option<Decimal>) -> Actual {
    match m {
        Some(m) if m.unit == Unit::Piece => Actual::Pieces(m.value),
        Some(m) => grams(m, density).map_or(Actual::Unreadable, Actual::Grams),
        None if faulty => Actual::Unreadable,
        None => Actual::NotYet,
    }
}

fn grams(m: Measure, density: Option<Decimal>) -> Option<Decimal> {
    Amount::new(m.value, m.unit).grams(density)
}
