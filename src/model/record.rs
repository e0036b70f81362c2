//! A batch as it was made: what was weighed, from which lots, what went in later, what came out.

use super::shelf::Stuff;
use crate::chem::date::Date;
use crate::chem::units::Amount;
use crate::kb::Kb;
use crate::syntax::tree::{Event, Heading, Measure, Node, Tree};
use crate::syntax::values::FieldValue;
use crate::text::Spanned;
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug)]
pub struct Record {
    pub path: PathBuf,
    /// Line of its heading.
    pub line: u32,
    pub code: Option<Spanned<String>>,
    /// The formula's file, as written.
    pub formula: Option<Spanned<String>>,
    pub version: Option<String>,
    pub made: Option<Date>,
    pub target_g: Option<Decimal>,
    pub weighed: Vec<Weighed>,
    /// Additions of the log that name a weight; what went into a sample is none.
    pub added: Vec<Added>,
    /// Taken out as samples and not put back.
    pub sampled_g: Decimal,
    pub yield_g: Option<Decimal>,
}

/// A row of `weighed`.
#[derive(Clone, Debug)]
pub struct Weighed {
    pub line: u32,
    pub name: String,
    pub stuff: Stuff,
    pub actual: Actual,
    pub lot: Option<Spanned<String>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Actual {
    Grams(Decimal),
    /// `?`.
    NotYet,
    /// There is something, and it is no weight.
    Unreadable,
}

/// `add 1.50 g lactic acid 10 %` of the log.
#[derive(Clone, Debug)]
pub struct Added {
    pub line: u32,
    pub name: String,
    pub stuff: Stuff,
    /// None: a volume of something whose density is not known.
    pub grams: Option<Decimal>,
    pub lot: Option<Spanned<String>>,
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
                version: version.as_ref().map(|v| v.value.clone()),
                ..Record::nameless(path, line)
            }),
            node @ (Node::Field(_) | Node::Weighed(_) | Node::Log(_)) => {
                if out.is_empty() {
                    out.push(Record::nameless(path, line));
                }
                if let Some(record) = out.last_mut() {
                    record.take(node, line, !at.line.errors.is_empty(), kb);
                }
            }
            _ => {}
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
            target_g: None,
            weighed: Vec::new(),
            added: Vec::new(),
            sampled_g: Decimal::ZERO,
            yield_g: None,
        }
    }

    fn take(&mut self, node: &Node, line: u32, faulty: bool, kb: &Kb) {
        match node {
            Node::Field(field) => match field.key.value.as_str() {
                "made" => self.made = field.value.value.parse().ok().or(self.made),
                "target" => {
                    if let FieldValue::Measure(m) = field.read {
                        self.target_g = grams(m, None).or(self.target_g);
                    }
                }
                _ => {}
            },
            Node::Weighed(row) => {
                let stuff = Stuff::of(&row.name.value, row.file, &self.path, kb);
                let density = stuff.density(kb);
                let actual = match row.actual {
                    Some(m) => grams(m, density).map_or(Actual::Unreadable, Actual::Grams),
                    None if faulty => Actual::Unreadable,
                    None => Actual::NotYet,
                };
                self.weighed.push(Weighed {
                    line,
                    name: row.name.value.clone(),
                    stuff,
                    actual,
                    lot: row.lot.clone(),
                });
            }
            Node::Log(log) => {
                for event in &log.events {
                    match &event.value {
                        Event::Yield(m) => self.yield_g = grams(*m, None).or(self.yield_g),
                        Event::Sample(m) => {
                            self.sampled_g = self
                                .sampled_g
                                .saturating_add(grams(*m, None).unwrap_or_default())
                        }
                        event if event.is_of_sample() => {}
                        Event::Add {
                            amount: Some(m),
                            what,
                            lot,
                            ..
                        } => {
                            let stuff = Stuff::of(what, false, &self.path, kb);
                            let grams = grams(*m, stuff.density(kb));
                            self.added.push(Added {
                                line,
                                name: what.clone(),
                                stuff,
                                grams,
                                lot: lot.clone(),
                            });
                        }
                        _ => {}
                    }
                }
            }
            _ => {}
        }
    }

    /// All that was taken for it: the rows of `weighed`, then the additions.
    pub fn taken(&self) -> impl Iterator<Item = Taken<'_>> {
        let weighed = self.weighed.iter().map(|w| Taken {
            line: w.line,
            name: &w.name,
            stuff: &w.stuff,
            actual: w.actual,
            lot: w.lot.as_ref().map(|l| l.value.as_str()),
            from_log: false,
        });
        let added = self.added.iter().map(|a| Taken {
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
        let weighed = self.weighed.iter().map(|w| match w.actual {
            Actual::Grams(g) => Some(g),
            Actual::NotYet | Actual::Unreadable => None,
        });
        let sum = weighed
            .chain(self.added.iter().map(|a| a.grams))
            .try_fold(Decimal::ZERO, |sum, g| sum.checked_add(g?))?;
        sum.checked_sub(self.sampled_g)
    }
}

fn grams(m: Measure, density: Option<Decimal>) -> Option<Decimal> {
    Amount::new(m.value, m.unit).grams(density)
}
