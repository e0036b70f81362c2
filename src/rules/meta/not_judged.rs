//! # A record that is read and not judged
//!
//! A batch record or a shelf file is read for its writing alone.
//!
//! ## Why
//! Silence would look like praise. Weights, lots, dates, temperatures and pH that stand in a record are not held against the formula or the shelf yet.
//!
//! ## What to do
//! Go over the record yourself. `phasewright dose` works out the next addition from its readings, `phasewright cost` the price from its lots.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::FileKind;
use crate::syntax::tree::Node;
use crate::text::Span;

pub static RULE: Rule = Rule {
    code: "not-judged",
    title: "A record that is read and not judged",
    group: Group::Meta,
    loudest: Severity::Information,
    yields_to: &[],
    file: include_str!("not_judged.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    let message = match ctx.tree.kind {
        FileKind::Formula => return,
        FileKind::Batch if ctx.workshop().is_some() => {
            "how long the phases were held and how fast they cooled is not judged in a record, nor what a complaint asks of you"
        }
        FileKind::Stock if ctx.workshop().is_some() => {
            "counts that differ and how long a lot has been open are not judged on a shelf"
        }
        FileKind::Batch => {
            "only the writing of this record is checked: weights, lots, temperatures and pH are not judged"
        }
        FileKind::Stock => {
            "only the writing of this shelf is checked: amounts left, dates and suppliers are not judged"
        }
    };
    let lines = &ctx.tree.lines;
    let at = lines.iter().position(|at| matches!(at.line.node, Node::Heading(_))).unwrap_or_default();
    let end = lines.get(at).map_or(0, |at| {
        let text = at.line.comment.map_or(at.line.text.as_str(), |c| &at.line.text[..c.start as usize]);
        text.trim_end().len()
    });
    sink.say(Subject::Line(at as u32), at as u32, Span::new(0, end), message).help("Go over them yourself");
}
