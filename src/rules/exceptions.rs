//! `# except CODE: reason` silences one rule on one line; on law it lowers to a warning and shows the reason.

use super::finding::{Edit, Finding, Fix, Severity, Sink, Subject};
use super::meta::{exception_unused, exception_without_reason};
use super::{Context, by_code};
use crate::syntax::tree::{Exception, FileKind, Node};
use std::collections::HashMap;

/// Applies the exceptions of a file to its findings, and reports those that do nothing or give no reason.
pub(super) fn apply(ctx: &Context, found: &mut Vec<Finding>) {
    let lines = &ctx.tree.lines;
    if lines.iter().all(|at| at.line.exception.is_none()) {
        return;
    }
    let mut on_line: HashMap<u32, Vec<usize>> = HashMap::new();
    for (n, f) in found.iter().enumerate() {
        on_line.entry(f.place.line).or_default().push(n);
    }
    let mut silenced = vec![false; found.len()];
    let mut said = Vec::new();
    let targets = targets(ctx);
    for (n, at) in lines.iter().enumerate() {
        let Some(e) = &at.line.exception else {
            continue;
        };
        let here = on_line
            .get(&(targets[n] as u32))
            .map_or(&[][..], Vec::as_slice);
        let used = lower(ctx, e, here, found, &mut silenced);
        report(ctx, e, n as u32, used, &mut said);
    }
    let mut silenced = silenced.into_iter();
    found.retain(|_| !silenced.next().unwrap_or_default());
    found.extend(said);
}

/// The line that an exception on each line is about: alone on its line it is about the next one that holds anything.
fn targets(ctx: &Context) -> Vec<usize> {
    let lines = &ctx.tree.lines;
    let mut next = lines.len();
    let mut targets = vec![0; lines.len()];
    for (n, at) in lines.iter().enumerate().rev() {
        let idle = matches!(at.line.node, Node::Comment | Node::Blank);
        targets[n] = if idle { next } else { n };
        if !idle {
            next = n;
        }
    }
    targets
}

/// The lines on which a rule is excepted with a reason, with its code.
pub(super) fn reasons<'t>(ctx: &'t Context<'_>) -> Vec<(u32, &'t str)> {
    let targets = targets(ctx);
    let lines = ctx.tree.lines.iter().enumerate();
    let excepted = lines.filter_map(|(n, at)| Some((n, at.line.exception.as_ref()?)));
    let given = excepted.filter(|(_, e)| !e.reason.value.is_empty());
    given
        .map(|(n, e)| (targets[n] as u32, e.code.value.as_str()))
        .collect()
}

/// Silences or lowers what the exception names among the findings of its line; whether there was anything.
fn lower(
    ctx: &Context,
    e: &Exception,
    here: &[usize],
    found: &mut [Finding],
    silenced: &mut [bool],
) -> bool {
    if by_code(&e.code.value).is_none_or(|rule| !rule.can_be_excepted) {
        return false;
    }
    let mut used = false;
    for n in here {
        let f = &mut found[*n];
        if silenced[*n] || f.code != e.code.value {
            continue;
        }
        used = true;
        // In a record the reason explains; it does not silence.
        let lowered = if ctx.tree.kind != FileKind::Formula {
            Severity::Information
        } else if f.is_legal {
            Severity::Warning
        } else {
            silenced[*n] = true;
            continue;
        };
        f.severity = f.severity.min(lowered);
        f.suppression_reason = Some(if e.reason.value.is_empty() {
            "no reason given".into()
        } else {
            e.reason.value.clone()
        });
    }
    used
}

fn report(ctx: &Context, e: &Exception, line: u32, used: bool, out: &mut Vec<Finding>) {
    if !used && !exception_unused::RULE.is_off(ctx.settings) {
        let why = match e.code.value.as_str() {
            "syntax" => "what cannot be read cannot be excepted".to_owned(),
            code => match by_code(code) {
                None => format!("no rule has the code \"{code}\""),
                Some(rule) if !rule.can_be_excepted => {
                    format!("\"{code}\" cannot be excepted")
                }
                Some(_) => format!("nothing here is reported as \"{code}\""),
            },
        };
        Sink::new(&exception_unused::RULE, ctx.kb, out)
            .say(
                Subject::Line(line),
                line,
                e.span,
                format!("this exception does nothing: {why}"),
            )
            .help("Remove it")
            .unnecessary()
            .fix(Fix::new(
                "Remove the exception",
                vec![Edit::replace(line, e.span, "")],
            ));
    }
    if used && e.reason.value.is_empty() && !exception_without_reason::RULE.is_off(ctx.settings) {
        let help = format!("Write why, as in \"# except {}: why\"", e.code.value);
        Sink::new(&exception_without_reason::RULE, ctx.kb, out)
            .say(
                Subject::Line(line),
                line,
                e.span,
                "the exception gives no reason",
            )
            .help(help);
    }
}
