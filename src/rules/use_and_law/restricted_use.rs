//! # Not allowed in this kind of product
//!
//! The law of a market allows this substance, but not in a product like this one.
//!
//! ## Why
//! What is harmless when rinsed off may not be when it stays; what is harmless on skin may not be when breathed in. Some substances are allowed only within a range of pH; the pH judged is the one that the file asks for. Colourants are listed by area: near the eyes, on the lips, on skin only, in what is rinsed off.
//!
//! ## What to do
//! Take another material, or change what the product is. Where the file does not say what decides, this is a warning that asks for the field.
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
//!   xanthan gum                              0.5 %
//!   methylisothiazolinone                    0.0015 %
//!   ^^^^^^^^^^^^^^^^^^^^^ rinse-off
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

use crate::kb::Id;
use crate::kb::schema::ReviewStatus;
use crate::analysis::law::{ColourantHit, PhLimitHit};
use crate::model::product::Applies;
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use std::collections::BTreeMap;

pub static RULE: Rule = Rule {
    code: "restricted-use",
    title: "Not allowed in this kind of product",
    group: Group::UseAndLaw,
    loudest: Severity::Error,
    yields_to: &["banned"],
    file: include_str!("restricted_use.rs"),
    check,
    is_legal: true,
    can_be_off: false,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::bans::say(ctx, sink, |b| !b.in_scope.is_empty() || !b.only_scope.is_empty());
    outside_ph(ctx, sink);
    colours(ctx, sink);
}

/// What the law allows only within a range of pH.
fn outside_ph(ctx: &Context, sink: &mut Sink) {
    let Some(aim) = ctx.ph_allowed() else { return };
    let mut causes: BTreeMap<(usize, bool), Vec<&PhLimitHit>> = BTreeMap::new();
    let all = ctx.law().ph_limits();
    for seen in all.in_force() {
        let low = seen.limit.ph_min.is_some_and(|m| aim.low < m.0);
        let high = seen.limit.ph_max.is_some_and(|m| aim.high > m.0);
        if low || high {
            causes.entry((seen.member.row, low)).or_default().push(seen);
        }
    }
    for ((row, low), all) in causes {
        let certain: Vec<&PhLimitHit> = all.iter().copied().filter(|s| s.applies == Applies::Yes).collect();
        let (seen, level) = if certain.is_empty() { (all, Severity::Warning) } else { (certain, Severity::Error) };
        let Some(first) = seen.iter().min_by_key(|s| s.limit.review == ReviewStatus::NeedsReview) else { continue };
        let limit = first.limit;
        let (ph, bound, word) = if low { (aim.low, limit.ph_min, "above") } else { (aim.high, limit.ph_max, "below") };
        let Some(bound) = bound else { continue };
        let markets = words::sorted(seen.iter().map(|s| s.market));
        let message = format!(
            "{} {} {} only at pH {bound} or {word}, and this goes to pH {}",
            words::markets(&markets),
            words::by_count(markets.len(), "allows", "allow"),
            ctx.called(first.member.id),
            words::number(ph, 2)
        );
        let mut help = "Change the pH, or take another material".to_owned();
        if let Applies::Unknown(axis) = first.applies {
            help.push_str(&super::limits::or_write(ctx, axis));
        }
        let r = &ctx.formula.rows[row];
        sink.say(Subject::Row(row), r.line, r.name.span, message)
            .help(help)
            .level(level)
            .law(first.law, limit)
            .covers([Subject::Formula])
            .related(aim.line, ctx.text_span(aim.line), "the pH that the file allows")
            .fixes(fixes::aim_at(ctx));
    }
}

/// Colourants that are not listed for where this product goes, or above what is listed.
fn colours(ctx: &Context, sink: &mut Sink) {
    let all = ctx.law().colourants();
    let mut causes: BTreeMap<(usize, Id, String), Vec<&ColourantHit>> = BTreeMap::new();
    for seen in all.in_force() {
        if let Some(where_) = not_listed(ctx, seen) {
            causes.entry((seen.member.row, seen.member.id, where_)).or_default().push(seen);
        }
    }
    for ((row, id, where_), seen) in causes {
        let Some(first) = seen.iter().min_by_key(|s| s.row.review == ReviewStatus::NeedsReview) else { continue };
        let markets = words::sorted(seen.iter().map(|s| s.market));
        let r = &ctx.formula.rows[row];
        let message = format!(
            "{} {} {} as a colourant, but not {where_}",
            words::markets(&markets),
            words::by_count(markets.len(), "lists", "list"),
            ctx.called(id)
        );
        sink.say(Subject::Row(row), r.line, r.name.span, message).help("Take another colourant").law(first.law, first.row).fixes(fixes::leave_out(ctx, row));
    }
}

/// The area of this product that a colourant is not listed for.
fn not_listed(ctx: &Context, seen: &ColourantHit) -> Option<String> {
    let (p, c) = (&ctx.formula.product, seen.row);
    if let Some(most) = c.max_percent.filter(|m| seen.member.percent > m.0) {
        return Some(format!("above {most} % ({} is in)", words::percent(seen.member.percent)));
    }
    if c.eye == Some(false) && (p.has("eye") || p.has("eyelash")) {
        return Some("near the eyes".into());
    }
    if c.lip == Some(false) && ["lip", "lipstick", "mouth", "oral", "mucous"].iter().any(|w| p.has(w)) {
        return Some("on lips and mucous membranes".into());
    }
    if c.rinse_off_only && p.leave_on() == Some(true) {
        return Some("in what stays on the skin".into());
    }
    (c.external == Some(false) && p.is_said() && !["eye", "eyelash", "lip", "lipstick"].iter().any(|w| p.has(w)))
        .then(|| "on the skin".into())
}
