//! # Less than is usual
//!
//! An emulsifier, a thickener or a preservative stands below the level at which it does its work.
//!
//! ## Why
//! Below its level an emulsifier parts, a thickener thins, a preservative fails. Of other materials less is only less, and the rule is silent. So it is where another of the same kind is at its level and this one only helps.
//!
//! ## What to do
//! Raise it to the level in the message.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.02 %
//!                                            ^^^^^^ usual
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,fixed
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.1 %
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

use crate::kb::role::Role;
use super::levels::{fitting, of_formula};
use crate::kb::Id;
use crate::kb::schema::{Ingredient, PreservativeKind, UseLevel};
use crate::rules::finding::{Level, Target};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "below-usual-use",
    title: "Less than is usual",
    group: Group::UseAndLaw,
    loudest: Severity::Hint,
    yields_to: &["banned", "preservative-too-low", "preservative-ph", "preservative-inactivated", "emulsifier-low"],
    file: include_str!("below_usual_use.rs"),
    check,
    ..Rule::DEFAULT
};

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Emulsifier,
    Thickener,
    Preservative,
}

struct Found<'a> {
    id: Id,
    kind: Kind,
    percent: Decimal,
    low: Decimal,
    figure: &'a UseLevel,
}

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let protected = ctx.protects().is_some();
    let mut all: Vec<Found> = Vec::new();
    for row in &f.rows {
        let Some(id) = row.id().filter(|id| all.iter().all(|l| l.id != *id)) else { continue };
        let entry = ctx.kb.get(id);
        let Some(kind) = kind_of(entry, row.purpose.as_ref().map(|p| p.value.as_str())) else { continue };
        // Beside alcohol or glycol that protects, a preservative only helps.
        if kind == Kind::Preservative && protected {
            continue;
        }
        // One level that is not known makes the lowest unknown.
        let lows: Option<Vec<(Decimal, &UseLevel)>> = fitting(ctx, entry)
            .into_iter()
            .filter(|u| !u.safety)
            .filter_map(|u| Some((u, u.low?)))
            .map(|(u, low)| Some((of_formula(ctx, u, low.0)?, u)))
            .collect();
        let Some((low, figure)) = lows.unwrap_or_default().into_iter().min_by_key(|(low, _)| *low) else { continue };
        all.push(Found { id, kind, percent: f.percent_of(id), low, figure });
    }
    for l in all.iter().filter(|l| l.percent < l.low && !l.percent.is_zero()) {
        if all.iter().any(|o| o.kind == l.kind && o.id != l.id && o.percent >= o.low) {
            continue;
        }
        let Some(largest) = f.largest_row(f.components_of(l.id).iter()) else { continue };
        let r = &f.rows[largest];
        let message =
            format!("{} is less than usual: it works from {}", words::dosed(l.percent, ctx.called(l.id)), words::share(l.low));
        let alone = r.id() == Some(l.id) && f.components_of(l.id).len() == 1;
        let target = alone.then(|| Target {
            row: largest,
            level: Level::AtLeast(l.low),
            what: "it".to_owned(),
            as_what: "the least that is usual here",
            others_too: true,
        });
        let help = if alone { "" } else { "Raise it" };
        sink.say(Subject::Row(largest), r.line, r.amount.span, message).help(help).rests_on(l.figure).ask(target);
    }
}

/// What a material is there for, as far as this rule asks.
fn kind_of(entry: &Ingredient, purpose: Option<&str>) -> Option<Kind> {
    if purpose.is_some_and(|p| p != "preservative") {
        return None;
    }
    match entry.roles.primary()? {
        Role::Emulsifier => Some(Kind::Emulsifier),
        Role::Gum | Role::Thickener | Role::Polymer => Some(Kind::Thickener),
        Role::Preservative if entry.preservative.as_ref().is_some_and(|p| p.kind != PreservativeKind::Booster) => Some(Kind::Preservative),
        _ => None,
    }
}
