//! Rows of `pairs.toml` that the formula holds: both sides there, at the pH and the levels at which they meet.

use super::composition::{Share, ShareOf};
use super::formula::Formula;
use super::system;
use crate::kb::Kb;
use crate::kb::hash::Plain;
use crate::kb::number::Number;
use crate::kb::schema::{Charge, Ingredient, Pair};
use rust_decimal::Decimal;
use std::collections::HashMap;
use std::sync::LazyLock;

/// A pair that is there, with the row that holds most of each side.
#[derive(Clone, Copy, Debug)]
pub struct Met {
    pub pair: &'static Pair,
    pub a: usize,
    pub b: usize,
}

/// Where each word of the sides stands: pair and side.
#[derive(Default)]
struct Sides {
    ids: HashMap<&'static str, Vec<Side>, Plain>,
    roles: HashMap<&'static str, Vec<Side>, Plain>,
    families: HashMap<&'static str, Vec<Side>, Plain>,
    charges: HashMap<&'static str, Vec<Side>, Plain>,
}

/// Number of the pair; `true`: its side b.
type Side = (usize, bool);

/// By the rule that reads them.
static SIDES: LazyLock<HashMap<&'static str, Sides, Plain>> = LazyLock::new(|| {
    let mut all: HashMap<&str, Sides, Plain> = HashMap::default();
    for (n, pair) in Kb::bundled().pairs().iter().enumerate() {
        let out = all.entry(&pair.rule).or_default();
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
    all
});

/// The pairs that name a rule.
pub fn met(f: &Formula, kb: &Kb, rule: &str) -> Vec<Met> {
    let pairs = kb.pairs();
    let Some(known) = SIDES.get(rule) else { return Vec::new() };
    let mut members: HashMap<Side, Vec<&Share>, Plain> = HashMap::default();
    for s in f.shares.iter().filter(|s| s.what != ShareOf::Constituent && !s.high.is_zero()) {
        let one = kb.get(s.id);
        for side in known.of(one) {
            let pair = &pairs[side.0];
            if !pair.except.contains(&one.id) {
                let there = members.entry(*side).or_default();
                // A material may be on a side by its name and by its role.
                if !there.last().is_some_and(|l| std::ptr::eq(*l, s)) && !there.iter().any(|l| std::ptr::eq(*l, s)) {
                    there.push(s);
                }
            }
        }
    }
    let largest = |side: Side, least: Option<Number>| {
        let there = members.get(&side)?;
        let sum: Decimal = there.iter().map(|s| s.high).sum();
        least.is_none_or(|l| sum >= l.0).then(|| f.largest_row(there.iter().copied())).flatten()
    };
    let mut found: Vec<usize> = members.keys().filter(|(n, b)| *b && members.contains_key(&(*n, false))).map(|(n, _)| *n).collect();
    found.sort_unstable();
    found
        .into_iter()
        .filter(|n| at_this_ph(f, &pairs[*n]))
        .filter_map(|n| {
            let pair = &pairs[n];
            let (a, b) = (largest((n, false), pair.a_min_percent)?, largest((n, true), pair.b_min_percent)?);
            (a != b).then_some(Met { pair, a, b })
        })
        .collect()
}

impl Sides {
    /// Every side that a material stands on.
    fn of(&self, one: &Ingredient) -> impl Iterator<Item = &Side> {
        let roles = one.roles.iter().filter_map(|r| self.roles.get(r.as_str()));
        let charge = one.charge.and_then(|c| self.charges.get(name(c)));
        self.ids.get(one.id.as_str()).into_iter().chain(self.families.get(one.family.as_str())).chain(charge).chain(roles).flatten()
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
fn at_this_ph(f: &Formula, pair: &Pair) -> bool {
    let Some(aim) = system::ph_aim(f) else { return true };
    pair.ph_above.is_none_or(|p| aim.high > p.0) && pair.ph_below.is_none_or(|p| aim.low < p.0)
}
