//! # A phase that the method adds twice
//!
//! A step adds a phase that an earlier step has added already.
//!
//! ## Why
//! It was weighed once. Either the step is a leftover, or another phase is meant, which then is missing.
//!
//! ## What to do
//! Name the right phase, or strike the step. What goes in by and by is written as "add C in portions".
//!
//! ```formula,bad
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! method
//!   heat A and B to 75 °C
//!   pour A into B, blend 3 min
//!   cool to 40 °C
//!   add C
//!   stir 5 min
//!   add C
//!   ^^^^^ again
//! ```
//!
//! ```formula,good
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! method
//!   heat A and B to 75 °C
//!   pour A into B, blend 3 min
//!   cool to 40 °C
//!   add C
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Clause, Node};

pub static RULE: Rule = Rule {
    code: "added-twice",
    title: "A phase that the method adds twice",
    group: Group::Method,
    loudest: Severity::Error,
    yields_to: &["unknown-phase"],
    file: include_str!("added_twice.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let never = |p: &usize| ctx.formula.timeline.phases[*p].never && !ctx.formula.phases[*p].premix;
    let missing: Vec<usize> = (0..ctx.formula.phases.len()).filter(never).collect();
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        let history = ctx.formula.timeline.phases[p];
        let (Some(first), Some(again)) = (history.added_line, history.second_addition_line) else { continue };
        let message = format!(
            "phase {} is added again: line {} has added it already",
            phase.label,
            first + 1
        );
        sink.say(Subject::Phase(p), again, ctx.text_span(again), message)
            .help("Name the phase that you mean, or delete this step")
            .related(first, ctx.text_span(first), "added here the first time")
            .fixes(other(ctx, p, again, &missing))
            .fixes(strike(ctx, again));
    }
}

/// The only clause of a step, where it says no more than what goes in.
fn only_clause<'a>(ctx: &Context<'a>, line: u32) -> Option<&'a Clause> {
    match &ctx.tree.lines.get(line as usize)?.line.node {
        Node::Step(step) if step.clauses.len() == 1 => step.clauses.first().filter(|c| c.objects.len() == 1 && c.heat.is_none()),
        _ => None,
    }
}

fn strike(ctx: &Context, line: u32) -> Option<Fix> {
    only_clause(ctx, line).map(|_| Fix::new("Delete this step", vec![Edit::delete_line(line)]))
}

/// The one phase that no step adds is meant.
fn other(ctx: &Context, phase: usize, line: u32, missing: &[usize]) -> Option<Fix> {
    let f = ctx.formula;
    let mut missing = missing.iter().copied().filter(|p| *p != phase);
    let (Some(meant), None) = (missing.next(), missing.next()) else { return None };
    let object = &only_clause(ctx, line)?.objects[0];
    let written = object.value.replacen(f.phases[phase].label.as_str(), &f.phases[meant].label, 1);
    (written != object.value).then(|| Fix::new(format!("Add phase {} instead", f.phases[meant].label), vec![Edit::replace(line, object.span, written)]))
}
