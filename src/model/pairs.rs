//! Rows of `pairs.toml` that the formula holds: both sides there, at the pH and the levels at which they meet.

use super::component::{Component, ComponentKind};
use super::formula::Formula;
use super::system::{self, PhAim};
use crate::kb::number::Number;
use crate::kb::schema::{Charge, Ingredient, Pair};
use crate::kb::{Kb, PerEntryCache};
use rust_decimal::Decimal;
use rustc_hash::FxHashMap;
use std::sync::LazyLock;

/// A pair that is there, with the row that holds most of each side.
#[derive(Clone, Copy, Debug)]
pub struct IncompatiblePair {
    pub pair: &'static Pair,
    pub a: usize,
    pub b: usize,
}

/// Where each word of the sides stands: pair and side.
#[derive(Default)]
struct Sides {
    ids: FxHashMap<&'static str, Vec<Side>>,
    roles: FxHashMap<&'static str, Vec<Side>>,
    families: FxHashMap<&'static str, Vec<Side>>,
    charges: FxHashMap<&'static str, Vec<Side>>,
}

/// Number of the pair; `true`: its side b.
type Side = (usize, bool);

static SIDES: LazyLock<Sides> = LazyLock::new(|| {
    let mut out = Sides::default();
    for (n, pair) in Kb::bundled().pairs().iter().enumerate() {
        for (words, b) in [(&pair.a, false), (&pair.b, true)] {
            for word in words {
                let (list, word) = match word.split_once(':') {
                    Some(("role", role)) => (&mut out.roles, role),
                    Some(("family", family)) => (&mut out.families, family),
                    Some(("charge", charge)) => (&mut out.charges, charge),
                    _ => (&mut out.ids, word.as_str()),
                };
                list.entry(word).or_default().push((n, b));
            }
        }
    }
    out
});

static OF_ENTRIES: PerEntryCache<Box<[Side]>> = PerEntryCache::empty();

/// The pairs that are there, in the order of the base; `pair.rule` says which rule reads each.
pub fn met(f: &Formula, kb: &Kb) -> Vec<IncompatiblePair> {
    let pairs = kb.pairs();
    let mut members: Vec<(Side, &Component)> = Vec::with_capacity(f.rows.len());
    for s in f
        .components
        .iter()
        .filter(|s| s.kind != ComponentKind::Constituent && !s.max.is_zero())
    {
        let one = kb.get(s.id);
        for side in OF_ENTRIES.get(kb, s.id, |one| SIDES.of(one)).iter() {
            let pair = &pairs[side.0];
            if !pair.except.contains(&one.id) {
                members.push((*side, s));
            }
        }
    }
    members.sort_by_key(|(side, _)| *side);
    // A material may be on a side by its name and by its role.
    members.dedup_by(|a, b| a.0 == b.0 && std::ptr::eq(a.1, b.1));
    let largest = |there: &[(Side, &Component)], least: Option<Number>| {
        let sum: Decimal = there.iter().map(|(_, s)| s.max).sum();
        least
            .is_none_or(|l| sum >= l.0)
            .then(|| f.largest_row(there.iter().map(|(_, s)| *s)))
            .flatten()
    };
    let aim = system::ph_allowed(f);
    let both = members.chunk_by(|a, b| a.0.0 == b.0.0).filter_map(|pair| {
        let (a, b) = pair.split_at(pair.partition_point(|((_, b), _)| !b));
        a.first()
            .filter(|_| !b.is_empty())
            .map(|((n, _), _)| (*n, a, b))
    });
    both.filter(|(n, ..)| at_this_ph(aim.as_ref(), &pairs[*n]))
        .filter_map(|(n, a, b)| {
            let pair = &pairs[n];
            let (a, b) = (
                largest(a, pair.a_min_percent)?,
                largest(b, pair.b_min_percent)?,
            );
            (a != b).then_some(IncompatiblePair { pair, a, b })
        })
        .collect()
}

impl Sides {
    /// Every side that a material stands on.
    fn of(&self, one: &Ingredient) -> Box<[Side]> {
        let roles = one.roles.iter().filter_map(|r| self.roles.get(r.as_str()));
        let charge = one.charge.and_then(|c| self.charges.get(name(c)));
        self.ids
            .get(one.id.as_str())
            .into_iter()
            .chain(self.families.get(one.family.as_str()))
            .chain(charge)
            .chain(roles)
            .flatten()
            .copied()
            .collect()
    }
}

fn name(charge: Charge) -> &'static str {
    match charge {
        Charge::Anionic => "anionic",
        Charge::Cationic => "cationic",
        Charge::Nonionic => "nonionic",
        Charge::Amphoteric => "amphoteric",
    }
}

/// Whether the product's pH lets the pair react; where no pH is said, it may.
fn at_this_ph(aim: Option<&PhAim>, pair: &Pair) -> bool {
    let Some(aim) = aim else { return true };
    pair.ph_above.is_none_or(|p| aim.high > p.0) && pair.ph_below.is_none_or(|p| aim.low < p.0)
}
