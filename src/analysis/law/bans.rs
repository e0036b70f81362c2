//! Prohibitions that touch the formula.

use super::members::{Member, members};
use super::{Hit, Hits};
use crate::chem::date::Date;
use crate::kb::law::{Law, Status};
use crate::kb::schema::{Ban, SourceKind};
use crate::kb::{Id, Kb, Market};
use crate::model::Formula;
use crate::model::component::ComponentKind;
use crate::model::product::Applies;
use rust_decimal::Decimal;

/// A ban that touches the formula.
#[derive(Clone, Debug)]
pub struct BanHit {
    pub market: Market,
    pub law: &'static Law,
    pub ban: &'static Ban,
    pub status: Status,
    /// Yes: banned for this product; unsaid: depends on a field.
    pub applies: Applies,
    /// It is there by typical contents of a natural material, not by the lowest published.
    pub by_typical_content: bool,
    pub member: Member,
}

impl Hit for BanHit {
    fn status(&self) -> Status {
        self.status
    }
}

/// All bans of the markets that name something in the formula.
pub(super) fn bans(f: &Formula, kb: &Kb, markets: &[Market], today: Date) -> Hits<BanHit> {
    let mut out = Vec::new();
    let laws: Vec<&Law> = kb.laws_of(markets).collect();
    for id in f.substances() {
        let same = kb.same_as(id);
        let meant = || std::iter::once(id).chain(same.iter().copied());
        for (law, ban) in laws
            .iter()
            .flat_map(|law| law.ban.naming_any(meant()).map(move |ban| (*law, ban)))
        {
            let applies = match (ban.in_scope.is_empty(), ban.only_scope.is_empty()) {
                (true, true) => Applies::Yes,
                (false, _) => f.product.fits(&ban.in_scope, &[]),
                (true, false) => match f.product.fits_only(&ban.only_scope) {
                    Applies::Yes => Applies::No,
                    Applies::No => Applies::Yes,
                    unknown => unknown,
                },
            };
            if applies == Applies::No {
                continue;
            }
            let all = members(f, kb, id, ban.purpose.as_deref(), None);
            let sum: Decimal = all.iter().map(|m| m.percent).sum();
            if sum.is_zero() || ban.trace_percent.is_some_and(|t| sum <= t.0) {
                continue;
            }
            // Inside a natural material, traces that nobody can avoid are let pass: those of the law, else of custom.
            let natural = f
                .components_of(id)
                .iter()
                .all(|s| s.kind == ComponentKind::Constituent);
            let trace = ban
                .trace_percent
                .map_or_else(|| kb.threshold("natural-trace-percent").value.0, |t| t.0);
            if natural && sum <= trace {
                continue;
            }
            let lowest: Decimal = all.iter().map(|m| m.lowest).sum();
            let by_typical_content = natural && lowest <= trace;
            if let Some(member) = all
                .into_iter()
                .max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row)))
            {
                out.push(BanHit {
                    market: law.market,
                    law,
                    ban,
                    status: Status::of(ban, today),
                    applies,
                    by_typical_content,
                    member,
                });
            }
        }
    }
    Hits(out)
}

/// What the European Union prohibits in every cosmetic product and the other markets' own law says
/// nothing of, with those markets.
pub(super) fn prohibited_abroad(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
    today: Date,
) -> Vec<(BanHit, Vec<Market>)> {
    const STRICTEST: Market = Market::EuropeanUnion;
    if markets.iter().all(|m| *m == STRICTEST) {
        return Vec::new();
    }
    let Hits(strict) = bans(f, kb, &[STRICTEST], today);
    let strict = strict.into_iter().filter(|seen| {
        let everywhere = seen.ban.in_scope.is_empty() && seen.ban.only_scope.is_empty();
        everywhere && seen.status.is_in_force()
    });
    // A market's law speaks of a substance where it prohibits it or says where it may be. What is
    // only remembered of a law does not speak for it.
    let read = |source: &str| {
        kb.source(source)
            .is_some_and(|s| s.kind != SourceKind::Unsourced)
    };
    let speaks = |law: &Law, id: Id| {
        law.ban
            .naming(id)
            .any(|row| row.in_scope.is_empty() && read(&row.source))
            || law.limit.naming(id).any(|row| read(&row.source))
            || law.colour.naming(id).any(|row| read(&row.source))
    };
    let silent = |seen: &BanHit, market: Market| {
        kb.laws_of(&[market])
            .all(|law| !speaks(law, seen.member.id))
    };
    strict
        .filter_map(|seen| {
            let others = markets.iter().copied().filter(|m| *m != STRICTEST);
            let silent: Vec<Market> = others.filter(|m| silent(&seen, *m)).collect();
            (!silent.is_empty()).then_some((seen, silent))
        })
        .collect()
}
