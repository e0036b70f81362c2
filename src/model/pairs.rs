//! Rows of `pairs.toml` that the formula holds: both sides there, at the pH and the levels at which they meet.

use super::composition::ShareOf;
use super::formula::Formula;
use super::system;
use crate::kb::Kb;
use crate::kb::schema::{Charge, Ingredient, Pair};
use rust_decimal::Decimal;

/// A pair that is there, with the row that holds most of each side.
#[derive(Clone, Copy, Debug)]
pub struct Met {
    pub pair: &'static Pair,
    pub a: usize,
    pub b: usize,
}

/// The pairs that name a rule.
pub fn met(f: &Formula, kb: &Kb, rule: &str) -> Vec<Met> {
    let here = |pair: &&Pair| pair.rule == rule && at_this_ph(f, pair);
    let both = |pair: &'static Pair| {
        let a = largest(f, kb, pair, &pair.a, pair.a_min_percent.map(|n| n.0))?;
        let b = largest(f, kb, pair, &pair.b, pair.b_min_percent.map(|n| n.0))?;
        (a != b).then_some(Met { pair, a, b })
    };
    kb.pairs().iter().filter(here).filter_map(both).collect()
}

/// The row with most of one side, at its least share or above.
fn largest(f: &Formula, kb: &Kb, pair: &Pair, side: &[String], least: Option<Decimal>) -> Option<usize> {
    let members = || {
        f.shares.iter().filter(|s| {
            let one = kb.get(s.id);
            s.what != ShareOf::Constituent && !s.high.is_zero() && is_of(one, side) && !pair.except.contains(&one.id)
        })
    };
    let sum: Decimal = members().map(|s| s.high).sum();
    least.is_none_or(|l| sum >= l).then(|| f.largest_row(members())).flatten()
}

fn is_of(one: &Ingredient, side: &[String]) -> bool {
    side.iter().any(|word| match word.split_once(':') {
        Some(("role", role)) => system::has_role(one, role),
        Some(("family", family)) => one.family == family,
        Some(("charge", charge)) => one.charge.is_some_and(|c| charge == name(c)),
        _ => one.id == *word,
    })
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
