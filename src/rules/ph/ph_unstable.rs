//! # A pH in which it does not last
//!
//! At the pH that the file asks for, this material breaks down, falls out or does no work.
//!
//! ## Why
//! Vitamins, enzymes, esters and colours hold only in their range of pH. Where the whole range of `pH:` lies outside by more than 0.3, it is a warning; where only an end of it does, or it is closer, a hint. Preservatives and thickeners have rules of their own.
//!
//! ## What to do
//! Move the pH of the product into the range, or take another material.
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 4.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   sodium ascorbyl phosphate                2 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^ pH 4.5
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 6.2 to 6.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.5 %
//!   sodium ascorbyl phosphate                2 %
//!   disodium EDTA                            0.1 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{Ingredient, Range};
use crate::model::system::{PhAim, System};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "ph-unstable",
    title: "A pH in which it does not last",
    group: Group::Ph,
    loudest: Severity::Warning,
    yields_to: &["ph-conflict"],
    file: include_str!("ph_unstable.rs"),
    check,
    ..Rule::DEFAULT
};

/// First roles of what other rules judge, or what sets the pH itself.
const OTHERS: &[Role] = &[Role::Preservative];
/// First roles of what does its work inside a window.
const WORKERS: &[Role] = &[Role::Active, Role::Vitamin, Role::Enzyme, Role::Exfoliant, Role::Brightener];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(aim) = ctx.ph_aim() else { return };
    if ctx.system() == System::Anhydrous {
        return;
    }
    let near = ctx.kb.threshold("ph-near").value.0;
    for (n, row) in f.rows.iter().enumerate() {
        let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
        let first = |roles: &[Role]| entry.roles.primary_in(roles);
        if first(OTHERS) || super::only_sets_ph(ctx, row, entry) || entry.preservative.is_some() {
            continue;
        }
        if thickens_to(entry, &aim, near) {
            continue;
        }
        let Some((range, verb, level)) = outside(entry, &aim, first(WORKERS), near) else { continue };
        let asked = super::asked(aim.low, aim.high);
        let move_it = if range.low.is_some_and(|l| aim.low < l.0) { "Raise" } else { "Lower" };
        let message = format!(
            "{} {verb} at pH {}, and the product is at pH {asked}",
            row.name.value,
            words::range(range)
        );
        sink.say(Subject::Row(n), row.line, row.name.span, message)
            .help(format!("{move_it} the pH, or take another material"))
            .why(range.why.as_ref().map(ToString::to_string))
            .level(level)
            .rests_on(range)
            .related(aim.line, ctx.text_span(aim.line), "the pH that the file asks for")
            .fixes(fixes::aim_at(ctx));
    }
}

/// Whether the pH lies outside the range in which it thickens: that is said as what it does, by another rule.
fn thickens_to(entry: &Ingredient, aim: &PhAim, near: Decimal) -> bool {
    let thickens = entry.roles.has_any(&[Role::Thickener, Role::Gum]);
    let Some(works) = entry.ph.works.as_deref().filter(|_| thickens) else { return false };
    works.high.is_some_and(|h| aim.low - near > h.0) || works.low.is_some_and(|l| aim.high + near < l.0)
}

/// The window that the pH leaves, and how far.
fn outside<'a>(entry: &'a Ingredient, aim: &PhAim, works: bool, near: Decimal) -> Option<(&'a Range, &'static str, Severity)> {
    let past = |r: &Range, low: Decimal, high: Decimal| r.high.is_some_and(|h| low > h.0) || r.low.is_some_and(|l| high < l.0);
    let whole = |r: &Range| past(r, aim.low - near, aim.high + near);
    let part = |r: &Range| past(r, aim.high, aim.low);
    let (bears, does) = (entry.ph.bears.as_deref(), entry.ph.works.as_deref().filter(|_| works));
    bears
        .filter(|r| whole(r))
        .map(|r| (r, "lasts", Severity::Warning))
        .or_else(|| does.filter(|r| whole(r)).map(|r| (r, "works", Severity::Warning)))
        .or_else(|| bears.filter(|r| part(r)).map(|r| (r, "lasts", Severity::Hint)))
        .or_else(|| does.filter(|r| part(r)).map(|r| (r, "works", Severity::Hint)))
}
