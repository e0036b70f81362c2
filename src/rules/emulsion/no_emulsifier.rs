//! # Oil and water, and nothing that holds them together
//!
//! The product holds oil and water and no emulsifier.
//!
//! ## Why
//! It parts within the hour. Emulsifiers, surfactants, solubilizers, lecithin, lanolin, soaps formed in place and emulsifying polymers count; two-phase and suspension products are left in peace. Beeswax alone holds water in oil as in the old cerates, up to three times its weight; above that it is a warning.
//!
//! ## What to do
//! Add an emulsifier at its level, or declare `type: two-phase`.
//!
//! ```formula,bad
//! formula "Hand cream"
//!          ^^^^^^^^^^ emulsifier
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
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
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
//! ```

use crate::kb::role::Role;
use crate::model::hlb;
use crate::model::system::{self, Continuous, System};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "no-emulsifier",
    title: "Oil and water, and nothing that holds them together",
    group: Group::Emulsion,
    loudest: Severity::Error,
    file: include_str!("no_emulsifier.rs"),
    check,
    ..Rule::DEFAULT
};

/// Any of these holds oil in water or water in oil, more or less.
const HOLDS: [Role; 5] = [Role::Emulsifier, Role::Solubilizer, Role::Surfactant, Role::Soap, Role::Polymer];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let System::Emulsion(kind) = ctx.system() else { return };
    if f.has_unknown || HOLDS.iter().any(|r| system::any_with_role(f, ctx.kb, *r)) || hlb::soap_in_place(f, ctx.kb) || hlb::holds_by_itself(f, ctx.kb) {
        return;
    }
    let (oil, water) = (f.oil_percent, f.water_percent);
    if oil.is_zero() || water.is_zero() {
        return;
    }
    let (line, span) = ctx.heading();
    let message = format!("{} oil, {} water and no emulsifier to hold them together", words::percent(oil.round_dp(1)), words::percent(water.round_dp(1)));
    // What is not declared may be meant to part.
    let level = if kind == Continuous::Unsaid { Severity::Warning } else { Severity::Error };
    let said = sink.say(Subject::Formula, line, span, message).help("Add an emulsifier, or write \"type: two-phase\"").level(level);
    let wax = hlb::beeswax_percent(f, ctx.kb);
    if kind == Continuous::Oil && wax >= ctx.kb.threshold("beeswax-holds-percent").value.0 {
        let times = ctx.kb.threshold("beeswax-holds-water-times");
        said.why(format!("beeswax alone holds up to {} times its weight of water, and that much of it holds {}", times.value, words::percent(wax * times.value.0))).rests_on(times);
    }
}
