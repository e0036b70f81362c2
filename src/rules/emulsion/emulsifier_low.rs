//! # Too little emulsifier
//!
//! All emulsifiers together stay below the level from which they hold an emulsion.
//!
//! ## Why
//! Each emulsifier has a level from which it covers the droplets. Two that each bring half of their own level make a whole together; less than that parts in days or weeks. Soap formed in place, lanolin, lecithin, surfactants and swelling polymers hold too: where they are in, nothing is said, unless all that emulsifies is less than a twentieth of the oil. Customary is a tenth to a quarter of it.
//!
//! ## What to do
//! Raise the emulsifier to the low end of its usual level, or add a second one.
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
//!   glyceryl stearate citrate                0.4 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^ 1 %
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
use crate::model::hlb::{self, EmulsifierPart};
use crate::kb::schema::{UseBasis, UseLevel};
use crate::model::system::System;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::{Decimal, RoundingStrategy};

pub static RULE: Rule = Rule {
    code: "emulsifier-low",
    title: "Too little emulsifier",
    group: Group::Emulsion,
    loudest: Severity::Warning,
    yields_to: &["no-emulsifier"],
    file: include_str!("emulsifier_low.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let System::Emulsion(_) = ctx.system() else { return };
    let incidental = ctx.kb.threshold("incidental-share-percent").value.0;
    if f.has_unknown || f.oil_percent <= incidental || far_too_little(ctx, sink) || ctx.held_otherwise() {
        return;
    }
    let all = ctx.emulsifiers();
    let mut reached = Decimal::ZERO;
    let mut largest: Option<(&EmulsifierPart, Decimal, &UseLevel)> = None;
    for p in all {
        // One level that is not known keeps the rule quiet.
        let Some((low, figure)) = lowest(p) else { return };
        reached += p.percent / low;
        if largest.is_none_or(|(l, _, _)| p.percent > l.percent) {
            largest = Some((p, low, figure));
        }
    }
    let Some((p, low, figure)) = largest.filter(|_| reached < Decimal::ONE) else { return };
    let row = &f.rows[p.row];
    let message = format!(
        "{} is too little for {} oil: it works from about {}",
        words::dosed(p.percent, &row.name.value),
        words::percent(f.oil_percent.round_dp(1)),
        words::percent(low)
    );
    // What is missing of a whole, by the level of this one.
    let missing = (Decimal::ONE - reached) * low;
    let own = row.id().is_some_and(|id| std::ptr::eq(ctx.kb.get(id), p.entry));
    let raised = (row.percent.unwrap_or_default() + missing).round_dp_with_strategy(2, RoundingStrategy::AwayFromZero);
    let target = own.then(|| Target {
        row: p.row,
        level: Level::AtLeast(raised.normalize()),
        what: "it".to_owned(),
        as_what: "the least that holds the oil",
        others_too: true,
    });
    let help = if own { "add a second emulsifier" } else { "Raise it, or add a second emulsifier" };
    let said = sink.say(Subject::Row(p.row), row.line, row.name.span, message).help(help).rests_on(figure).ask(target);
    if all.len() > 1 {
        said.why("the other emulsifiers do not make up for it".to_owned());
    }
}

/// All that emulsifies together is next to nothing against the oil.
fn far_too_little(ctx: &Context, sink: &mut Sink) -> bool {
    let f = ctx.formula;
    let all = hlb::emulsifying_percent(f, ctx.kb);
    let least = ctx.kb.threshold("emulsifier-of-oil-share");
    if all.is_zero() || all >= f.oil_percent * least.value.0 || hlb::held_by_little(f, ctx.kb) {
        return false;
    }
    let Some(row) = f.largest_row(f.components.iter().filter(|s| ctx.kb.get(s.id).roles.has_any(&[Role::Emulsifier, Role::CoEmulsifier, Role::Solubilizer, Role::Surfactant]))) else { return false };
    let r = &f.rows[row];
    let wanted = (f.oil_percent * ctx.kb.threshold("emulsifier-of-oil-wanted-share").value.0).round_dp_with_strategy(1, RoundingStrategy::AwayFromZero);
    let message = format!(
        "{} is far too little for {} oil: emulsifiers are a tenth of it at least",
        words::dosed(all, &r.name.value),
        words::percent(f.oil_percent.round_dp(1))
    );
    sink.say(Subject::Row(row), r.line, r.name.span, message)
        .help(format!("Take about {} of an emulsifier, or declare \"type: two-phase\"", words::percent(wanted.normalize())))
        .rests_on(least);
    true
}

/// The lowest level at which it is used, whatever the product.
fn lowest<'a>(p: &EmulsifierPart<'a>) -> Option<(Decimal, &'a UseLevel)> {
    if p.entry.r#use.iter().any(|u| u.of != UseBasis::Formula) {
        return None;
    }
    p.entry
        .r#use
        .iter()
        .filter(|u| !u.safety)
        .filter_map(|u| Some((u.low?.0, u)))
        .filter(|(low, _)| !low.is_zero())
        .min_by_key(|(low, _)| *low)
}
