//! What is shown under the cursor in a record: a code, a weight, a plan, a reading.

use super::code::code_at;
use super::{RecordView, hints, lot_words};
use crate::ide::hover::{Hover, hover as of_text};
use crate::ide::words::text;
use crate::model::making::Making;
use crate::model::record::{Actual, Weighed};
use crate::rules::words::readable;
use crate::syntax::tree::Node;
use crate::text::{Place, Span};
use rust_decimal::Decimal;

pub fn hover(view: &RecordView, line: u32, byte: u32) -> Option<Hover> {
    let (span, said) = match of_code(view, line, byte) {
        Some(found) => found,
        None => match of_figure(view, line, byte) {
            Some(found) => found,
            None => return of_text(view.snapshot, line, byte),
        },
    };
    // What the rules found on the line stands below.
    let found = of_text(view.snapshot, line, byte).map_or(String::new(), |h| h.markdown);
    let gap = if found.is_empty() { "" } else { "\n\n" };
    Some(Hover {
        place: Place { line, span },
        markdown: [&text(&said), gap, &found].concat(),
    })
}

fn of_code(view: &RecordView, line: u32, byte: u32) -> Option<(Span, String)> {
    let (code, span) = code_at(view, line, byte)?;
    let lot = view.shop.lot(&code).map(|lot| lot_words::lot(view, lot));
    let batch = || view.shop.batch(&code).map(|b| lot_words::batch(view, b));
    let said = lot.or_else(batch).filter(|said| !said.is_empty())?;
    Some((span, said))
}

fn of_figure(view: &RecordView, line: u32, byte: u32) -> Option<(Span, String)> {
    let at = byte as usize;
    let making = view.making_on(line)?;
    let l = view.snapshot.line(line)?;
    match &l.node {
        Node::Weighed(w) => {
            let row = making.record.weighed.iter().find(|r| r.line == line)?;
            let planned = w.planned.map(|m| m.value_span.cover(m.unit_span));
            if let Some(span) = planned.filter(|s| s.contains(at)) {
                return Some((span, plan(&making, row)?));
            }
            let span = w.actual_span;
            span.contains(at).then_some(())?;
            Some((span, weight(view, &making, row)?))
        }
        Node::Log(log) => {
            let event = log.events.iter().find(|e| e.span.contains(at))?;
            let words = hints::on_line(view, &making, line)?;
            let tooltip = match words.tooltip.is_empty() {
                true => String::new(),
                false => format!("\n\n{}", words.tooltip),
            };
            Some((event.span, format!("{}{tooltip}", words.text)))
        }
        _ => None,
    }
}

/// "12.51 g of 12.50 g: +0.01 g, 0.1 % over plan".
fn weight(view: &RecordView, making: &Making, row: &Weighed) -> Option<String> {
    let planned = making.planned_g(row)?;
    let Actual::Grams(grams) = row.actual else {
        return hints::on_line(view, making, row.line).map(|w| w.text);
    };
    let off = grams.checked_sub(planned)?;
    if off.is_zero() {
        return Some(format!("{grams} g, as planned"));
    }
    let way = if off > Decimal::ZERO { "over" } else { "under" };
    let percent = off
        .abs()
        .checked_mul(Decimal::ONE_HUNDRED)?
        .checked_div(planned)?
        .round_dp(1);
    let sign = if off > Decimal::ZERO { "+" } else { "" };
    Some(format!(
        "{grams} g of {planned} g: {sign}{off} g, {percent} % {way} plan"
    ))
}

/// Where the plan of a row comes from: "5 % of 250 g; phase A1 of gardeners-hand-cream.formula, line 14".
fn plan(making: &Making, row: &Weighed) -> Option<String> {
    let plan = making.plan?;
    let planned = plan.row(&row.item)?;
    let target = making.record.target_g?;
    let percent = planned.percent?;
    let file = plan.path.file_name()?.to_string_lossy().into_owned();
    let grams = readable(plan.grams(planned, target)?);
    let mut said = format!(
        "{} % of {} g are {grams} g; {file}, line {}",
        readable(percent),
        target.normalize(),
        planned.line + 1
    );
    if row.planned_g.is_some_and(|written| written < grams) {
        said.push_str("; this row is a part of it");
    }
    Some(said)
}
