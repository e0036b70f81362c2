//! Edits that several quick fixes share.

use super::Context;
use super::finding::{Edit, Fix};
use crate::chem::units::Unit;
use crate::rules::words;
use crate::syntax::tree::{Amount, Node};
use rust_decimal::Decimal;

/// Writes another percentage into a row, where the row is in percent and a `q.s.` takes up the difference.
pub(super) fn set_percent(ctx: &Context, row: usize, percent: Decimal, title: &str) -> Option<Fix> {
    let r = &ctx.formula.rows[row];
    let fills = ctx.formula.rows.iter().any(|r| matches!(r.amount.value, Amount::Fill { .. }));
    match r.amount.value {
        Amount::Measured(m) if m.unit == Unit::Percent && fills && percent > Decimal::ZERO => {
            let shown = words::percent(percent);
            Some(Fix::new(format!("{title} {shown}"), vec![Edit::replace(r.line, r.amount.span, shown)]))
        }
        _ => None,
    }
}

/// A step at the end of the method.
pub(super) fn last_step(ctx: &Context, step: &str) -> Option<Fix> {
    let (line, at) = ctx.tree.lines.iter().enumerate().rfind(|(_, at)| matches!(at.line.node, Node::Step(_)))?;
    let text = &at.line.text;
    let indent = &text[..text.len() - text.trim_start().len()];
    // At the end of the last step: it may be the last line of the file, without a line break.
    let end = (line as u32, text.len() as u32);
    Some(Fix::new(format!("End the method with \"{step}\""), vec![Edit { start: end, end, text: format!("\n{indent}{step}") }]))
}
