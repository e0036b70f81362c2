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
use rust_decimal::Decimal;
use std::cell::OnceCell;

pub static RULE: Rule = Rule {
    code: "never-added",
    title: "A phase that the method never adds",
    group: Group::Method,
    loudest: Severity::Error,
    yields_to: &["unknown-phase"],
    file: include_str!("never_added.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    // Where the step would go, worked out for the first that needs it.
    let place = OnceCell::new();
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        if ctx.formula.timeline.phases[p].never {
            let what = if phase.premix { "premix" } else { "phase" };
            let message = format!("the method never adds {what} {}", phase.label);
            sink.say(Subject::Phase(p), phase.lines[0], phase.label_span, message).help(format!("Write a step that adds {what} {}", phase.label)).fixes(add(ctx, p, &place));
        }
    }
}

/// A step for a phase that goes in cool; when a hot one belongs in is the maker's to say.
fn add(ctx: &Context, p: usize, place: &OnceCell<Option<Place>>) -> Option<Fix> {
    let phase = &ctx.formula.phases[p];
    let cool = match &phase.heat {
        Some(heat) => Some(goes_in_below(heat.value)?.celsius),
        None => None,
    };
    if phase.premix || phase.label.is_empty() {
        return None;
    }
    let Place { line, warm } = place.get_or_init(|| before_the_ending(ctx)).as_ref()?;
    let mut steps = Vec::new();
    if let (Some(limit), Some(c)) = (cool, *warm)
        && c > limit
    {
        steps.push(format!("cool to {}", ctx.degrees().show(limit)));
    }
    steps.push(format!("add {}", phase.label));
    fixes::after(ctx, *line, &steps)
}

/// A step, and how warm the batch is after it.
struct Place {
    line: u32,
    warm: Option<Decimal>,
}

/// The last step before the pH is read and the jars are filled.
fn before_the_ending(ctx: &Context) -> Option<Place> {
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
    let warm = ctx.formula.timeline.temperature_curve.iter().rfind(|(l, _)| *l <= line).map(|(_, c)| *c);
    Some(Place { line, warm })
}
