//! # More hydroxy acid than skin bears
//!
//! Glycolic, lactic, mandelic and the other fruit acids, with their salts, are summed as acid. A product for consumers holds no more than 10 % of them, at pH 3.5 or above, whether it stays on or is rinsed off: masks and peels too.
//!
//! ## Why
//! A published panel found glycolic and lactic acid safe for consumers up to 10 % at a final pH of 3.5 or above, with advice on the sun; up to 30 % at pH 3.0 or above only where a trained professional applies it briefly and rinses it off. The pH judged is the lowest that the file allows, also where `q.s. to pH` aims higher.
//!
//! A product `for: professional` is held to the second figure if it is rinsed off, and `acid-advice` says what goes with it. Canada limits hydroxy acids by law, and the law of markets limits salicylic acid: those are judged under their own codes.
//!
//! ## What to do
//! Use less, or raise the pH with sodium hydroxide or arginine. Write `for: professional` only for what trained professionals apply.
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.6 to 3.9
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            8 %
//!   ^^^^^^^^^^^^^ 14 %
//!   lactic acid                              6 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.8
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 3.6 to 3.9
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   glycolic acid                            4 %
//!   lactic acid                              4 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.2 %
//!   sodium hydroxide                         q.s. to pH 3.8
//! ```

use super::hydroxy_acids::{self, Part, beyond, is_salon, is_thinned};
use crate::rules::finding::{Level, Target};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "acid-too-strong",
    title: "More hydroxy acid than skin bears",
    group: Group::Ph,
    loudest: Severity::Warning,
    yields_to: &[
        "banned",
        "restricted-use",
        "above-legal-limit",
        "family-above-limit",
    ],
    file: include_str!("acid_too_strong.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if is_thinned(ctx) {
        return;
    }
    let parts = hydroxy_acids::parts(ctx);
    let sum: Decimal = parts.iter().map(|p| p.percent).sum();
    let Some(largest) = parts.iter().max_by_key(|p| p.percent).map(|p| p.row) else {
        return;
    };
    let r = &f.rows[largest];
    let Some(clash) = beyond(ctx, &parts, sum, is_salon(ctx)) else {
        return;
    };
    let over = sum - clash.figure.value.0;
    let target = clash
        .too_much
        .then(|| lower(ctx, largest, &parts, over))
        .flatten();
    let fix = if clash.too_much {
        None
    } else {
        fixes::aim_at(ctx)
    };
    let help = if target.is_some() { "" } else { clash.way_out };
    let said = sink
        .say(Subject::Row(largest), r.line, r.name.span, clash.what)
        .help(help)
        .rests_on(clash.figure);
    let mut said = said.covers([Subject::Formula]).fixes(fix).ask(target);
    for p in parts.iter().filter(|p| p.row != largest) {
        let other = &f.rows[p.row];
        said = said.related(
            other.line,
            other.name.span,
            format!(
                "counts too: {} as acid",
                words::percent(p.percent.round_dp(2))
            ),
        );
    }
}

/// The largest row less what is too much, where that leaves something of it.
fn lower(ctx: &Context, largest: usize, parts: &[Part], over: Decimal) -> Option<Target> {
    let part = parts.iter().find(|p| p.row == largest)?;
    let dosed = ctx.formula.rows[largest].percent?;
    let left = dosed
        .checked_mul(part.percent - over)?
        .checked_div(part.percent)?;
    (left > Decimal::ZERO).then(|| Target {
        row: largest,
        level: Level::AtMost(fixes::down(left)),
        what: ctx.formula.rows[largest].name.value.to_string(),
        as_what: "the most that is published as safe here",
        others_too: true,
    })
}
