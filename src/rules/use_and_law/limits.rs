//! Limits that are exceeded: one message for each cause, with all its markets.

use crate::analysis::law::{self, LimitHit};
use crate::model::product::{Applies, Axis};
use crate::rules::finding::{Level, Target};
use crate::rules::fixes::down;
use crate::rules::{Context, Severity, Sink, Subject, words};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// Says the exceeded limits that the rule picks.
pub(super) fn say(ctx: &Context, sink: &mut Sink, pick: impl Fn(&LimitHit) -> bool) {
    // One cause is one set of substances on one row, whatever the number of markets and scopes.
    let mut causes: BTreeMap<(usize, Vec<crate::kb::Id>), Vec<&LimitHit>> = BTreeMap::new();
    let hits = ctx.law().limits().in_force_or_announced().iter();
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
        let in_force: Vec<&LimitHit> = seen
            .iter()
            .copied()
            .filter(|s| s.status.is_in_force())
            .collect();
        if in_force.is_empty() {
            if let Some(first) = seen.iter().min_by_key(|s| s.max) {
                one(
                    ctx,
                    sink,
                    row,
                    first,
                    &[first],
                    first.max,
                    Severity::Information,
                );
            }
            continue;
        }
        let certain: Vec<&LimitHit> = in_force
            .iter()
            .copied()
            .filter(|s| s.applies == Applies::Yes || forbidden_everywhere(ctx, s))
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
            let strictest = strictest_of(&seen, first);
            one(ctx, sink, row, first, &all, strictest, level);
        }
    }
}

/// The lowest of all limits that the row is above, as a level of what `first` counts.
fn strictest_of(all: &[&LimitHit], first: &LimitHit) -> Decimal {
    all.iter()
        .filter_map(|s| s.max.checked_mul(first.highest())?.checked_div(s.highest()))
        .fold(first.max, Decimal::min)
}

/// Nothing says what the product is, and every scope of this market forbids the level.
fn forbidden_everywhere(ctx: &Context, seen: &LimitHit) -> bool {
    !ctx.formula.product.is_said()
        && ctx
            .law()
            .limits()
            .in_force()
            .filter(|o| o.market == seen.market && o.largest().id == seen.largest().id)
            .all(LimitHit::exceeded)
        && ctx
            .law()
            .limits()
            .in_force()
            .filter(|o| o.market == seen.market && o.largest().id == seen.largest().id)
            .count()
            > 1
}

/// `all`: the limits that speak here; `strictest`: the lowest that any text sets, announced or doubtful ones too.
fn one(
    ctx: &Context,
    sink: &mut Sink,
    row: usize,
    first: &LimitHit,
    all: &[&LimitHit],
    strictest: Decimal,
    level: Severity,
) {
    let limit = first.limit;
    let r = &ctx.formula.rows[row];
    // Markets that say the same stand together; those that allow another level are named with theirs.
    let same = |s: &LimitHit| s.max == first.max && s.recheck() == first.recheck();
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
    let at_most = if reaches {
        "up to "
    } else if first.surely_exceeded() {
        ""
    } else {
        "typically "
    };
    let what = match names.as_slice() {
        [one] => format!("{at_most}{}{as_what}", words::dosed(percent, one)),
        [a, b] => format!("{at_most}{} {a} and {b}{as_what}", words::percent(percent)),
        [a, rest @ ..] => format!(
            "{at_most}{} {a} and {} more{as_what}",
            words::percent(percent),
            rest.len()
        ),
        [] => String::new(),
    };
    let from = match first.status.from() {
        Some(day) => format!("from {day} "),
        _ => String::new(),
    };
    let limit_said = format!(
        "{what}: {from}{} {} {}",
        words::markets(&markets),
        words::by_count(markets.len(), "allows", "allow"),
        words::percent(first.max)
    );
    let mut why = Vec::new();
    let message = words::scoped(limit_said, &limit.scope, &mut why);
    for market in others {
        let max = all.iter().filter(|s| s.market == market).map(|s| s.max);
        if let Some(max) = max.min() {
            let market = words::markets(&[market]);
            why.push(format!("{market} allows {}", words::percent(max)));
        }
    }
    if names.len() > 2 {
        why.push(format!("{} count together", words::list(&names)));
    }
    if !limit.not_scope.is_empty() {
        let readable: Vec<String> = limit.not_scope.iter().map(|w| words::kinds(w)).collect();
        why.push(format!(
            "the limit does not hold for {} products",
            words::list(&readable)
        ));
    }
    let target = target(ctx, row, first, strictest);
    let mut help = match (&target, names.len()) {
        (Some(_), _) => String::new(),
        (None, 1) => "Use less".to_owned(),
        (None, _) => "Lower one of them".to_owned(),
    };
    if let Applies::Unknown(axis) = first.applies {
        let write = or_write(ctx, axis);
        help.push_str(if help.is_empty() {
            write.trim_start_matches(", or ")
        } else {
            &write
        });
    }
    let mut said = sink
        .say(Subject::Row(row), r.line, r.amount.span, message)
        .help(help)
        .why((!why.is_empty()).then(|| why.join("; ")))
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
    said.ask(target);
}

/// The row at the strictest of the limits that it is above, where one substance alone is counted.
fn target(ctx: &Context, row: usize, seen: &LimitHit, strictest: Decimal) -> Option<Target> {
    let r = &ctx.formula.rows[row];
    let [member] = &seen.members[..] else {
        return None;
    };
    let percent = r.percent.filter(|p| !p.is_zero())?;
    // Inside a natural material or a blend the maker doses the whole.
    let what = if r.id() == Some(member.id) {
        "it".to_owned()
    } else {
        r.name.value.to_string()
    };
    let level = down(
        percent
            .checked_mul(strictest)?
            .checked_div(seen.highest())?,
    );
    (level > Decimal::ZERO).then_some(Target {
        row,
        level: Level::AtMost(level),
        what,
        as_what: "the most that the law allows",
        others_too: true,
    })
}

/// Asks for the field that decides whether a row of law holds.
pub(super) fn or_write(ctx: &Context, axis: Axis) -> String {
    let field = if ctx.formula.product.is_said() {
        axis.field()
    } else {
        Axis::Stays.field()
    };
    format!(", or write \"{field}:\", which decides whether this holds")
}
