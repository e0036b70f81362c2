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
use crate::syntax::tree::Node;

pub static RULE: Rule = Rule {
    code: "empty-phase",
    title: "A phase with nothing in it",
    group: Group::Arithmetic,
    loudest: Severity::Hint,
    yields_to: &[],
    file: include_str!("empty_phase.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    for (n, phase) in ctx.formula.phases.iter().enumerate() {
        if !phase.rows.is_empty() || phase.lines.iter().any(|l| holds_lines(ctx, *l)) {
            continue;
        }
        let Some(line) = phase.lines.first().copied() else { continue };
        let name = if phase.label.is_empty() { "this phase".to_owned() } else { format!("phase {}", phase.label) };
        let fix = Fix::safe("Remove the heading", phase.lines.iter().map(|l| Edit::delete_line(*l)).collect());
        sink.say(Subject::Phase(n), line, ctx.text_span(line), format!("nothing is in {name}")).unnecessary().fix(fix);
    }
}

/// Lines under a heading that could not be read may be its rows; comments are somebody's thoughts.
fn holds_lines(ctx: &Context, heading: u32) -> bool {
    ctx.tree
        .sections
        .iter()
        .filter(|s| s.heading == Some(heading))
        .any(|s| (heading + 1..s.end).any(|l| ctx.tree.lines.get(l as usize).is_some_and(|at| !matches!(at.line.node, Node::Blank))))
}
