//! # Filled while still warm
//!
//! A product with water is filled above 40 °C.
//!
//! ## Why
//! Steam settles under the lid and runs back as drops of water without preservative: mould starts there. Balms and sticks are poured hot and are left in peace.
//!
//! ## What to do
//! Let it cool before filling, or leave the lids off under a clean cloth until it has.
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
//!   methylparaben                            0.3 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat A and B to 75 °C
//!   pour A into B, blend 3 min
//!   cool to 60 °C
//!   fill
//!   ^^^^ 60 °C
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
//!   methylparaben                            0.3 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat A and B to 75 °C
//!   pour A into B, blend 3 min
//!   cool to 35 °C
//!   fill
//! ```

use crate::model::system::System;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Node, Verb};

pub static RULE: Rule = Rule {
    code: "filled-warm",
    title: "Filled while still warm",
    group: Group::Method,
    loudest: Severity::Hint,
    file: include_str!("filled_warm.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let incidental = ctx.kb.threshold("incidental-share-percent").value.0;
    if matches!(ctx.system(), System::Anhydrous | System::Other | System::Unknown) || f.water_percent < incidental {
        return;
    }
    let limit = ctx.kb.threshold("fill-below-c");
    let tolerance = ctx.kb.threshold("heat-tolerance-c").value.0;
    let degrees = ctx.degrees();
    for (line, c) in &f.timeline.temperature_curve {
        let Some(Node::Step(step)) = ctx.tree.lines.get(*line as usize).map(|at| &at.line.node) else { continue };
        let Some(fill) = step.clauses.iter().find(|clause| clause.verb.as_ref().is_some_and(|v| v.value == Verb::Fill)) else { continue };
        // "fill below 40 °C", "let cool and fill": the step itself says or leaves open how warm it is.
        if fill.heat.is_some() || *c <= limit.value.0 + tolerance {
            continue;
        }
        let message = format!(
            "it is filled at {}, and steam turns to water under the lid",
            degrees.show(*c)
        );
        sink.say(Subject::Line(*line), *line, ctx.text_span(*line), message)
            .help(format!("Let it cool to {} first", degrees.show(limit.value.0)))
            .rests_on(limit)
            .fixes(fixes::cool_before(ctx, *line, limit.value.0));
    }
}
