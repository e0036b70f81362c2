//! `# except CODE: reason` silences one rule on one line; on law it lowers to a warning and shows the reason.

use super::engine::is_off;
use super::finding::{Edit, Finding, Fix, Severity, Sink, Subject};
use super::{Context, by_code};
use crate::syntax::tree::{Exception, FileKind, Node, Tree};

/// Applies the exceptions of a file to its findings, and reports those that do nothing or give no reason.
pub(super) fn apply(ctx: &Context, found: &mut Vec<Finding>) {
    let mut said = Vec::new();
    for (n, at) in ctx.tree.lines.iter().enumerate() {
        let Some(e) = &at.line.exception else {
            continue;
        };
        let line = n as u32;
        let target = if matches!(at.line.node, Node::Comment) {
            next_line(ctx.tree, n)
        } else {
            line
        };
        let keeps = ctx.tree.kind != FileKind::Formula;
        let used = lower(e, target, keeps, found);
        report(ctx, e, line, used, &mut said);
    }
    found.extend(said);
}

/// Takes away or lowers what the exception names on its line; whether there was anything.
fn lower(e: &Exception, target: u32, keeps: bool, found: &mut Vec<Finding>) -> bool {
    let mut used = false;
    found.retain_mut(|f| {
        if f.code != e.code.value || f.place.line != target || f.code == "syntax" {
            return true;
        }
        used = true;
        if keeps {
            // In a record the reason explains; it does not silence.
            f.severity = f.severity.min(Severity::Information);
            f.excepted = Some(if e.reason.value.is_empty() {
                "no reason given".into()
            } else {
                e.reason.value.clone()
            });
            return true;
        }
        if f.legal {
            f.severity = f.severity.min(Severity::Warning);
            f.excepted = Some(if e.reason.value.is_empty() {
                "no reason given".into()
            } else {
                e.reason.value.clone()
            });
        }
        f.legal
    });
    used
}

/// An exception alone on its line is about the next line that holds anything.
fn next_line(tree: &Tree, from: usize) -> u32 {
    let after = tree.lines[from + 1..]
        .iter()
        .position(|l| !matches!(l.line.node, Node::Comment | Node::Blank));
    (from + 1 + after.unwrap_or(0)) as u32
}

fn report(ctx: &Context, e: &Exception, line: u32, used: bool, out: &mut Vec<Finding>) {
    if !used && !is_off("exception-unused", ctx.settings) {
        let why = match e.code.value.as_str() {
            "syntax" => "what cannot be read cannot be excepted".to_owned(),
            code if by_code(code).is_none() => format!("no rule has the code \"{code}\""),
            code => format!("nothing here is reported as \"{code}\""),
        };
        Sink::new("exception-unused", Severity::Hint, ctx.kb, out)
            .say(
                Subject::Line(line),
                line,
                e.span,
                format!("this exception does nothing, for {why}; remove it"),
            )
            .unnecessary()
            .fix(Fix::safe(
                "Remove the exception",
                vec![Edit::replace(line, e.span, "")],
            ));
    }
    if used && e.reason.value.is_empty() && !is_off("exception-without-reason", ctx.settings) {
        let message = format!(
            "the exception gives no reason; write one behind it, as in \"# except {}: why\"",
            e.code.value
        );
        Sink::new("exception-without-reason", Severity::Warning, ctx.kb, out).say(
            Subject::Line(line),
            line,
            e.span,
            message,
        );
    }
}
