//! # No chelator with the preservative
//!
//! The preservative is no more than fair against Gram-negative bacteria, and nothing binds the metals that they live on.
//!
//! ## Why
//! A chelator loosens the coat of Gram-negative bacteria such as Pseudomonas, so that the preservative gets in. It also takes up the traces of iron and copper that turn oils, vitamin C and colours.
//!
//! ## What to do
//! Add 0.1 to 0.2 % of a chelator to the water: disodium EDTA, tetrasodium glutamate diacetate, sodium phytate. Citric acid and its salts count as weak ones.
//!
//! ```formula,bad
//! formula "Hand gel"
//!          ^^^^^^^^ chelator
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//! ```

use crate::kb::role::Role;
use crate::model::reach::Reach;
use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "no-chelator",
    title: "No chelator with the preservative",
    group: Group::Microbes,
    loudest: Severity::Hint,
    file: include_str!("no_chelator.rs"),
    check,
    ..Rule::DEFAULT
};

/// From here a preservative is strong against a group by itself.
const STRONG: u8 = 3;

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown || f.fields.use_at_once || system::is_solid(f) || f.water_percent < ctx.kb.threshold("incidental-share-percent").value.0 {
        return;
    }
    let Some(reach) = Reach::of(ctx.formula, ctx.kb) else { return };
    if reach.gram_negative >= STRONG || system::any_with_role(f, ctx.kb, Role::Chelator) || ctx.protects().is_some() {
        return;
    }
    let (line, span) = ctx.heading();
    let names: Vec<&str> = reach.members.iter().map(|p| ctx.called(p.id)).collect();
    let message =
        format!("no chelator helps {} against bacteria such as Pseudomonas", words::several(&names));
    let said = sink.say(Subject::Formula, line, span, message).help("Add 0.1 to 0.2 % of a chelator, as is customary");
    if let Some(figure) = reach.figure {
        said.rests_on(figure);
    }
}
