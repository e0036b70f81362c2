//! The level from which a preservative counts: that of custom, or one at which it was shown to protect.
//!
//! A level that stopped the growth of one microbe, or only slowed it, is none of these; neither is a level
//! that was shown with partners which this formula does not hold.

use super::formula::Formula;
use super::system::Preserving;
use crate::kb::Kb;
use crate::kb::schema::{Effective, Ingredient, Shows, UseBasis, UseLevel};
use rust_decimal::Decimal;

/// What a level rests on.
#[derive(Clone, Copy, Debug)]
pub enum Level<'a> {
    Used(&'a UseLevel),
    Shown(&'a Effective),
}

/// The least that counts in this kind of product; none where no level is known.
pub fn least<'a>(f: &Formula, kb: &Kb, entry: &'a Ingredient) -> Option<(Decimal, Level<'a>)> {
    let fits = |product: &str| product == "any" || f.product.has(product) || !f.product.is_said();
    let used: Vec<(Decimal, Level)> = entry
        .r#use
        .iter()
        .filter(|u| u.of == UseBasis::Formula && !u.safety && fits(&u.product))
        .filter_map(|u| Some((u.low?.0, Level::Used(u))))
        .collect();
    let shown = entry.preservative.iter().flat_map(|p| &p.effective);
    let shown = shown
        .filter(|e| e.of == UseBasis::Formula && !e.active_form && e.shows == Shows::Protects)
        // A study with the same partners tells more than custom; one of it alone only where custom is silent.
        .filter(|e| {
            if e.with.is_empty() {
                used.is_empty()
            } else {
                holds_all(f, kb, e)
            }
        })
        .map(|e| (e.percent.0, Level::Shown(e)));
    let shown: Vec<(Decimal, Level)> = shown.collect();
    used.into_iter().chain(shown).min_by_key(|(low, _)| *low)
}

/// Whether the formula holds all partners of a study.
pub fn holds_all(f: &Formula, kb: &Kb, study: &Effective) -> bool {
    study
        .with
        .iter()
        .all(|id| kb.by_id(id).is_some_and(|id| !f.percent_of(id).is_zero()))
}

/// Whether there is enough of it to count: a part of a blend counts with its blend. Where no level is known, any counts.
pub fn counts(f: &Formula, kb: &Kb, p: &Preserving) -> bool {
    let blend = f.rows[p.row]
        .id()
        .filter(|whole| *whole != p.id && kb.get(*whole).preservative.is_some());
    let (entry, percent) = match blend {
        Some(whole) => (kb.get(whole), f.percent_of(whole)),
        None => (p.entry, p.percent),
    };
    least(f, kb, entry).is_none_or(|(low, _)| percent >= low)
}
