//! A batch record at the bench: what to weigh, where the next words of the log go, when it will be cool enough.

use super::Snapshot;
use crate::chem::cooling::{self, Reading};
use crate::chem::units::Amount;
use crate::model::bench::plan;
use crate::model::file_loader::resolve_relative;
use crate::model::settings::temperature;
use crate::model::{FileLoader, Formula, resolve};
use crate::syntax::tree::{Event, FileKind, Heat, LogTime, Measure, Node, SectionKind};
use crate::syntax::{Tree, parse};
use crate::text::Place;
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use std::path::PathBuf;

pub struct Bench {
    pub code: Option<String>,
    /// The formula's file.
    pub formula: Option<PathBuf>,
    pub rows: Vec<BenchRow>,
    /// The last line of the log, behind which the next one is written; none: there is no log.
    pub log_end: Option<u32>,
    /// When what cools may take the next phase.
    pub cool: Option<Cool>,
    /// The log holds a pH: a dose can be asked for.
    pub has_ph: bool,
}

/// A row of `weighed`.
pub struct BenchRow {
    pub name: String,
    /// Grams, as planned.
    pub planned: Option<Decimal>,
    /// Grams, as weighed; none: not yet.
    pub weighed: Option<Decimal>,
    pub lot: Option<String>,
    /// The weight as it is written, `?` where there is none yet.
    pub place: Place,
}

/// The wait for the next phase.
pub struct Cool {
    /// °C that it has to fall to.
    pub celsius: Decimal,
    /// What goes in then.
    pub phase: String,
    /// Minutes after midnight; the error says why it cannot be told.
    pub when: Result<cooling::Time, String>,
}

/// None: this is no batch record.
pub fn bench(s: &Snapshot, loader: &dyn FileLoader) -> Option<Bench> {
    if s.kind != FileKind::Batch {
        return None;
    }
    let (code, written) = plan(&s.tree);
    let path = written.map(|name| resolve_relative(&s.path, &name));
    let formula = path.as_ref().and_then(|path| {
        let tree = parse(FileKind::Formula, &loader.read(path).ok()?);
        Some(resolve(&tree, path, &s.kb, &s.settings, loader))
    });
    let rows = s.tree.lines.iter().zip(0..).filter_map(|(at, line)| {
        let Node::Weighed(row) = &at.line.node else {
            return None;
        };
        Some(BenchRow {
            name: row.name.value.clone(),
            planned: row.planned.and_then(grams),
            weighed: row.actual.and_then(grams),
            lot: row.lot.as_ref().map(|lot| lot.value.clone()),
            place: Place {
                line,
                span: row.actual_span,
            },
        })
    });
    Some(Bench {
        code,
        rows: rows.collect(),
        log_end: log_end(&s.tree),
        cool: formula.as_ref().and_then(|f| cool(&s.tree, f)),
        has_ph: events(&s.tree).any(|(_, event)| matches!(event, Event::Ph { .. })),
        formula: path,
    })
}

fn grams(m: Measure) -> Option<Decimal> {
    Amount::new(m.value, m.unit).grams(None)
}

fn log_end(tree: &Tree) -> Option<u32> {
    let lines = tree.lines.iter().zip(0..);
    let of_log = lines.filter(|(at, _)| at.line.section == SectionKind::Log);
    of_log
        .filter(|(at, _)| !at.line.text.trim().is_empty())
        .last()
        .map(|(_, line)| line)
}

fn events(tree: &Tree) -> impl Iterator<Item = (Option<&LogTime>, &Event)> {
    let lines = tree.lines.iter().filter_map(|at| match &at.line.node {
        Node::Log(line) if at.line.section == SectionKind::Log => Some(line),
        _ => None,
    });
    lines.flat_map(|line| {
        let time = line.time.as_ref().map(|t| &t.value);
        line.events.iter().map(move |event| (time, &event.value))
    })
}

/// The next phase that waits for a temperature, and when that is reached.
fn cool(tree: &Tree, formula: &Formula) -> Option<Cool> {
    let added: BTreeSet<String> = events(tree)
        .filter_map(|(_, event)| match event {
            Event::Add { what, .. } => Some(what.trim().to_lowercase()),
            _ => None,
        })
        .collect();
    let waiting = formula.phases.iter().find_map(|phase| {
        let Heat::Below(at) = phase.heat.as_ref()?.value else {
            return None;
        };
        let is_in = added.contains(&phase.label.to_lowercase());
        (!is_in).then_some((phase, at.celsius))
    });
    let (phase, celsius) = waiting?;
    let readings = falling(tree);
    readings.last()?;
    let room = tree.lines.iter().find_map(|at| match &at.line.node {
        Node::Field(field) if field.key.value == "room" => {
            temperature(&field.value.value).map(crate::chem::float)
        }
        _ => None,
    });
    let target = crate::chem::float(celsius);
    // It is cool enough by the last reading itself.
    if readings.last().is_some_and(|last| last.celsius <= target) {
        return None;
    }
    let when = cooling::fit(&readings, room)
        .and_then(|cooling| cooling.reaches(target))
        .map_err(|refusal| refusal.to_string());
    Some(Cool {
        celsius,
        phase: phase.label.to_string(),
        when,
    })
}

/// The readings of the thermometer since it was hottest, in minutes after midnight.
fn falling(tree: &Tree) -> Vec<Reading> {
    let mut out: Vec<Reading> = Vec::new();
    for (time, event) in events(tree) {
        let (Event::Temperature { at, .. }, Some(LogTime::Clock(minutes))) = (event, time) else {
            continue;
        };
        let reading = Reading {
            minutes: f64::from(*minutes),
            celsius: crate::chem::float(at.celsius),
        };
        if out
            .last()
            .is_some_and(|last| last.celsius <= reading.celsius || last.minutes >= reading.minutes)
        {
            out.clear();
        }
        out.push(reading);
    }
    out
}
