//! On a row: one verdict a market.

use crate::analysis::law::{BanHit, LimitHit};
use crate::ide::Snapshot;
use crate::kb::card::Card;
use crate::kb::{Id, Market};
use crate::model::Formula;
use crate::model::component::ComponentKind;
use crate::model::product::Applies;
use crate::rules::words;
use rust_decimal::Decimal;

/// A line for each market, those that say the same together: banned, how much of the tightest limit is used, or that nothing is listed.
/// `card` tells what else there is about the material; without one (a formula taken as an ingredient) only what was found is said.
pub(super) fn verdicts(s: &Snapshot, f: &Formula, n: usize, card: Option<&Card>) -> String {
    let markets = s.markets();
    let (limits, bans) = (s.law().limits(), s.law().bans());
    let (limits, bans) = (limits.in_force_or_announced(), bans.in_force_or_announced());
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for market in markets.iter().copied() {
        let found = banned(s, f, n, bans.iter().filter(|b| b.market == market))
            .or_else(|| limited(s, n, limits.iter().filter(|l| l.market == market)))
            .or_else(|| Some(otherwise(f, n, card?, market)));
        let Some(verdict) = found else { continue };
        match told.iter_mut().find(|(v, _)| *v == verdict) {
            Some((_, where_)) => where_.push(market.code()),
            None => told.push((verdict, vec![market.code()])),
        }
    }
    told.iter()
        .map(|(verdict, markets)| format!("- **{}:** {verdict}\n", markets.join(", ")))
        .collect()
}

/// What bans something in this row, for certain before what the file leaves open.
fn banned<'a>(
    s: &Snapshot,
    f: &Formula,
    n: usize,
    bans: impl Iterator<Item = &'a BanHit>,
) -> Option<String> {
    let holds = |id: Id| {
        f.components_of(id)
            .iter()
            .any(|share| share.row == n && share.kind != ComponentKind::Constituent)
    };
    let ban = bans
        .filter(|b| b.member.row == n || holds(b.member.id))
        .min_by_key(|b| (b.applies != Applies::Yes, b.status.from()))?;
    let name = part(s, f, n, ban.member.id);
    let when = ban
        .status
        .from()
        .map_or(String::new(), |day| format!(" from {day}"));
    Some(match ban.applies {
        Applies::Unknown(axis) => format!(
            "{name}banned{when} in some products; the field \"{}\" would say",
            axis.field()
        ),
        _ => format!("**{name}banned{when}**"),
    })
}

/// How much of the tightest limit is used.
fn limited<'a>(
    s: &Snapshot,
    n: usize,
    limits: impl Iterator<Item = &'a LimitHit>,
) -> Option<String> {
    let f = s.formula.as_ref()?;
    let used = |l: &LimitHit| l.percent.checked_div(l.max).unwrap_or(Decimal::MAX);
    let l = limits
        .filter(|l| l.members.iter().any(|m| m.row == n))
        .min_by(|a, b| {
            (a.status.from(), a.applies != Applies::Yes)
                .cmp(&(b.status.from(), b.applies != Applies::Yes))
                .then(used(b).cmp(&used(a)))
        })?;
    let own = l.members.iter().find(|m| m.row == n)?;
    let name = part(s, f, n, own.id);
    let of = format!(
        "{name}{} of at most {}",
        words::readable_percent(l.percent),
        words::percent(l.max)
    );
    let verdict = if l.exceeded() {
        format!("**above the limit:** {of}")
    } else {
        let share = used(l).checked_mul(Decimal::ONE_HUNDRED);
        let share = share.map_or(String::new(), |u| {
            format!("{} % of the limit used: ", words::number(u, 0))
        });
        format!("{share}{of}")
    };
    let with = if l.members.iter().any(|m| m.row != n) {
        ", with other rows"
    } else {
        ""
    };
    let open = match l.applies {
        Applies::Unknown(axis) => format!("; the field \"{}\" would say", axis.field()),
        _ => String::new(),
    };
    let when = l
        .status
        .from()
        .map_or(String::new(), |day| format!("from {day} "));
    Some(format!("{when}{verdict}{with}{open}"))
}

/// Nothing was met: because nothing is listed, or because the amount is not known or the entry is about another use.
fn otherwise(f: &Formula, n: usize, card: &Card, market: Market) -> String {
    let has_rows = card.limits.iter().any(|l| l.market == market)
        || card.bans.iter().any(|b| b.market == market)
        || card.colours.iter().any(|c| c.market == market)
        || card.medicines.iter().any(|m| m.market == market);
    if !has_rows {
        return "no listed limit or ban".to_owned();
    }
    if f.rows[n].percent.is_none_or(|p| p.is_zero()) {
        "not judged, the amount is not known; see Law below".to_owned()
    } else {
        "conditions, see Law below".to_owned()
    }
}

/// The name of what is limited, where it is only a part of the row's material.
fn part(s: &Snapshot, f: &Formula, n: usize, id: Id) -> String {
    if f.rows[n].id() == Some(id) {
        String::new()
    } else {
        format!("{} ", crate::ide::words::text(s.kb.name(id)))
    }
}
