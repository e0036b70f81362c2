//! # The HLB of the emulsifiers and what the oils ask for
//!
//! The emulsifiers together have an HLB that lies well away from what these oils ask for.
//!
//! ## Why
//! For nonionic emulsifiers the balance of water-loving and oil-loving parts is a number, the HLB; oils ask for one, and the mean by weight of both sides should meet within 1 to 2. It is a guide for choosing, no law: self-emulsifying bases, charged emulsifiers, polymers, glyceryl stearate and emulsifying waxes of a fatty alcohol with its emulsifier do not follow it, so the rule speaks only where every emulsifier is nonionic with a known HLB, and nearly all of the oil has a known figure.
//!
//! ## What to do
//! Shift the shares of the emulsifiers, more of the high one to raise the mean, more of the low one to lower it.
//!
//! ```formula,bad
//! formula "Face lotion"
//!          ^^^^^^^^^^^ HLB
//!   product: face cream, leave-on
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
//!   polysorbate 60                           4 %
//!   tocopherol                               0.2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Face lotion"
//!   product: face cream, leave-on
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
//!   polysorbate 60                           1.2 %
//!   sorbitan stearate                        2.8 %
//!   tocopherol                               0.2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use super::{emulsifiers, held_otherwise};
use crate::chem::hlb;
use crate::kb::schema::{Charge, Figure};
use crate::model::composition::ShareOf;
use crate::model::system::{self, Continuous, System};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

pub static RULE: Rule = Rule {
    code: "hlb-mismatch",
    title: "The HLB of the emulsifiers and what the oils ask for",
    group: Group::Emulsion,
    loudest: Severity::Information,
    yields_to: &["no-emulsifier"],
    file: include_str!("hlb_mismatch.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if ctx.system() != System::Emulsion(Continuous::Water) || f.has_unknown || held_otherwise(ctx) {
        return;
    }
    let mut given = Vec::new();
    for p in emulsifiers(ctx) {
        // Glyceryl stearate and its like build layers that hold by themselves.
        if p.entry.roles.first().is_some_and(|r| r == "co-emulsifier") {
            return;
        }
        let Some(figure) = p.entry.hlb.as_ref().filter(|_| p.entry.charge == Some(Charge::Nonionic)) else { return };
        given.push((p.percent, figure));
    }
    // So does an emulsifier with as much fatty alcohol: an emulsifying wax made in the beaker.
    let emulsifier: Decimal = given.iter().map(|(w, _)| *w).sum();
    if system::percent_where(f, ctx.kb, |one| one.roles.first().is_some_and(|r| r == "fatty-alcohol")) >= emulsifier {
        return;
    }
    let mut asked = Vec::new();
    let mut unknown = Decimal::ZERO;
    let known = f.shares.iter().filter(|s| s.what == ShareOf::Substance && system::is_oily(ctx.kb.get(s.id)) && !s.usual.is_zero());
    for s in known {
        match &ctx.kb.get(s.id).required_hlb {
            Some(figure) => asked.push((s.usual, figure)),
            None => unknown += s.usual,
        }
    }
    let sum: Decimal = asked.iter().map(|(w, _)| *w).sum();
    if unknown > sum * ctx.kb.threshold("hlb-unknown-share").value.0 {
        return;
    }
    let (Some(has), Some(needs)) = (mean(&given), mean(&asked)) else { return };
    let apart = ctx.kb.threshold("hlb-apart");
    if (has - needs).abs() <= apart.value.0 {
        return;
    }
    let (line, span) = ctx.heading();
    let message = format!(
        "the emulsifiers together have HLB {}, and these oils ask for about {}; {}",
        words::number(has, 1),
        words::number(needs, 1),
        if has > needs {
            "take less of the water-loving emulsifier or add an oil-loving one"
        } else {
            "take more of the water-loving emulsifier"
        }
    );
    let mut said = sink.say(Subject::Formula, line, span, message);
    // A remembered figure weighs only where it moves the mean: the largest of each side speaks.
    for side in [&given, &asked] {
        if let Some((_, figure)) = side.iter().max_by_key(|(w, _)| *w) {
            said = said.rests_on(*figure);
        }
    }
}

fn mean(parts: &[(Decimal, &Figure)]) -> Option<Decimal> {
    let parts: Option<Vec<hlb::Part>> =
        parts.iter().map(|(w, figure)| Some(hlb::Part { weight: w.to_f64()?, hlb: figure.value.0.to_f64()? })).collect();
    Decimal::from_f64_retain(hlb::mean(&parts?).ok()?)
}
