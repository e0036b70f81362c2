//! # Water lost in heating
//!
//! The water phase is heated without a lid, and no water makes up for what steams off.
//!
//! ## Why
//! An open beaker loses a few percent of its water in a quarter of an hour at 75 °C. All other levels then rise: preservative and actives lie above what was planned.
//!
//! ## What to do
//! Cover the beaker, or weigh it before and after and top up with hot distilled water.
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
//!   ^^^^^^^^^^^^^^^^^^^^^^ top up
//!   pour A into B, blend 3 min
//!   cool to 35 °C
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
//!   top up the water
//!   pour A into B, blend 3 min
//!   cool to 35 °C
//! ```

use crate::model::system::{self, System};
use crate::rules::fixes;
use crate::rules::words::{self};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{Node, Verb};

pub static RULE: Rule = Rule {
    code: "water-loss",
    title: "Water lost in heating",
    group: Group::Method,
    loudest: Severity::Hint,
    file: include_str!("water_loss.rs"),
    check,
    ..Rule::DEFAULT
};

/// Words of a method that answer for the water.
const COVERED: [&str; 8] = ["lid", "lids", "cover", "covered", "foil", "closed", "replace", "evaporated"];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if !f.timeline.from_method || !f.timeline.not_understood.is_empty() || matches!(ctx.system(), System::Other | System::Unknown) {
        return;
    }
    let (from, share) = (ctx.kb.threshold("water-steams-c"), ctx.kb.threshold("water-steams-percent"));
    // The row with most water, hot.
    let water = f.components.iter().filter(|s| system::is_water(ctx.kb.get(s.id)));
    let Some(row) = f.largest_row(water) else { return };
    let history = f.timeline.rows[row];
    let (Some(c), Some(line)) = (history.highest_c.filter(|c| *c >= from.value.0), history.line) else { return };
    if f.water_percent < share.value.0 || answered(ctx) {
        return;
    }
    let message = format!(
        "{} water gets to {}, and nothing replaces what steams off",
        words::percent(f.water_percent.round_dp(0)),
        ctx.degrees().show(c)
    );
    // The last step before the water meets the oil, or the one that heats it.
    let held = f.timeline.combined_at.and_then(|met| f.timeline.temperature_curve.iter().rfind(|(l, _)| *l < met)).map_or(line, |(l, _)| (*l).max(line));
    let top_up = fixes::after(ctx, held, &["top up with hot distilled water".to_owned()]);
    sink.say(Subject::Line(line), line, ctx.text_span(line), message).help("Cover it, or top up with hot distilled water").rests_on(from).fixes(top_up);
}

/// A step tops up, or speaks of a lid, or the file plans for losses.
fn answered(ctx: &Context) -> bool {
    let tops_up = ctx.tree.lines.iter().any(|at| match &at.line.node {
        Node::Step(s) => {
            let text = at.line.text.to_lowercase();
            text.split(|c: char| !c.is_alphanumeric()).any(|w| COVERED.contains(&w))
                || s.clauses.iter().any(|c| c.verb.as_ref().is_some_and(|v| v.value == Verb::TopUp))
        }
        _ => false,
    });
    tops_up || ctx.formula.fields.losses_percent.is_some()
}
