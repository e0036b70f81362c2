//! Limits of the share and of the pH that touch the formula.

use super::members::{Member, members, members_or_enough};
use super::{Hit, Hits, rows_naming};
use crate::chem::date::Date;
use crate::kb::law::{Law, Status};
use crate::kb::schema::{Limit, ReviewStatus};
use crate::kb::{Kb, Market};
use crate::model::Formula;
use crate::model::product::Applies;
use rust_decimal::Decimal;

/// A limit that touches the formula.
#[derive(Clone, Debug)]
pub struct LimitHit {
    pub market: Market,
    pub law: &'static Law,
    pub limit: &'static Limit,
    pub status: Status,
    pub applies: Applies,
    /// What is in the formula, as the law counts it.
    pub percent: Decimal,
    /// What the law allows, in percent.
    pub max: Decimal,
    /// Each substance of the limit that is there: row, its own percent, the same as counted.
    pub members: Vec<Member>,
}

impl LimitHit {
    /// The published contents of the materials can bring more than is allowed.
    pub fn exceeded(&self) -> bool {
        self.highest() > self.max
    }
    /// Even the lowest published contents bring more than is allowed.
    pub fn surely_exceeded(&self) -> bool {
        self.members.iter().map(|m| m.lowest).sum::<Decimal>() > self.max
    }
    pub fn highest(&self) -> Decimal {
        self.members.iter().map(|m| m.highest).sum()
    }
    /// Different substances in the sum.
    pub fn is_family(&self) -> bool {
        self.members.iter().any(|m| m.id != self.members[0].id)
    }
    /// The member with the largest counted share; its row carries the message.
    pub fn largest(&self) -> Member {
        *self
            .members
            .iter()
            .max_by(|a, b| a.counted.cmp(&b.counted).then(b.row.cmp(&a.row)))
            .expect("a limit is seen because a member is there")
    }
    pub fn recheck(&self) -> bool {
        self.limit.review == ReviewStatus::NeedsReview
    }
}

/// A limit of pH that touches the formula.
#[derive(Clone, Debug)]
pub struct PhLimitHit {
    pub market: Market,
    pub law: &'static Law,
    pub limit: &'static Limit,
    pub status: Status,
    pub applies: Applies,
    /// The one with most in it.
    pub member: Member,
}

impl Hit for LimitHit {
    fn status(&self) -> Status {
        self.status
    }
}

impl Hit for PhLimitHit {
    fn status(&self) -> Status {
        self.status
    }
}

/// All limits of the markets that name something in the formula.
pub(super) fn limits(f: &Formula, kb: &Kb, markets: &[Market], today: Date) -> Hits<LimitHit> {
    let all = rows_naming::<Limit>(f, kb, markets)
        .filter_map(|(law, limit)| {
            // A row that limits the pH alone has no share.
            let max = limit.max_percent?.0;
            let applies = f.product.fits(&limit.scope, &limit.not_scope);
            if applies == Applies::No {
                return None;
            }
            let members: Vec<Member> = limit
                .substances
                .iter()
                .filter_map(|s| kb.by_id(s))
                .flat_map(|id| members(f, kb, id, limit.purpose.as_deref(), limit.r#as.as_deref()))
                .collect();
            if members.is_empty() {
                return None;
            }
            let percent = members.iter().map(|m| m.counted).sum();
            Some(LimitHit {
                market: law.market,
                law,
                limit,
                status: Status::of(limit, today),
                applies,
                percent,
                max,
                members,
            })
        })
        .collect();
    Hits(all)
}

/// All limits of pH of the markets, with or without a limit of the share, that name something in the formula.
pub(super) fn ph_limits(f: &Formula, kb: &Kb, markets: &[Market], today: Date) -> Hits<PhLimitHit> {
    let all = rows_naming::<Limit>(f, kb, markets)
        .filter_map(|(law, limit)| {
            if limit.ph_min.is_none() && limit.ph_max.is_none() {
                return None;
            }
            let applies = f.product.fits(&limit.scope, &limit.not_scope);
            // Rows that ask for a field are for other products until it is said; the percent rows ask for it already.
            if applies == Applies::No {
                return None;
            }
            let all = limit.substances.iter().filter_map(|s| kb.by_id(s));
            // The alkali that sets the pH has no share of its own; its row is enough.
            let member = all
                .flat_map(|id| members_or_enough(f, kb, id, limit.purpose.as_deref()))
                .max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row)))?;
            Some(PhLimitHit {
                market: law.market,
                law,
                limit,
                status: Status::of(limit, today),
                applies,
                member,
            })
        })
        .collect();
    Hits(all)
}
