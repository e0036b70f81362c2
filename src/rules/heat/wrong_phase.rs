//! # In the phase that it does not dissolve in
//!
//! Before an emulsion is made, something that dissolves only in water stands in the oil, or the other way round. Or it stands in a product of oil alone.
//!
//! ## Why
//! It stays as grains or as a layer, and what it should do is not done. Gums wetted in oil, pigments, emulsifiers and what goes in after emulsifying are as they should be. In an oil without water an active or humectant that dissolves only in water sinks as grains or drops, a warning; in a balm or stick, which is stiff, a hint. An emulsifier holds it, and `type: suspension` says that it is meant.
//!
//! ## What to do
//! Move it to the phase that it dissolves in.
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
//!   sodium lactate                           1 %
//!   ^^^^^^^^^^^^^^ water
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
use crate::kb::schema::Dissolves;
use crate::model::system::System;
use crate::model::timeline::goes_in_below;
use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "wrong-phase",
    title: "In the phase that it does not dissolve in",
    group: Group::HeatAndPhase,
    loudest: Severity::Warning,
    yields_to: &["banned"],
    file: include_str!("wrong_phase.rs"),
    check,
    ..Rule::DEFAULT
};

/// What is wetted, dispersed or emulsifies may stand in either phase.
const EITHER: &[Role] = &[
    Role::Gum, Role::Polymer, Role::Thickener, Role::FilmFormer, Role::Stabilizer, Role::Emulsifier, Role::CoEmulsifier, Role::Solubilizer, Role::Surfactant, Role::Pigment, Role::Dye, Role::Pearl, Role::Powder, Role::Clay, Role::Starch, Role::Abrasive,
    Role::UvFilter, Role::Opacifier, Role::Preservative, Role::Soap,
];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if ctx.system() == System::Anhydrous {
        in_oil_alone(ctx, sink);
        return;
    }
    if !matches!(ctx.system(), System::Emulsion(_)) {
        return;
    }
    let natures: Vec<Option<Nature>> = (0..f.phases.len()).map(|p| nature(ctx, p)).collect();
    let first = |of: Nature| natures.iter().zip(&f.phases).position(|(n, phase)| *n == Some(of) && !phase.premix);
    let (first_watery, first_oily) = (first(Nature::Water), first(Nature::Oil));
    for (p, phase) in f.phases.iter().enumerate() {
        if phase.premix || phase.heat.as_ref().is_some_and(|h| goes_in_below(h.value).is_some()) {
            continue;
        }
        let Some(nature) = natures[p] else { continue };
        let holds_oil = nature == Nature::Water && solubilized(ctx, p);
        for (n, row) in f.rows_of(p) {
            let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
            if !entry.composition.is_empty() {
                continue;
            }
            let (is, target, stands) = match (nature, entry.dissolves) {
                (Nature::Oil, Some(Dissolves::Water)) => ("water", first_watery, "oil"),
                (Nature::Water, Some(Dissolves::Oil)) if !holds_oil => ("oil", first_oily, "water"),
                _ => continue,
            };
            // A soap made in place: the base may wait in the fatty acid's phase.
            if entry.roles.has_any(EITHER) || entry.roles.has(Role::Base) {
                continue;
            }
            let advice = target.map_or_else(|| format!("Move it to a phase with {is}"), |t| format!("Move it to phase {}", f.phases[t].label));
            let message = format!("{} dissolves in {is} and stands in the {stands} phase", row.name.value);
            let fix = target.and_then(|t| ctx.moved(row, t));
            sink.say(Subject::Row(n), row.line, row.name.span, message).help(advice).fixes(fix);
        }
    }
}

/// First roles of what is there to be dissolved, and does nothing as grains.
const DISSOLVED: &[Role] = &[
    Role::Active, Role::Vitamin, Role::Humectant, Role::Brightener, Role::Exfoliant, Role::AminoAcid, Role::Protein, Role::Peptide, Role::Soothing,
];
/// What holds a little of it in oil.
const HOLDS: [Role; 4] = [Role::Emulsifier, Role::CoEmulsifier, Role::Solubilizer, Role::Surfactant];

/// What dissolves only in water, in a product of oil.
fn in_oil_alone(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let oil = f.oil_percent * Decimal::TWO > Decimal::ONE_HUNDRED;
    if !oil || f.has_unknown || f.product.has("scrub") || f.product.has("powder") || HOLDS.iter().any(|r| system::any_with_role(f, ctx.kb, *r)) {
        return;
    }
    let wax = system::percent_where(f, ctx.kb, |one| one.roles.primary_is(Role::Wax));
    let stiff = wax >= ctx.kb.threshold("wax-sets-percent").value.0 || ["balm", "stick", "bar", "ointment", "paste"].iter().any(|w| f.product.has(w));
    let least = ctx.kb.threshold("solubilizer-from-percent").value.0;
    for (n, row) in f.rows.iter().enumerate() {
        let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
        if entry.dissolves != Some(Dissolves::Water) || !entry.roles.primary_in(DISSOLVED) || row.percent.is_none_or(|p| p < least) {
            continue;
        }
        let message = format!("{} dissolves in water and not in oil, and there is no water", row.name.value);
        sink.say(Subject::Row(n), row.line, row.name.span, message)
            .help("Take a form that dissolves in oil, make an emulsion of it, or declare \"type: suspension\" and have it shaken")
            .level(if stiff { Severity::Hint } else { Severity::Warning });
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Nature {
    Water,
    Oil,
}

/// Water where water is the largest part, oil where oils make more than half and there is no water.
fn nature(ctx: &Context, phase: usize) -> Option<Nature> {
    let (mut water, mut oil, mut all) = (Decimal::ZERO, Decimal::ZERO, Decimal::ZERO);
    for (_, row) in ctx.formula.rows_of(phase) {
        let percent = row.percent?;
        let entry = ctx.kb.get(row.id()?);
        all += percent;
        if system::is_water(entry) {
            water += percent;
        } else if system::is_oily(entry) {
            oil += percent;
        }
    }
    if water > oil && water * Decimal::TWO > all {
        Some(Nature::Water)
    } else if oil * Decimal::TWO > all && water.is_zero() {
        Some(Nature::Oil)
    } else {
        None
    }
}

fn solubilized(ctx: &Context, phase: usize) -> bool {
    ctx.formula.rows_of(phase).any(|(_, r)| r.id().is_some_and(|id| ctx.kb.get(id).roles.has_any(&[Role::Solubilizer, Role::Surfactant, Role::Emulsifier, Role::Soap, Role::Base])))
}
