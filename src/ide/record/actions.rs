//! What can be done about lines of a record: a lot for a row, a row split between two lots, the old value kept.

use super::RecordView;
use super::lot_words::left_words;
use super::weighing::{grams, short};
use crate::ide::actions::{Action, ActionKind};
use crate::model::file_loader::{Disk, FileLoader};
use crate::model::making::Making;
use crate::model::record::{Actual, Weighed};
use crate::rules::Edit;
use crate::syntax::parse;
use crate::syntax::tree::{Event, FileKind, Line, Node};
use crate::text::Span;

/// At the lines, both ends included; the one to offer first stands first.
pub fn actions(view: &RecordView, first_line: u32, last_line: u32) -> Vec<Action> {
    let mut out = Vec::new();
    for making in view.makings() {
        let rows = making.record.weighed.iter();
        for row in rows.filter(|r| (first_line..=last_line).contains(&r.line)) {
            out.extend(split(view, &making, row));
            out.extend(lots(view, &making, row));
        }
        if making.record.sealed.is_some() {
            let lines = making.lines.start.max(first_line)
                ..making.lines.end.min(last_line.saturating_add(1));
            out.extend(keep_old(view, lines));
        }
    }
    out
}

fn quick_fix(title: String, preferred: bool, edits: Vec<Edit>) -> Action {
    Action {
        title,
        kind: ActionKind::QuickFix,
        preferred,
        code: None,
        mends: None,
        edits,
    }
}

/// A row whose lot does not suffice becomes two, one for each lot.
fn split(view: &RecordView, making: &Making, row: &Weighed) -> Option<Action> {
    let short = short(view, making, row)?;
    let other = short.others.iter().find(|u| u.gives >= short.missing)?;
    if short.gives.is_zero() {
        return None;
    }
    let line = view.snapshot.line(row.line)?;
    let Node::Weighed(node) = &line.node else {
        return None;
    };
    let planned = node.planned?;
    let lot = node.lot.as_ref()?;
    let figure = planned.value_span;
    let (here, there) = (grams(short.gives, row), grams(short.missing, row));
    let with = |figure_text: &str, code: &str| {
        let mut text = line.text.clone();
        // From the right, so that the places to the left stay.
        text.replace_range(lot.span.range(), code);
        text.replace_range(figure.range(), figure_text);
        text
    };
    let first = with(&here.to_string(), &lot.value);
    let second = with(&there.to_string(), &other.lot.code);
    let title = format!(
        "Split: {here} g from {}, {there} g from {}",
        lot.value, other.lot.code
    );
    let whole = Span::new(0, line.text.len());
    let edit = Edit::replace(row.line, whole, format!("{first}\n{second}"));
    Some(quick_fix(title, true, vec![edit]))
}

/// Lots for a row that names none, the first to expire first.
fn lots(view: &RecordView, making: &Making, row: &Weighed) -> Vec<Action> {
    if row.lot.is_some() || row.item.is_water(view.kb()) || matches!(row.actual, Actual::Unreadable)
    {
        return Vec::new();
    }
    let Some(line) = view.snapshot.line(row.line) else {
        return Vec::new();
    };
    let end = line.comment.map_or(line.text.len(), |c| c.start as usize);
    let end = line.text[..end].trim_end().len() as u32;
    let usable = view.lots_for(&row.item, view.day_of(making.record));
    let several = usable.len() > 1;
    let offer = |(n, u): (usize, &crate::model::shop::UsableLot)| {
        let first = if n == 0 && (several || u.until.is_some()) {
            ", expires first"
        } else {
            ""
        };
        let title = format!("lot {} ({}{first})", u.lot.code, left_words(view, u));
        let edit = Edit {
            start: (row.line, end),
            end: (row.line, end),
            text: format!("   lot {}", u.lot.code),
        };
        quick_fix(title, n == 0, vec![edit])
    };
    usable.iter().enumerate().map(offer).collect()
}

/// A figure or a lot of a sealed record that differs from the saved file.
fn keep_old(view: &RecordView, lines: std::ops::Range<u32>) -> Vec<Action> {
    let Ok(saved) = Disk.read(&view.snapshot.path) else {
        return Vec::new();
    };
    let saved = parse(FileKind::Batch, &saved);
    // Where lines have come or gone nobody knows which line was which.
    if saved.lines.len() != view.snapshot.tree.lines.len() {
        return Vec::new();
    }
    let of_line = |n: u32| {
        let now = view.snapshot.line(n)?;
        let before = &saved.lines.get(n as usize)?.line;
        (now.text != before.text).then_some(())?;
        let (span, old) = changed(now, before)?;
        let edit = Edit {
            start: (n, span.end),
            end: (n, span.end),
            text: format!(", was {old} (why)"),
        };
        let title = format!("Keep the old value as `was {old}`");
        Some(quick_fix(title, true, vec![edit]))
    };
    lines.filter_map(of_line).collect()
}

/// The first figure or lot that is another one: where it stands now, and what stood there.
fn changed(now: &Line, before: &Line) -> Option<(Span, String)> {
    let (now_values, old_values) = (values(now), values(before));
    if now_values.len() != old_values.len() {
        return None;
    }
    let mut pairs = now_values.into_iter().zip(old_values);
    let (span, old) = pairs.find(|(now_span, old_span)| {
        now.text.get(now_span.range()) != before.text.get(old_span.range())
    })?;
    // A correction that is written already is kept as it is.
    let is_kept = now.corrections.iter().any(|c| c.span.start >= span.end);
    let old = before.text.get(old.range())?.trim().to_owned();
    (!is_kept && !old.is_empty()).then_some((span, old))
}

/// The figures and lots of a line, in their order.
fn values(line: &Line) -> Vec<Span> {
    match &line.node {
        Node::Weighed(w) => {
            let lot = w.lot.as_ref().map(|l| l.span);
            std::iter::once(w.actual_span).chain(lot).collect()
        }
        Node::Log(log) => log
            .events
            .iter()
            .filter_map(|e| match &e.value {
                Event::Ph { .. } => figure_in(&line.text, e.span),
                Event::Yield(m) | Event::Weight { weight: m, .. } => {
                    Some(m.value_span.cover(m.unit_span))
                }
                Event::Add {
                    amount: Some(m), ..
                } => Some(m.value_span.cover(m.unit_span)),
                _ => None,
            })
            .collect(),
        Node::Field(f) => vec![f.value.span],
        _ => Vec::new(),
    }
}

/// The first figure inside a span.
fn figure_in(text: &str, span: Span) -> Option<Span> {
    let inside = text.get(span.range())?;
    let start = inside.find(|c: char| c.is_ascii_digit())?;
    let length = inside[start..]
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
        .unwrap_or(inside.len() - start);
    let start = span.start as usize + start;
    Some(Span::new(start, start + length))
}
