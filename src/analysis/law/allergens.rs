//! The fragrance allergens that a label must name: one answer for the check, the label, the card and the hover.
//!
//! (EU) 2023/1545: above 0.001 % in what stays on the skin, above 0.01 % in what is rinsed off, whatever brings
//! them. Where the file does not say which it is, the stricter threshold counts.

use super::{Hit, Hits, rows_naming};
use crate::chem::allergens::{self, AllergenSource, ShareRange, Verdict};
use crate::chem::date::Date;
use crate::kb::law::{Law, Status};
use crate::kb::schema::{Allergen, Constituent};
use crate::kb::{Id, Kb, Market};
use crate::model::Formula;
use crate::model::component::{Component, ComponentKind};
use rust_decimal::Decimal;

/// An allergen above its threshold at the highest share known.
#[derive(Clone, Debug)]
pub struct AllergenHit {
    pub market: Market,
    pub law: &'static Law,
    pub allergen: &'static Allergen,
    pub status: Status,
    /// Percent of the product that is asked for.
    pub threshold: Decimal,
    /// Percent of the product.
    pub total: ShareRange,
    /// Nothing brings it of which more than the highest share is known: `total.usual` says too little.
    pub top_only: bool,
    /// How sure it is that the label names it; never `Below`.
    pub verdict: Verdict,
    /// What brings it: natural materials, blends under one name, or itself.
    pub by: Vec<Id>,
    /// Those of `substances` that stand in the list by themselves, under whatever name.
    pub own: Vec<Id>,
    /// Rows that bring it, in their order.
    pub rows: Vec<usize>,
    /// It stands in the list of ingredients by itself, under the name that the law gives it.
    pub listed: bool,
}

impl Hit for AllergenHit {
    fn status(&self) -> Status {
        self.status
    }
}

impl AllergenHit {
    /// What the base says of the shares that natural materials hold of it.
    pub fn constituents<'a>(&self, kb: &'a Kb) -> impl Iterator<Item = &'a Constituent> {
        let of = &self.allergen.substances;
        self.by
            .iter()
            .flat_map(|id| &kb.get(*id).constituents)
            .filter(|c| of.contains(&c.of))
    }
}

/// Allergens of the markets' laws above their threshold, in the order of the law.
pub(super) fn allergens(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
    today: Date,
) -> Hits<AllergenHit> {
    let all = rows_naming::<Allergen>(f, kb, markets)
        .filter_map(|(law, one)| hit(f, kb, law, one, today));
    Hits(all.collect())
}

fn hit(
    f: &Formula,
    kb: &Kb,
    law: &'static Law,
    one: &'static Allergen,
    today: Date,
) -> Option<AllergenHit> {
    let threshold = match f.product.leave_on() {
        Some(false) => one.rinse_off_percent.0,
        Some(true) | None => one.leave_on_percent.0,
    };
    let shares: Vec<&Component> = one
        .substances
        .iter()
        .filter_map(|s| kb.by_id(s))
        .flat_map(|id| f.components_of(id))
        // The parts of a blend are components too.
        .filter(|s| s.kind != ComponentKind::Blend && !s.max.is_zero())
        .collect();
    let total = total(&shares)?;
    let verdict = allergens::verdict(total, threshold);
    if verdict == Verdict::Below {
        return None;
    }
    let mut by: Vec<Id> = shares.iter().map(|s| s.by).collect();
    by.sort_unstable();
    by.dedup();
    let mut rows: Vec<usize> = shares.iter().map(|s| s.row).collect();
    rows.sort_unstable();
    rows.dedup();
    let mut own: Vec<Id> = shares.iter().filter(|s| s.listed).map(|s| s.id).collect();
    own.sort_unstable();
    own.dedup();
    let named = |id: &Id| {
        let entry = kb.get(*id);
        let names = [&entry.inci, &entry.inci_us];
        names
            .into_iter()
            .flatten()
            .any(|n| n.eq_ignore_ascii_case(&one.name))
    };
    Some(AllergenHit {
        market: law.market,
        law,
        allergen: one,
        status: Status::of(one, today),
        threshold,
        total,
        top_only: shares.iter().all(|s| s.top_only),
        verdict,
        by,
        rows,
        listed: own.iter().any(named),
        own,
    })
}

fn total(shares: &[&Component]) -> Option<ShareRange> {
    // The shares are of the product already: each is the whole of itself.
    let whole = Decimal::ONE_HUNDRED;
    let content = ShareRange {
        low: whole,
        usual: whole,
        high: whole,
    };
    let sum = |of: fn(&Component) -> Decimal| {
        let sources: Vec<AllergenSource> = shares
            .iter()
            .map(|s| AllergenSource {
                percent: of(s),
                content,
            })
            .collect();
        allergens::total(&sources).ok()
    };
    // What of a share is not known below its top counts as nothing there.
    let known = |s: &Component| if s.top_only { Decimal::ZERO } else { s.typical };
    Some(ShareRange {
        low: sum(|s| s.min)?.low,
        usual: sum(known)?.usual,
        high: sum(|s| s.max)?.high,
    })
}
