//! # What is advised about hydroxy acids
//!
//! The strength is within what a published panel found safe, and something more is advised.
//!
//! ## Why
//! Up to 30 % of hydroxy acids at pH 3.0 or above are published as safe only where a trained professional applies them briefly and rinses them off: a product `for: professional` that is beyond the figures for consumers is told so.
//!
//! The scientific committee of the European Union suggested stricter figures than the panel: glycolic acid up to 4 % at pH 3.8 or above, lactic acid up to 2.5 % at pH 5 or above. They are advice, no law, and are told for products sold in the European Union.
//!
//! ## What to do
//! Say on the label that the product is for professional use, with advice on sun protection; stay within the committee's figures, or have the assessor decide.
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.8 to 4.0
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            6 %
//!   ^^^^^^^^^^^^^ 4 % at most
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.9
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.8 to 4.0
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            4 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.9
//! ```

use super::hydroxy_acids::{self, Part, beyond, is_salon, is_thinned};
use crate::kb::Market;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "acid-advice",
    title: "What is advised about hydroxy acids",
    group: Group::Ph,
    loudest: Severity::Information,
    file: include_str!("acid_advice.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    if is_thinned(ctx) {
        return;
    }
    let parts = hydroxy_acids::parts(ctx);
    let sum: Decimal = parts.iter().map(|p| p.percent).sum();
    let Some(largest) = parts.iter().max_by_key(|p| p.percent).map(|p| p.row) else {
        return;
    };
    let salon = is_salon(ctx);
    // What is too strong has a rule of its own.
    if beyond(ctx, &parts, sum, salon).is_some() {
        return;
    }
    if salon && beyond(ctx, &parts, sum, false).is_some() {
        professional_only(ctx, sink, largest, sum);
    } else {
        committee(ctx, sink, &parts);
    }
}

/// Within the figures for trained professionals, and beyond those for consumers.
fn professional_only(ctx: &Context, sink: &mut Sink, largest: usize, sum: Decimal) {
    let r = &ctx.formula.rows[largest];
    let message = format!(
        "{} hydroxy acid is published as safe only where a trained professional applies it briefly and rinses it off",
        words::percent(sum.round_dp(1))
    );
    sink.say(Subject::Row(largest), r.line, r.name.span, message)
        .help("Say so on the label, with advice on sun protection every day, and sell it to trained professionals alone")
        .rests_on(ctx.kb.threshold("hydroxy-acid-salon-max-percent"));
}

/// The figures that the scientific committee of the European Union suggested: stricter than the panel's, and no law.
fn committee(ctx: &Context, sink: &mut Sink, parts: &[Part]) {
    if !ctx.analysis.markets().contains(&Market::EuropeanUnion) {
        return;
    }
    let counts = ctx.kb.threshold("hydroxy-acid-counts-percent").value.0;
    for (acid, name) in [
        ("glycolic-acid", "glycolic acid"),
        ("lactic-acid", "lactic acid"),
    ] {
        let most = ctx.kb.threshold(&["committee-", acid, "-percent"].concat());
        let lowest = ctx.kb.threshold(&["committee-", acid, "-ph"].concat());
        let mine: Vec<&Part> = parts.iter().filter(|p| p.acid == acid).collect();
        let sum: Decimal = mine.iter().map(|p| p.percent).sum();
        let Some(largest) = mine.iter().max_by_key(|p| p.percent).map(|p| p.row) else {
            continue;
        };
        let shown = words::percent(sum.round_dp(1));
        let ph = ctx
            .ph_allowed()
            .map(|aim| aim.low)
            .filter(|ph| *ph < lowest.value.0 && sum >= counts);
        let (message, figure) = match ph {
            _ if sum > most.value.0 => (
                format!(
                    "{shown} {name} (as acid): the EU's scientific committee suggested {} at most",
                    words::percent(most.value.0)
                ),
                most,
            ),
            Some(ph) => (
                format!(
                    "{shown} {name} (as acid) at pH {}: the EU's scientific committee suggested pH {} or above",
                    words::number(ph, 2),
                    lowest.value
                ),
                lowest,
            ),
            None => continue,
        };
        let r = &ctx.formula.rows[largest];
        sink.say(Subject::Row(largest), r.line, r.name.span, message)
            .help(format!("Stay within {} at pH {} or above, or have the assessor decide: it is advice, no law", words::percent(most.value.0), lowest.value))
                .rests_on(figure);
    }
}
