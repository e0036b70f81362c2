//! # Burns the skin in sunlight
//!
//! Expressed citrus oils and their kin are in a product that stays on the skin, above the level at which sunlight makes them burn.
//!
//! ## Why
//! Furocoumarins from the peel of bergamot, lime, lemon, grapefruit and bitter orange, and from rue, angelica, cumin or tagetes, react with sunlight on the skin: redness, blisters, brown marks for months. Each oil has its highest share for skin that sees the sun. They work together: each counts with its part of its own highest share, and the sum must not pass one. Distilled oils and those freed of furocoumarins do not do it.
//!
//! ## What to do
//! Lower the oil, or take a distilled or furocoumarin-free one. For some materials (the juices of lime, lemon, bergamot, celery, fig and rue, angelica and cumin extracts) no highest share is published: leave them out of what stays on.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99 %
//!   bergamot essential oil                   1 %
//!                                            ^^^ 0.4 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.7 %
//!   bergamot essential oil                   0.3 %
//! ```

use super::{cautioned, meant, names, usual_words};
use crate::kb::schema::{Constituent, Figure, Ingredient};
use crate::rules::fixes;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "phototoxic",
    title: "Burns the skin in sunlight",
    group: Group::Cautions,
    loudest: Severity::Warning,
    yields_to: &["banned", "above-legal-limit", "family-above-limit", "restricted-use"],
    file: include_str!("phototoxic.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    // Where nothing is said of the product, it may stay on.
    if f.product.leave_on() == Some(false) {
        return;
    }
    without_a_figure(ctx, sink);
    let all = meant(ctx, |one| one.phototoxic_max_percent.as_deref().is_some_and(|m| !m.value.0.is_zero()));
    let mut parts: Vec<(usize, Decimal, Decimal, &Figure)> = Vec::new();
    for m in &all {
        if let Some(max) = &m.entry.phototoxic_max_percent {
            parts.push((m.row, m.percent, m.percent / max.value.0, max));
        }
    }
    let sum: Decimal = parts.iter().map(|(_, _, part, _)| *part).sum();
    let Some((row, percent, _, max)) = parts.iter().max_by_key(|(_, _, part, _)| *part).filter(|_| sum > Decimal::ONE) else { return };
    let r = &f.rows[*row];
    let limit = words::percent(max.value.0);
    let message = if parts.len() == 1 {
        format!(
            "{} burns the skin in sunlight above {limit}",
            words::dosed(*percent, &r.name.value)
        )
    } else {
        format!(
            "{} citrus and similar oils: {} times what skin bears in sunlight",
            parts.len(),
            words::number(sum, 1)
        )
    };
    let alone = parts.len() == 1;
    let most = || Some(fixes::down(r.percent?.checked_mul(max.value.0)?.checked_div(*percent)?));
    let target = alone.then(most).flatten().map(|most| Target {
        row: *row,
        level: Level::AtMost(most),
        what: "it".to_owned(),
        as_what: "the most that skin bears in sunlight",
        others_too: true,
    });
    let help = if target.is_some() { "take a distilled or furocoumarin-free oil" } else { "Use less of them, or take distilled or furocoumarin-free oils" };
    let mut said = sink.say(Subject::Row(*row), r.line, r.amount.span, message).help(help).rests_on(*max).ask(target);
    if !alone {
        said = said.related(r.line, r.name.span, format!("counts most: {} of at most {limit}", words::percent(*percent)));
    }
    for (other, percent, _, max) in parts.iter().filter(|(other, ..)| other != row) {
        let o = &f.rows[*other];
        said = said.related(
            o.line,
            o.name.span,
            format!("counts too: {} of at most {}", words::percent(*percent), words::percent(max.value.0)),
        );
    }
}

/// An entry of the maker's own may say nothing more than this. Oils freed of them hold none as a rule.
fn brings_furocoumarins(one: &Ingredient) -> bool {
    let share = |c: &Constituent| c.usual.or(c.low).or(c.high);
    one.constituents.iter().any(|c| c.of == "furocoumarins" && share(c).is_some_and(|n| !n.0.is_zero()))
}

/// What takes light and has no published figure to be held to.
fn without_a_figure(ctx: &Context, sink: &mut Sink) {
    let bare = |one: &Ingredient| {
        one.phototoxic_max_percent.is_none() && (cautioned(one, "phototoxic") || brings_furocoumarins(one))
    };
    let all = meant(ctx, bare);
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    let names = names(ctx, &all, 4);
    let message = format!(
        "{} can burn skin in sunlight; no safe share is published",
        words::several(&names)
    );
    let help = format!("Leave {} out of what stays on the skin", words::by_count(names.len(), "it", "them"));
    let fix = (all.len() == 1).then(|| fixes::leave_out(ctx, first.row)).flatten();
    sink.say(Subject::Row(first.row), r.line, r.name.span, message).help(help).rests_on(&usual_words()).fixes(fix);
}
