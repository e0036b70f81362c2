//! # Something that is read and not judged
//!
//! Soap from fat and lye is left alone: only its writing, its sum and what the law prohibits are looked at. A batch record or a shelf file that is looked at without its workshop is read for its writing alone.
//!
//! ## Why
//! Silence would look like praise. In soap the lye and the fat are used up: what is weighed in says little of what the soap holds, and how much lye stays over is not worked out here.
//!
//! ## What to do
//! Have the lye of a soap worked out and checked by somebody who makes soap. `phasewright dose` works out the next addition from its readings, `phasewright cost` the price from its lots.

use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::FileKind;
use crate::syntax::tree::Node;
use crate::text::Span;

pub static RULE: Rule = Rule {
    code: "not-judged",
    title: "Something that is read and not judged",
    group: Group::Meta,
    loudest: Severity::Information,
    file: include_str!("not_judged.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let message = match ctx.tree.kind {
        FileKind::Formula if system::is_soap_from_lye(ctx.formula, ctx.kb) => {
            let (line, span) = ctx.heading();
            sink.say(Subject::Formula, line, span, "soap from fat and lye is not checked here: neither its lye nor its fats, neither its pH nor how it keeps")
                .help("Have the lye worked out and checked by somebody who makes soap. Lye burns skin and eyes: goggles and gloves");
            return;
        }
        FileKind::Formula => return,
        FileKind::Batch | FileKind::Stock if ctx.workshop().is_some() => return,
        FileKind::Batch => {
            "only the writing of this record is checked: weights, lots, temperatures and pH are not judged"
        }
        FileKind::Stock => {
            "only the writing of this shelf is checked: amounts left, dates and suppliers are not judged"
        }
    };
    let lines = &ctx.tree.lines;
    let at = lines
        .iter()
        .position(|at| matches!(at.line.node, Node::Heading(_)))
        .unwrap_or_default();
    let end = lines.get(at).map_or(0, |at| {
        let text = at
            .line
            .comment
            .map_or(at.line.text.as_str(), |c| &at.line.text[..c.start as usize]);
        text.trim_end().len()
    });
    sink.say(
        Subject::Line(at as u32),
        at as u32,
        Span::new(0, end),
        message,
    )
    .help("Go over them yourself");
}
