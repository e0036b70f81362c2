//! # A phase with nothing in it
//!
//! A phase heading has no rows under it.
//!
//! ## Why
//! It is a leftover, or its rows stand under another heading.
//!
//! ## What to do
//! Remove the heading, or write its rows.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! phase B
//! ^^^^^^^ nothing
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Node, Section};
use std::collections::HashSet;

pub static RULE: Rule = Rule {
    code: "empty-phase",
    title: "A phase with nothing in it",
    group: Group::Arithmetic,
    loudest: Severity::Hint,
    file: include_str!("empty_phase.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let holding = holding(ctx);
    for (n, phase) in ctx.formula.phases.iter().enumerate() {
        if !phase.rows.is_empty() || phase.lines.iter().any(|l| holding.contains(l)) {
            continue;
        }
        let Some(line) = phase.lines.first().copied() else { continue };
        let name = if phase.label.is_empty() { "this phase".to_owned() } else { format!("phase {}", phase.label) };
        let fix = Fix::new("Remove the heading", phase.lines.iter().map(|l| Edit::delete_line(*l)).collect());
        sink.say(Subject::Phase(n), line, ctx.text_span(line), format!("nothing is in {name}")).help("Remove the heading, or write its rows").unnecessary().fix(fix);
    }
}

/// The headings with lines under them: those that could not be read may be rows, and comments are somebody's thoughts.
fn holding(ctx: &Context) -> HashSet<u32> {
    let lines = &ctx.tree.lines;
    let written = |n: &u32| lines.get(*n as usize).is_some_and(|at| !matches!(at.line.node, Node::Blank));
    let holds = |s: &&Section| s.heading.is_some_and(|h| (s.first.max(h + 1)..s.end).any(|n| written(&n)));
    ctx.tree.sections.iter().filter(holds).filter_map(|s| s.heading).collect()
}
