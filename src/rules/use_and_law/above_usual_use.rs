//! # More than is usual
//!
//! More of this material than it is customarily used at in this kind of product.
//!
//! ## Why
//! Custom knows what feels sticky, stings, thickens too far or costs for nothing. It is advice, so this is a hint; beyond a published safety maximum, or your own supplier's limit, a warning.
//!
//! An acid or base with `q.s. to pH` is as much as it takes and is not asked about.
//!
//! ## What to do
//! Look at the range in the message. If you mean it, write `# except above-usual-use: why`.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand gel, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              1.8 %
//!                                            ^^^^^ usual is 0.8 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
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

use super::levels::{fitting, of_formula};
use crate::kb::Id;
use crate::kb::schema::{UseBasis, UseLevel};
use crate::rules::fixes;
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;
use std::collections::HashSet;

pub static RULE: Rule = Rule {
    code: "above-usual-use",
    title: "More than is usual",
    group: Group::UseAndLaw,
    loudest: Severity::Warning,
    yields_to: &["above-skin-maximum", "above-legal-limit", "family-above-limit", "banned", "restricted-use", "acid-too-strong", "salt-thins"],
    file: include_str!("above_usual_use.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let mut done: HashSet<Id> = HashSet::with_capacity(f.rows.len());
    for row in &f.rows {
        let Some(id) = row.id().filter(|id| done.insert(*id)) else { continue };
        let entry = ctx.kb.get(id);
        let percent = f.percent_of(id);
        // Within every level of the whole that is known: nothing to ask.
        if entry.r#use.iter().all(|u| u.of == UseBasis::Formula && u.high.is_none_or(|high| percent <= high.0)) {
            continue;
        }
        let fitting: Vec<&UseLevel> = fitting(ctx, entry);
        let Some(largest) = f.largest_row(f.components_of(id).iter()) else { continue };
        let r = &f.rows[largest];
        let safety = fitting.iter().copied().filter(|u| u.safety).filter_map(|u| Some((u, of_formula(ctx, u, u.high?.0)?))).min_by_key(|(_, h)| *h);
        let row_level = |most: Decimal, as_what: &'static str, others_too: bool| target(ctx, largest, percent, most, as_what, others_too);
        if let Some((u, most)) = safety.filter(|(_, h)| percent > *h) {
            let message = format!("{}: published as safe here is {} at most", words::dosed(percent, ctx.called(id)), words::share(most));
            let target = row_level(most, "the most that is published as safe here", true);
            let help = if target.is_some() { "" } else { "Use less" };
            sink.say(Subject::Row(largest), r.line, r.amount.span, message).help(help).rests_on(u).ask(target);
            continue;
        }
        let usual: Option<Vec<(&UseLevel, Decimal)>> = fitting.iter().copied().filter(|u| !u.safety).map(|u| Some((u, of_formula(ctx, u, u.high?.0)?))).collect();
        let Some((u, most)) = usual.unwrap_or_default().into_iter().max_by_key(|(_, h)| *h) else { continue };
        // An acid or base goes in until the pH is right: how much is not chosen.
        let until_right = matches!(r.amount.value, Amount::Enough { ph: Some(_), .. });
        if percent > most && !until_right {
            let own = ctx.kb.user_file(id).is_some();
            let (level, whose, as_what) = if own {
                (Severity::Warning, "your own entry allows", "the most in your own entry for it")
            } else {
                (Severity::Hint, "usual is", "the most that is usual here")
            };
            let of = match (u.of, u.high) {
                (UseBasis::OilPhase, Some(high)) => format!(" ({} of the oil phase)", words::percent(high.0)),
                (UseBasis::WaterPhase, Some(high)) => format!(" ({} of the water phase)", words::percent(high.0)),
                _ => String::new(),
            };
            let message = format!("{}: {whose} {}{of} at most", words::dosed(percent, ctx.called(id)), words::share(most));
            // Where no row fills up, another would be raised, perhaps beyond its own usual level.
            let target = row_level(most, as_what, false);
            let help = if target.is_some() { "keep it if you mean it" } else { "Use less, or keep it if you mean it" };
            sink.say(Subject::Row(largest), r.line, r.amount.span, message).help(help).level(level).rests_on(u).ask(target);
        }
    }
}

/// The row at the highest level, where it is the only one with this material.
fn target(ctx: &Context, row: usize, percent: Decimal, most: Decimal, as_what: &'static str, others_too: bool) -> Option<Target> {
    let r = &ctx.formula.rows[row];
    let alone = r.id().is_some_and(|id| ctx.formula.components_of(id).len() == 1) && !percent.is_zero();
    let dosed = alone.then_some(r.percent?)?;
    let lowered = fixes::down(dosed.checked_mul(most)?.checked_div(percent)?);
    (lowered > Decimal::ZERO).then(|| Target { row, level: Level::AtMost(lowered), what: "it".to_owned(), as_what, others_too })
}
