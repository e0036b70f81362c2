//! # Added hotter than its own heading allows
//!
//! A step adds a phase while the batch is hotter than the heading of that phase says.
//!
//! ## Why
//! The phase was put apart because heat harms something in it.
//!
//! ## What to do
//! Cool the batch before this step.
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
//!   cool to 60 °C
//!   add C
//!   ^^^^^ 60 °C
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

use crate::kb::schema::Ingredient;
use crate::model::timeline::goes_in_below;
use crate::rules::fixes;
use crate::rules::words::{self};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "added-hot",
    title: "Added hotter than its own heading allows",
    group: Group::Method,
    loudest: Severity::Error,
    file: include_str!("added_hot.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let tolerance = ctx.kb.threshold("heat-tolerance-c");
    let degrees = ctx.degrees();
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        let history = ctx.formula.timeline.phases[p];
        let (Some(line), Some(c)) = (history.added_line, history.added_c) else { continue };
        let Some(heat) = &phase.heat else { continue };
        let Some(limit) = goes_in_below(heat.value).map(|t| t.celsius).filter(|limit| c > limit + tolerance.value.0) else { continue };
        let harmed: Vec<&str> = ctx.formula.rows_of(p).filter(|(_, r)| r.id().is_some_and(|id| delicate(ctx.kb.get(id), c))).map(|(_, r)| r.name.value.as_str()).collect();
        let message = format!(
            "phase {} goes in at {}, and its heading says below {}",
            phase.label,
            degrees.show(c),
            degrees.show(limit)
        );
        let whom = if harmed.is_empty() { String::new() } else { format!(": it is too hot for {}", words::list(&harmed)) };
        sink.say(Subject::Phase(p), line, ctx.text_span(line), message)
            .help(format!("Cool the batch first{whom}"))
            .covers(phase.rows.iter().map(|r| Subject::Row(*r)))
            .related(phase.lines[0], heat.span, "the heading of the phase")
            .fixes(fixes::cool_before(ctx, line, limit));
    }
}

fn delicate(entry: &Ingredient, c: Decimal) -> bool {
    entry.bears_c.as_deref().map(|b| b.value.0).or(entry.add_below_c.as_deref().map(|a| a.value.0)).is_some_and(|limit| c > limit)
}
