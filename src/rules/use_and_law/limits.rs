//! Limits that are exceeded: one message for each cause, with all its markets.

use crate::model::law::{self, LimitSeen};
use crate::model::product::{Axis, Fit};
use crate::rules::fixes::{self, down};
use crate::rules::{Context, Fix, Severity, Sink, Subject, words};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Says the exceeded limits that the rule picks.
pub(super) fn say(ctx: &Context, sink: &mut Sink, pick: impl Fn(&LimitSeen) -> bool) {
    // One cause is one set of substances on one row, whatever the number of markets and scopes.
    let mut causes: BTreeMap<(usize, Vec<crate::kb::Id>), Vec<&LimitSeen>> = BTreeMap::new();
    let hits = ctx.limits().in_force_or_announced().iter();
    for seen in hits.filter(|s| s.exceeded() && pick(s)) {
        let mut ids: Vec<_> = seen.members.iter().map(|m| m.id).collect();
        ids.sort();
        ids.dedup();
        causes
            .entry((seen.largest().row, ids))
            .or_default()
            .push(seen);
    }
    for ((row, _), seen) in causes {
        let in_force: Vec<&LimitSeen> = seen
            .iter()
            .copied()
            .filter(|s| s.status.is_in_force())
            .collect();
        if in_force.is_empty() {
            if let Some(first) = seen.iter().min_by_key(|s| s.max) {
                one(ctx, sink, row, first, &[first], Severity::Information);
            }
            continue;
        }
        let certain: Vec<&LimitSeen> = in_force
            .iter()
            .copied()
            .filter(|s| s.fit == Fit::Yes || forbidden_everywhere(ctx, s))
            .collect();
        // What only the typical or highest content of a natural material exceeds is no error.
        let surely = certain.iter().any(|s| s.surely_exceeded());
        let (all, level) = if certain.is_empty() {
            (in_force, Severity::Warning)
        } else if surely {
            (certain, Severity::Error)
        } else {
            (certain, Severity::Warning)
        };
        // The limit whose text is sure speaks before one that must be looked up again; then the strictest.
        if let Some(first) = all
            .iter()
            .copied()
            .min_by_key(|s| (!s.surely_exceeded(), s.percent <= s.max, s.recheck(), s.max))
        {
            one(ctx, sink, row, first, &all, level);
        }
    }
}

/// Nothing says what the product is, and every scope of this market forbids the level.
fn forbidden_everywhere(ctx: &Context, seen: &LimitSeen) -> bool {
    !ctx.formula.product.is_said()
        && ctx
            .limits()
            .in_force()
            .filter(|o| o.market == seen.market && o.largest().id == seen.largest().id)
            .all(LimitSeen::exceeded)
        && ctx
            .limits()
            .in_force()
            .filter(|o| o.market == seen.market && o.largest().id == seen.largest().id)
            .count()
            > 1
}

