//! # A step that is not understood
//!
//! The words of this step do not say to the tool what happens, so it counts for nothing in temperatures and additions.
//!
//! ## Why
//! Steps are read by their verb: heat, hold, pour, add, cool, stir, fill and their like. Free words are fine for the reader at the bench; the checks of the method just pass over them.
//!
//! ## What to do
//! Begin the step with a verb that says what is done, or leave it as it is.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//!
//! method
//!   twiddle the beaker for luck
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^^ not understood
//!   stir A 5 min
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: EU
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//!
//! method
//!   heat A to 60 °C, covered
//!   stir A 5 min, until clear
//!   take off the heat
//!   let it cool to 25 °C
//!   pour into bottles
//!   label and store in the dark
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Node;

pub static RULE: Rule = Rule {
    code: "step-not-understood",
    title: "A step that is not understood",
    group: Group::Method,
    loudest: Severity::Hint,
    yields_to: &["syntax", "unknown-phase"],
    file: include_str!("step_not_understood.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    for line in &ctx.formula.timeline.not_understood {
        let Some(Node::Step(step)) = ctx.tree.lines.get(*line as usize).map(|at| &at.line.node) else { continue };
        // The part that is not understood, where the rest is.
        let span = match step.clauses.iter().find(|c| c.verb.is_none()) {
            Some(c) if step.clauses.len() > 1 => c.span,
            _ => ctx.text_span(*line),
        };
        sink.say(Subject::Line(*line), *line, span, "this step is not understood, so temperatures and additions leave it out")
            .help("Begin with a verb such as heat, pour, add, cool or stir");
    }
}
