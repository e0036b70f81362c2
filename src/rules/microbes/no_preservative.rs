//! # Water, and nothing that protects it
//!
//! The product holds water and no preservative.
//!
//! ## Why
//! Bacteria, yeasts and moulds grow in water within days, often before they can be seen or smelt. Some infect eyes and broken skin.
//!
//! Silent where something else protects: alcohol from 15 % at pH 5 or below, from 18 % otherwise; propylene glycol from 20 % of the water phase; pH 3 or below, or 10 or above. With `keep: use at once` it is only information. Boosters alone protect nothing.
//!
//! ## What to do
//! Add a broad-spectrum preservative at its level, or leave the water out, or make it fresh and keep nothing.
//!
//! ```formula,bad
//! formula "Hand gel"
//!          ^^^^^^^^ water
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::schema::PreservativeKind;
use crate::model::fields::Type;
use crate::model::system;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "no-preservative",
    title: "Water, and nothing that protects it",
    group: Group::Microbes,
    loudest: Severity::Error,
    yields_to: &[],
    file: include_str!("no_preservative.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let some = ctx.kb.threshold("incidental-share-percent");
    let water = system::water_percent(f, ctx.kb);
    if water < some.value.0 || matches!(&f.fields.type_, Some(t) if t.value == Type::Soap) {
        return;
    }
    let present = system::preservatives(f, ctx.kb);
    if present.iter().any(|p| p.kind != PreservativeKind::Booster) || f.has_unknown || protects_itself(ctx, water) {
        return;
    }
    let (line, span) = ctx.heading();
    let boosters: Vec<_> = present.iter().map(|p| ctx.called(p.id)).collect();
    let also = if boosters.is_empty() { String::new() } else { format!("; {} only helps a preservative", words::list(&boosters)) };
    let message = if f.fields.use_at_once {
        format!("{} water and nothing that protects it: use it the day it is made and keep nothing{also}", words::percent(water.round_dp(1)))
    } else {
        format!("{} water and nothing that protects it from bacteria, yeast and mould; add a preservative{also}", words::percent(water.round_dp(1)))
    };
    let level = if f.fields.use_at_once { Severity::Information } else { Severity::Error };
    sink.say(Subject::Formula, line, span, message).level(level);
}

/// Alcohol, glycol or a pH in which nothing grows.
fn protects_itself(ctx: &Context, water: Decimal) -> bool {
    let f = ctx.formula;
    let percent = |id: &str| ctx.kb.by_id(id).map_or(Decimal::ZERO, |id| f.percent_of(id));
    let limit = |id: &str| ctx.kb.threshold(id).value.0;
    let alcohol = percent("ethanol") + percent("isopropyl-alcohol");
    let ph = system::ph_aim(f);
    let acid = ph.is_some_and(|p| p.high <= Decimal::from(5));
    let glycol = percent("propylene-glycol");
    alcohol >= limit("alcohol-protects-percent")
        || acid && alcohol >= limit("alcohol-protects-acid-percent")
        || glycol * Decimal::ONE_HUNDRED >= limit("propylene-glycol-protects-percent") * (water + glycol)
        || ph.is_some_and(|p| p.high <= limit("ph-protects-below") || p.low >= limit("ph-protects-above"))
}