fn one(
    ctx: &Context,
    sink: &mut Sink,
    row: usize,
    first: &LimitSeen,
    all: &[&LimitSeen],
    level: Severity,
) {
    let limit = first.limit;
    let r = &ctx.formula.rows[row];
    // Markets that say the same stand together; those that allow another level are named with theirs.
    let same = |s: &LimitSeen| s.max == first.max && s.recheck() == first.recheck();
    let markets = words::sorted(all.iter().filter(|s| same(s)).map(|s| s.market));
    let others = words::sorted(
        all.iter()
            .filter(|s| !same(s) && !markets.contains(&s.market))
            .map(|s| s.market),
    );
    let mut ids: Vec<_> = first.members.iter().map(|m| m.id).collect();
    ids.sort();
    ids.dedup();
    let names: Vec<String> = ids.iter().map(|id| ctx.called(*id).to_owned()).collect();
    let own: Decimal = first.members.iter().map(|m| m.percent).sum();
    let counted = match &limit.r#as {
        Some(a) if own != first.percent => {
            let name = ctx
                .kb
                .substance(a)
                .map_or(a.as_str(), |(id, _)| ctx.kb.name(id));
            (
                own,
                format!(" (counted as {name}: {})", words::percent(first.percent)),
            )
        }
        _ => (first.percent, String::new()),
    };
    let (percent, as_what) = counted;
    // The typical content keeps to the limit: it is the highest that does not.
    let reaches = first.percent <= first.max;
    let percent = if reaches { first.highest() } else { percent };
    let verb = if reaches {
        "can be"
    } else if first.surely_exceeded() {
        "is"
    } else {
        "is, at a typical content,"
    };
    let what = match names.as_slice() {
        [one] => format!("{}{as_what} {verb}", words::dosed(percent, one)),
        more => format!(
            "{} together make {}{as_what},",
            words::list(more),
            words::percent(percent)
        ),
    };
    let mut message = format!(
        "{what} above the {} that {} {}{}",
        words::percent(first.max),
        words::markets(&markets),
        words::by_count(markets.len(), "allows", "allow"),
        scope_words(limit)
    );
    for market in others {
        if let Some(max) = all
            .iter()
            .filter(|s| s.market == market)
            .map(|s| s.max)
            .min()
        {
            message.push_str(&format!(
                "; {} allows {}",
                words::markets(&[market]),
                words::percent(max)
            ));
        }
    }
    if let Fit::Unsaid(axis) = first.fit {
        let field = if ctx.formula.product.is_said() {
            axis.field()
        } else {
            Axis::Stays.field()
        };
        message.push_str(&format!(
            "; the file does not say whether that is the case: write \"{field}:\""
        ));
    }
    if let Some(day) = first.status.from() {
        message.push_str(&format!("; this applies from {day}"));
    } else if names.len() > 1 {
        message.push_str("; lower one of them");
    } else if let ([m], Some(percent)) = (&first.members[..], r.percent.filter(|p| !p.is_zero())) {
        // Inside a natural material or a blend the maker doses the whole.
        let (dosed, of) = if r.id() == Some(m.id) {
            (m.percent, String::new())
        } else {
            (percent, format!(" of {}", r.name.value))
        };
        let most = first.max * dosed / first.highest();
        let most = ctx
            .ceiling(row)
            .map_or(most, |c| most.min(c * dosed / percent));
        let lower = format!("; lower it to {}{of}", words::percent(down(most)));
        message.push_str(if most.is_zero() {
            "; leave it out"
        } else {
            &lower
        });
    }
    let mut said = sink
        .say(Subject::Row(row), r.line, r.amount.span, message)
        .level(level)
        .law(first.law, limit);
    for c in first
        .members
        .iter()
        .filter_map(|m| law::constituent(ctx.formula, ctx.kb, m))
    {
        said = said.rests_on(c);
    }
    for m in first.members.iter().filter(|m| m.row != row) {
        let other = &ctx.formula.rows[m.row];
        said = said.related(
            other.line,
            other.name.span,
            format!(
                "{} counts too: {}",
                ctx.called(m.id),
                words::percent(m.counted)
            ),
        );
    }
    said.fixes(lower(ctx, row, first, own));
}

/// Writes the highest level that is allowed, where the row is the substance itself in percent.
fn lower(ctx: &Context, row: usize, seen: &LimitSeen, own: Decimal) -> Option<Fix> {
    let percent = ctx.formula.rows[row].percent?;
    if seen.members.len() != 1 || own.is_zero() || seen.percent.is_zero() {
        return None;
    }
    fixes::set_percent(
        ctx,
        row,
        down(percent * seen.max / seen.highest()),
        "Lower to",
    )
}

fn scope_words(limit: &crate::kb::schema::Limit) -> String {
    let mut out = String::new();
    if !limit.scope.is_empty() {
        out.push_str(&format!(" in {}", words::scope(&limit.scope)));
    }
    if !limit.not_scope.is_empty() {
        let readable: Vec<String> = limit.not_scope.iter().map(|w| words::kinds(w)).collect();
        out.push_str(&format!(", except {}", words::list(&readable)));
    }
    out
}
