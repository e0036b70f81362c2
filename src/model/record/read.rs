//! From the lines of a batch file to its records.

use super::{
    Actual, Added, Cleaned, Decided, DecisionKind, Filled, Heard, LogEvent, Packaging, Record,
    Weighed, What,
};
use crate::chem::units::{Amount, Unit};
use crate::kb::Kb;
use crate::model::StockItem;
use crate::syntax::tree::{
    Event, FieldValue, Heading, Heat, LogTime, Measure, Node, Packs, SectionKind, Tree,
};
use crate::syntax::values;
use crate::text::Spanned;
use rust_decimal::Decimal;
use std::path::Path;

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
            after_opening: None,
            decisions: Vec::new(),
            sealed: None,
            void: false,
            weighed: Vec::new(),
            added: Vec::new(),
            cleaned: Vec::new(),
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
                let item = StockItem::of(&row.name.value, row.file, &self.path, kb);
                let density = item.density(kb);
                let actual = actual(row.actual, faulty, density);
                self.weighed.push(Weighed {
                    line,
                    name: row.name.clone(),
                    item,
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
            "room" => {
                if let Ok(Heat::At(t)) = values::heat(value) {
                    self.room_c = Some(t.celsius);
                }
            }
            "by" => self.by = text(),
            "checked" => self.checked = text(),
            "equipment" => self.equipment = text(),
            "after opening" => self.after_opening = text(),
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
                        let item = StockItem::of(what, false, &self.path, kb);
                        let grams = grams(*m, item.density(kb));
                        self.added.push(Added {
                            line,
                            span,
                            name: what.clone(),
                            item,
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
                Event::Clean { what, with, lot } => {
                    self.cleaned.push(Cleaned {
                        line,
                        what: what.clone(),
                        name: with.clone(),
                        item: StockItem::of(with, false, &self.path, kb),
                        lot: lot.clone(),
                    });
                    What::Other
                }
                Event::Ph {
                    value,
                    upper,
                    how,
                    sample: false,
                } => What::Ph {
                    value: *value,
                    upper: *upper,
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
