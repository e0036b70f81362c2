//! Steps put into a method.

use crate::rules::words::{self};
use crate::rules::{Context, Edit, Fix};
use crate::syntax::tree::Node;
use rust_decimal::Decimal;

/// A step at the end of the method.
pub(in crate::rules) fn last_step(ctx: &Context, step: &str) -> Option<Fix> {
    let line = ctx
        .tree
        .lines
        .iter()
        .rposition(|at| matches!(at.line.node, Node::Step(_)))? as u32;
    after(ctx, line, &[step.to_owned()]).map(|fix| Fix {
        title: format!("End the method with \"{step}\""),
        ..fix
    })
}

/// Steps behind this one.
pub(in crate::rules) fn after(ctx: &Context, line: u32, steps: &[String]) -> Option<Fix> {
    let at = ctx
        .tree
        .lines
        .get(line as usize)
        .filter(|at| matches!(at.line.node, Node::Step(_)))?;
    let text = &at.line.text;
    // At the end of the line: it may be the last of the file, without a line break.
    let end = (line, text.len() as u32);
    let added: String = steps
        .iter()
        .map(|s| format!("\n{}{s}", indent(text)))
        .collect();
    Some(Fix::new(
        title(steps),
        vec![Edit {
            start: end,
            end,
            text: added,
        }],
    ))
}

fn title(steps: &[String]) -> String {
    format!(
        "Add the step{} \"{}\"",
        words::by_count(steps.len(), "", "s"),
        steps.join("\" and \"")
    )
}

/// Steps before this one.
pub(in crate::rules) fn before(ctx: &Context, line: u32, steps: &[String]) -> Option<Fix> {
    let at = ctx
        .tree
        .lines
        .get(line as usize)
        .filter(|at| matches!(at.line.node, Node::Step(_)))?;
    let text: String = steps
        .iter()
        .map(|s| format!("{}{s}\n", indent(&at.line.text)))
        .collect();
    Some(Fix::new(
        title(steps),
        vec![Edit::insert_before(line, text)],
    ))
}

/// Cools the batch before this step. A step that names a temperature of its own would heat it again.
pub(in crate::rules) fn cool_before(ctx: &Context, line: u32, celsius: Decimal) -> Option<Fix> {
    let Node::Step(step) = &ctx.tree.lines.get(line as usize)?.line.node else {
        return None;
    };
    if step.clauses.iter().any(|c| c.heat.is_some()) {
        return None;
    }
    before(
        ctx,
        line,
        &[format!("cool to {}", ctx.degrees().show(celsius))],
    )
}

fn indent(text: &str) -> &str {
    &text[..text.len() - text.trim_start().len()]
}
