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

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "added-twice",
    title: "A phase that the method adds twice",
    group: Group::Method,
    loudest: Severity::Error,
    yields_to: &["unknown-phase"],
    file: include_str!("added_twice.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        let history = ctx.formula.timeline.phases[p];
        let (Some(first), Some(again)) = (history.added_line, history.again_line) else { continue };
        let message = format!(
            "phase {} is added again, and line {} has added it already; name the phase that is meant, or strike the step",
            phase.label,
            first + 1
        );
        sink.say(Subject::Phase(p), again, ctx.text_span(again), message).related(first, ctx.text_span(first), "added here the first time");
    }
}
