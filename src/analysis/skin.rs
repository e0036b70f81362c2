//! What skin bears of the materials in a formula, by published maxima; and the highest share of a row that all known figures allow.

use super::law::LimitHit;
use crate::kb::schema::SkinMaximum;
use crate::kb::{Id, Kb};
use crate::model::Formula;
use crate::model::component::Component;
use crate::model::product::Applies;
use rust_decimal::Decimal;

/// A published maximum that fits the product, and what the formula holds of its material, summed over all rows.
#[derive(Clone, Debug)]
pub struct SkinHit<'a> {
    pub id: Id,
    pub maximum: &'a SkinMaximum,
    pub applies: Applies,
    pub components: Vec<Component>,
}

impl SkinHit<'_> {
    pub fn max(&self) -> Decimal {
        self.maximum.percent.0
    }
    pub fn lowest(&self) -> Decimal {
        self.components.iter().map(|s| s.min).sum()
    }
    pub fn typical(&self) -> Decimal {
        self.components.iter().map(|s| s.typical).sum()
    }
    pub fn highest(&self) -> Decimal {
        self.components.iter().map(|s| s.max).sum()
    }
    /// The row that brings most.
    pub fn row(&self) -> usize {
        let most = self
            .components
            .iter()
            .max_by(|a, b| a.typical.cmp(&b.typical).then(b.row.cmp(&a.row)));
        most.map_or(0, |s| s.row)
    }
}

/// All maxima that touch the formula.
pub fn maxima<'a>(f: &Formula, kb: &'a Kb) -> Vec<SkinHit<'a>> {
    let mut out = Vec::new();
    for id in f.substances() {
        for maximum in &kb.get(id).skin_max {
            let applies = f.product.fits(&maximum.scope, &maximum.not_scope);
            let components: Vec<Component> = f
                .components_of(id)
                .iter()
                .copied()
                .filter(|s| !s.max.is_zero())
                .collect();
            // Where it is not said whether the product stays on, it may.
            let fits =
                applies == Applies::Yes || applies != Applies::No && f.product.leave_on().is_none();
            if fits && !components.is_empty() {
                out.push(SkinHit {
                    id,
                    maximum,
                    applies,
                    components,
                });
            }
        }
    }
    out
}

/// The highest share of a row, in percent of the formula, at which no known limit, skin maximum or phototoxic share is exceeded by what
/// this row brings. None where nothing known bounds it.
pub fn ceiling(
    f: &Formula,
    kb: &Kb,
    row: usize,
    limits: &[LimitHit],
    maxima: &[SkinHit],
) -> Option<Decimal> {
    let percent = f.rows[row].percent.filter(|p| !p.is_zero())?;
    let scaled = |max: Decimal, mine: Decimal| (percent * max).checked_div(mine);
    let by_law = limits.iter().filter_map(|l| {
        let mine: Decimal = l
            .members
            .iter()
            .filter(|m| m.row == row)
            .map(|m| m.highest)
            .sum();
        scaled(l.max, mine)
    });
    let by_skin = maxima.iter().filter_map(|m| {
        let mine: Decimal = m
            .components
            .iter()
            .filter(|s| s.row == row)
            .map(|s| s.max)
            .sum();
        scaled(m.max(), mine)
    });
    let by_sun = (f.product.leave_on() != Some(false))
        .then(|| kb.get(f.rows[row].id()?).phototoxic_max_percent.as_deref())
        .flatten()
        .map(|max| max.value.0);
    by_law.chain(by_skin).chain(by_sun).min()
}
