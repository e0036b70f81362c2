//! What stands behind a line of a record while it is written. One line has at most one hint.

use super::{HintWords, RecordView, dosing, output, weighing};
use crate::ide::hints::Hint;
use crate::model::making::{CoolEnough, Making, clock};
use crate::syntax::tree::Node;
use rust_decimal::Decimal;

pub fn hints(view: &RecordView, first_line: u32, last_line: u32) -> Vec<Hint> {
    let mut out = Vec::new();
    for making in view.makings() {
        let lines =
            making.lines.start.max(first_line)..making.lines.end.min(last_line.saturating_add(1));
        for line in lines {
            if let Some(words) = on_line(view, &making, line) {
                out.push(Hint {
                    line,
                    byte: end_of(view, line),
                    text: words.text,
                    tooltip: words.tooltip,
                });
            }
        }
    }
    out
}

/// The hint of a line.
pub(super) fn on_line(view: &RecordView, making: &Making, line: u32) -> Option<HintWords> {
    match &view.snapshot.line(line)?.node {
        Node::Weighed(_) => {
            let row = making.record.weighed.iter().find(|w| w.line == line)?;
            weighing::hint(view, making, row)
        }
        Node::Log(log) => dosing::hint(view, making, line, log)
            .or_else(|| vessel(view, making, line))
            .or_else(|| output::yielded(making, line, log))
            .or_else(|| cooling(view, making, line)),
        Node::Packs(_) => output::packed(making, line),
        Node::Observation(o) => output::due(view, making, o),
        _ => None,
    }
}

/// Behind the text, before its comment.
fn end_of(view: &RecordView, line: u32) -> u32 {
    let text = view.snapshot.text(line);
    let comment = view.snapshot.line(line).and_then(|l| l.comment);
    let end = comment.map_or(text.len(), |c| c.start as usize);
    text[..end].trim_end().len() as u32
}

/// What a vessel has lost, and whether it is as it began.
fn vessel(view: &RecordView, making: &Making, line: u32) -> Option<HintWords> {
    let now = making.vessel_on(line)?;
    let gone = now.began_g.checked_sub(now.now_g)?;
    let tolerance = weighing::tolerance(view, None, now.began_g);
    let (began, grams) = (now.began_g, now.now_g);
    let label = &now.label;
    let text = if gone.abs() <= tolerance {
        format!("{label} {grams} g of {began} g: as it began")
    } else if gone < Decimal::ZERO {
        return None;
    } else if now.is_reading {
        format!("{gone} g of water has gone since {began} g: put it back hot")
    } else {
        format!("{label} {grams} g of {began} g: {gone} g still to put back")
    };
    let tooltip = format!("{began} g were weighed into {label}. Only water is taken to have left.");
    Some(HintWords::new(text, tooltip))
}

fn cooling(view: &RecordView, making: &Making, line: u32) -> Option<HintWords> {
    let (kb, settings) = (view.kb(), &view.snapshot.settings);
    let CoolEnough { phase, below, time } = making.cool_enough(line, settings.room_c(kb))?;
    let shown = view.snapshot.degrees().show(below.celsius);
    let text = format!(
        "Below {shown} at {} ({} to {})",
        clock(time.minutes),
        clock(time.earliest),
        clock(time.latest)
    );
    let room = making.record.room_c.unwrap_or_else(|| settings.room_c(kb));
    let tooltip = format!(
        "{phase} goes in below {shown}. By the readings since the phases were combined, in a room of {}, with nobody cooling it. Waxes and butters that set hold it warm for longer.",
        view.snapshot.degrees().show(room)
    );
    Some(HintWords::new(text, tooltip))
}
