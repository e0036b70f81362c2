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

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

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
            sink.say(Subject::Phase(p), phase.lines[0], phase.label_span, format!("the method never adds {what} {}; write a step for it", phase.label));
        }
    }
}
