//! A weight too small for the scale, weighed as a dilution in something that the formula holds anyway.

use super::formula::Formula;
use super::system;
use crate::chem::weighing;
use crate::kb::Kb;
use crate::kb::role::Role;
use crate::kb::schema::Dissolves;
use rust_decimal::{Decimal, RoundingStrategy};
use std::collections::HashMap;

/// A dilution, weighable on the scale throughout.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dilution {
    /// The row that gives way: what the dilution is made with.
    pub carrier: usize,
    /// Strength, % by weight.
    pub percent: Decimal,
    /// Grams of the material, and of the carrier, to mix beforehand.
    pub take_g: Decimal,
    pub carrier_g: Decimal,
    /// Grams of the mixture that go into the batch.
    pub weigh_g: Decimal,
}

/// What materials can be dissolved in beforehand: the most plentiful water and liquid oil of each phase.
pub struct Carriers<'a> {
    f: &'a Formula,
    kb: &'a Kb,
    /// By phase, and whether it is water: the two most plentiful rows, for a row does not carry itself.
    most: HashMap<(Option<usize>, bool), [Option<usize>; 2]>,
}

impl<'a> Carriers<'a> {
    pub fn of(f: &'a Formula, kb: &'a Kb) -> Self {
        let mut most: HashMap<_, [Option<usize>; 2]> = HashMap::new();
        let percent = |row: Option<usize>| row.map(|r| (f.rows[r].percent, r));
        let mut note = |n: usize, is_water: bool| {
            let best = most.entry((f.rows[n].phase, is_water)).or_default();
            if percent(Some(n)) > percent(best[0]) {
                *best = [Some(n), best[0]];
            } else if percent(Some(n)) > percent(best[1]) {
                best[1] = Some(n);
            }
        };
        for (n, row) in f.rows.iter().enumerate() {
            let Some(entry) = row.id().map(|id| kb.get(id)) else {
                continue;
            };
            if system::is_water(entry) {
                note(n, true);
            }
            if system::has_role(entry, Role::Oil) && entry.melts_c.is_none() {
                note(n, false);
            }
        }
        Carriers { f, kb, most }
    }

    /// What a little of a row can be dissolved in: water, or for what dissolves only in oil a liquid oil.
    fn carrier(&self, row: usize) -> Option<usize> {
        let one = self.kb.get(self.f.rows[row].id()?);
        let in_water = match one.dissolves? {
            Dissolves::Water | Dissolves::Both => true,
            Dissolves::Oil if one.melts_c.is_none() => false,
            _ => return None,
        };
        let most = self.most.get(&(self.f.rows[row].phase, in_water))?;
        most.iter().flatten().copied().find(|other| *other != row)
    }
}

/// For `weight_g` of a row, on a scale of which one step may be `worst_share` of it at most. `at_hand` gives the grams of
/// another row. None where no dilution does within the formula.
pub fn of(
    carriers: &Carriers,
    row: usize,
    weight_g: Decimal,
    scale: (Decimal, Decimal),
    at_hand: impl Fn(usize) -> Option<Decimal>,
) -> Option<Dilution> {
    let (step_g, worst_share) = scale;
    let carrier = carriers.carrier(row)?;
    let d = weighing::dilution(weight_g, step_g, worst_share, at_hand(carrier)?).ok()?;
    let steps = d.weigh_g.checked_div(step_g)?;
    let steps = steps.round_dp_with_strategy(0, RoundingStrategy::MidpointAwayFromZero);
    Some(Dilution {
        carrier,
        percent: d.percent,
        take_g: d.stock_material_g,
        carrier_g: d.stock_total_g.checked_sub(d.stock_material_g)?,
        weigh_g: steps.checked_mul(step_g)?,
    })
}
