//! Rows of `pairs.toml` that a rule of its own reads: one message for each pair that is there.

use crate::kb::schema::{Charge, Ingredient, Pair};
use crate::model::composition::ShareOf;
use crate::model::system;
use crate::rules::{Context, Sink, Subject};
use rust_decimal::Decimal;

/// Says the pairs that name this rule. The message stands on the smaller partner; the other is related.
pub(super) fn say(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let code = sink.code();
    for pair in ctx.kb.pairs().iter().filter(|p| p.rule == code) {
        if !at_this_ph(ctx, pair) {
            continue;
        }
        let (Some(a), Some(b)) =
            (largest(ctx, pair, &pair.a, pair.a_min_percent.map(|n| n.0)), largest(ctx, pair, &pair.b, pair.b_min_percent.map(|n| n.0)))
        else {
            continue;
        };
        if a == b {
            continue;
        }
        let (ra, rb) = (&f.rows[a], &f.rows[b]);
        let message = format!("{} and {}: {}; {}", ra.name.value, rb.name.value, pair.why, pair.instead);
        sink.say(Subject::Row(a), ra.line, ra.name.span, message).rests_on(pair).related(rb.line, rb.name.span, "its partner in this");
    }
}

/// The row with most of one side, at its least share or above.
fn largest(ctx: &Context, pair: &Pair, side: &[String], least: Option<Decimal>) -> Option<usize> {
    let f = ctx.formula;
    let members = || {
        f.shares.iter().filter(|s| {
            s.what != ShareOf::Constituent
                && !s.high.is_zero()
                && is_of(ctx.kb.get(s.id), side)
                && !pair.except.contains(&ctx.kb.get(s.id).id)
        })
    };
    let sum: Decimal = members().map(|s| s.high).sum();
    (least.is_none_or(|l| sum >= l)).then(|| f.largest_row(members())).flatten()
}

fn is_of(one: &Ingredient, side: &[String]) -> bool {
    side.iter().any(|word| match word.split_once(':') {
        Some(("role", role)) => system::has_role(one, role),
        Some(("family", family)) => one.family == family,
        Some(("charge", charge)) => one.charge.is_some_and(|c| {
            charge
                == match c {
                    Charge::Anionic => "anionic",
                    Charge::Cationic => "cationic",
                    Charge::Nonionic => "nonionic",
                    Charge::Amphoteric => "amphoteric",
                }
        }),
        _ => one.id == *word,
    })
}

/// Whether the product's pH lets the pair react; where no pH is said, it may.
fn at_this_ph(ctx: &Context, pair: &Pair) -> bool {
    let Some(aim) = system::ph_aim(ctx.formula) else { return true };
    pair.ph_above.is_none_or(|p| aim.high > p.0) && pair.ph_below.is_none_or(|p| aim.low < p.0)
}
