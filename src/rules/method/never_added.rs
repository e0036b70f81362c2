//! # A phase that the method never adds
//!
//! The method makes the product, and this phase stays on the bench.
//!
//! ## Why
//! What is in it, often the preservative, is missing in the jar.
//!
//! ## What to do
//! Add a step for it.
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
//!       ^ never
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//!
//! method
//!   heat A and B to 75 °C
//!   pour A into B, blend 3 min
//!   cool to 40 °C
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

use crate::model::timeline::goes_in_below;
use crate::rules::{Context, Fix, Group, Rule, Severity, Sink, Subject, fixes};
use crate::syntax::tree::{Node, Verb};

pub static RULE: Rule = Rule {
    code: "never-added",
    title: "A phase that the method never adds",
    group: Group::Method,
    loudest: Severity::Error,
    yields_to: &["unknown-phase"],
    file: include_str!("never_added.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        if ctx.formula.timeline.phases[p].never {
            let what = if phase.premix { "premix" } else { "phase" };
            let message = format!("the method never adds {what} {}", phase.label);
            sink.say(Subject::Phase(p), phase.lines[0], phase.label_span, message).help(format!("Write a step that adds {what} {}", phase.label)).fixes(add(ctx, p));
        }
    }
}

/// A step for a phase that goes in cool, before the pH is read and the jars are filled; when a hot one belongs in is the maker's to say.
fn add(ctx: &Context, p: usize) -> Option<Fix> {
    let f = ctx.formula;
    let phase = &f.phases[p];
    let cool = match &phase.heat {
        Some(heat) => Some(goes_in_below(heat.value)?.celsius),
        None => None,
    };
    if phase.premix || phase.label.is_empty() {
        return None;
    }
    let last = |verb: Verb| matches!(verb, Verb::MeasurePh | Verb::AdjustPh | Verb::TopUp | Verb::Fill | Verb::Mould | Verb::Rest);
    let verbs: Vec<(u32, Option<Verb>)> = ctx
        .tree
        .lines
        .iter()
        .enumerate()
        .filter_map(|(n, at)| match &at.line.node {
            Node::Step(s) => Some((n as u32, s.clauses.first().and_then(|c| c.verb.as_ref()).map(|v| v.value))),
            _ => None,
        })
        .collect();
    let ending = verbs.iter().rev().take_while(|(_, v)| v.is_some_and(last)).count();
    let (line, _) = *verbs.get(verbs.len().checked_sub(ending + 1)?)?;
    let mut steps = Vec::new();
    let warm = f.timeline.course.iter().rfind(|(l, _)| *l <= line).map(|(_, c)| *c);
    if let (Some(limit), Some(c)) = (cool, warm)
        && c > limit
    {
        steps.push(format!("cool to {}", ctx.degrees().show(limit)));
    }
    steps.push(format!("add {}", phase.label));
    fixes::after(ctx, line, &steps)
}
