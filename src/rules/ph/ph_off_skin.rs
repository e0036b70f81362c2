//! # Far from the pH of skin
//!
//! The pH asked for lies outside 4.0 to 7.0, and nothing in the product explains it.
//!
//! ## Why
//! Skin is slightly acid; leave-on products customarily aim at pH 4.5 to 5.5. Outside 4 to 7 they sting or dry. What needs such a pH (an exfoliant, an ascorbyl phosphate), and products that have one of their own (soap, hair dye, bath salts), explain it: then the rule is silent. Below 3, or at 9 and above, something that stays on the skin is a warning all the same.
//!
//! ## What to do
//! Aim at pH 4.5 to 5.5.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 9.2
//!       ^^^ 9.2
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//!   sodium hydroxide                         q.s. to pH 9.2
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   disodium EDTA                            0.1 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use crate::model::fields::Type;
use crate::model::system::{self, PhAim, System};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "ph-off-skin",
    title: "Far from the pH of skin",
    group: Group::Ph,
    loudest: Severity::Warning,
    yields_to: &["restricted-use", "acid-too-strong"],
    file: include_str!("ph_off_skin.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let Some(aim) = ctx.ph_aim() else { return };
    let soap = matches!(&f.fields.type_, Some(t) if t.value == Type::Soap);
    if soap || ctx.system() == System::Anhydrous || f.fields.product_kind.is_some_and(|k| k.ph_is_its_own) {
        return;
    }
    let threshold = |id: &str| ctx.kb.threshold(id);
    let stays = f.product.leave_on() == Some(true);
    let (lowest, highest) = (threshold("ph-leave-on-lowest"), threshold("ph-leave-on-highest"));
    let (low, high) = (threshold("ph-skin-low"), threshold("ph-skin-high"));
    let customary = format!("Aim at pH {} to {}, as is customary on skin", threshold("ph-skin-aim-low").value, threshold("ph-skin-aim-high").value);
    let (level, ph, limit) = if stays && aim.low < lowest.value.0 {
        (Severity::Warning, aim.low, lowest)
    } else if stays && aim.high >= highest.value.0 {
        (Severity::Warning, aim.high, highest)
    } else if aim.low < low.value.0 {
        (Severity::Hint, aim.low, low)
    } else if aim.high > high.value.0 {
        (Severity::Hint, aim.high, high)
    } else {
        return;
    };
    if level == Severity::Hint && (usual_here(ctx, &aim) || explained(ctx, &aim)) {
        return;
    }
    let (more, end) = if ph < limit.value.0 { ("acid", "least") } else { ("alkaline", "most") };
    let message = format!("pH {} is more {more} than skin bears well ({} at {end})", words::number(ph, 2), limit.value);
    // The field where it has one; the row that sets the pH else.
    let (line, span) = match (&f.fields.ph, f.rows.iter().find(|r| aim.exact && r.line == aim.line)) {
        (Some(field), _) => (field.line, field.span),
        (None, Some(row)) => (row.line, row.amount.span),
        (None, None) => (aim.line, ctx.text_span(aim.line)),
    };
    let fix = fixes::within_skin(ctx).then(|| fixes::aim_at(ctx)).flatten();
    sink.say(Subject::Formula, line, span, message).help(customary).level(level).rests_on(limit).fixes(fix);
}

/// The usual pH of this kind of product.
fn usual_here(ctx: &Context, aim: &PhAim) -> bool {
    let usual = ctx.formula.fields.product_kind.and_then(|k| k.usual_ph.as_ref());
    usual.is_some_and(|u| u.low.is_none_or(|l| aim.low >= l.0) && u.high.is_none_or(|h| aim.high <= h.0))
}

/// A material whose window lies on that side of the skin's; an exfoliant explains an acid one.
fn explained(ctx: &Context, aim: &PhAim) -> bool {
    let acid = aim.low < ctx.kb.threshold("ph-skin-low").value.0;
    let counts = ctx.kb.threshold("hydroxy-acid-counts-percent").value.0;
    if acid && system::percent_where(ctx.formula, ctx.kb, |i| system::has_role(i, Role::Exfoliant)) >= counts {
        return true;
    }
    let (aim_low, aim_high) = (ctx.kb.threshold("ph-skin-aim-low").value.0, ctx.kb.threshold("ph-skin-aim-high").value.0);
    ctx.formula.rows.iter().filter_map(|r| r.id()).map(|id| &ctx.kb.get(id).ph).flat_map(|ph| ph.works.iter().chain(&ph.bears)).any(|w| {
        let beyond = |n: Option<Decimal>, past: &dyn Fn(Decimal) -> bool| n.is_some_and(past);
        if acid { beyond(w.high.map(|h| h.0), &|h| h <= aim_low) } else { beyond(w.low.map(|l| l.0), &|l| l >= aim_high) }
    })
}
