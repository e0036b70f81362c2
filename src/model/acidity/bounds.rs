//! Acid groups that are known only between bounds: the lowest and the highest pH that they allow.
//!
//! At any pH a group brings the charge (share neutralised − share that has lost its proton there). It is a base where that is
//! above zero and an acid below. The highest pKa and the highest share neutralised are the most basic, the lowest of both the most
//! acid. Whether much or little of it goes further depends on the pH, so the amount is chosen at the pH. The total charge falls
//! steadily with the pH, so repeating the choice at each new pH climbs (or sinks) to the one pH where every choice is extreme.

use crate::chem::acid_base::{Activity, System};
use crate::chem::{ChemError, float};
use crate::kb::schema::{AcidGroups, Range};

/// Groups of one kind in a row, each figure from and to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct BoundedGroups {
    /// Place in the list of materials that they belong to.
    pub of: usize,
    /// mol per kg of water.
    pub mol: [f64; 2],
    pub pka: [f64; 2],
    /// Share that has given its proton to a base as the material goes in.
    pub neutralised: [f64; 2],
    /// The figures stand in the knowledge base, so their middle is a fair guess. A bound by class has no such middle.
    pub figures: bool,
}

/// Upper limit for groups of one kind, mol/kg. More moves no pH that matters, and a powder that hardly dissolves would count as salt.
pub(super) const MAX_MOL_KG: f64 = 0.5;

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Extreme {
    Acid,
    Base,
}

impl BoundedGroups {
    /// Groups of the material at index `of`; `grams_per_kg` is its lowest and highest content per kg of water.
    pub fn of(groups: &AcidGroups, of: usize, grams_per_kg: [f64; 2]) -> BoundedGroups {
        let pair = |r: &Range| [r.low, r.high].map(|n| n.map_or(0.0, |n| float(n.decimal())));
        let [low, high] = pair(&groups.mmol_g);
        BoundedGroups {
            of,
            mol: [
                low * grams_per_kg[0] / 1000.0,
                high * grams_per_kg[1] / 1000.0,
            ]
            .map(|mol| mol.min(MAX_MOL_KG)),
            pka: pair(&groups.pka),
            neutralised: pair(&groups.neutralised),
            figures: true,
        }
    }

    fn add_to(&self, system: &mut System, mol: f64, pka: f64, neutralised: f64) {
        system.add(mol, &[pka], 0, 0);
        system.add(mol * neutralised, &[], 0, 1);
    }

    /// Adds the middle of each range.
    pub fn add_middle(&self, system: &mut System) {
        let middle = |pair: [f64; 2]| (pair[0] + pair[1]) / 2.0;
        self.add_to(
            system,
            middle(self.mol),
            middle(self.pka),
            middle(self.neutralised),
        );
    }

    /// Adds the values that move the pH furthest to one side at this pH.
    fn add_extreme(&self, system: &mut System, towards: Extreme, ph: f64) {
        let end = usize::from(towards == Extreme::Base);
        let (pka, neutralised) = (self.pka[end], self.neutralised[end]);
        let let_go = 1.0 / (1.0 + crate::chem::ten_to(pka - ph));
        let much = (neutralised > let_go) == (towards == Extreme::Base);
        self.add_to(system, self.mol[usize::from(much)], pka, neutralised);
    }
}

/// Maximum number of rounds. Each takes the pH further the same way, so few are needed.
const ROUNDS: usize = 24;

/// The lowest or highest pH that the bounded groups allow in this system.
pub(super) fn extreme_ph<'u>(
    system: &System,
    unsure: impl Iterator<Item = &'u BoundedGroups> + Clone,
    towards: Extreme,
) -> Result<f64, ChemError> {
    let mut ph = system.ph(Activity::Davies)?.ph;
    for _ in 0..ROUNDS {
        let mut with = system.clone();
        unsure
            .clone()
            .for_each(|u| u.add_extreme(&mut with, towards, ph));
        let next = with.ph(Activity::Davies)?.ph;
        if (next - ph).abs() < 1e-6 {
            break;
        }
        ph = next;
    }
    Ok(ph)
}

#[cfg(test)]
mod tests {
    use super::{BoundedGroups, Extreme, extreme_ph};
    use crate::chem::acid_base::System;

    fn groups(mol: [f64; 2], pka: [f64; 2], neutralised: [f64; 2]) -> BoundedGroups {
        BoundedGroups {
            of: 0,
            mol,
            pka,
            neutralised,
            figures: true,
        }
    }

    /// Acetic acid 0.1 mol/kg, from no part to all of it neutralised: 2.88 as the acid, 8.88 as the salt (pKa 4.757, by hand (4.757 + 1)/2 and
    /// 7 + (4.757 − 1)/2).
    #[test]
    fn an_acid_or_its_salt() {
        let one = [groups([0.1, 0.1], [4.757, 4.757], [0.0, 1.0])];
        let (low, high) = (
            extreme_ph(&System::new(), one.iter(), Extreme::Acid).unwrap(),
            extreme_ph(&System::new(), one.iter(), Extreme::Base).unwrap(),
        );
        assert!(
            (low - 2.88).abs() < 0.05 && (high - 8.88).abs() < 0.15,
            "{low} {high}"
        );
    }

    /// A buffer pulls either way: half neutralised at pKa 5 it lifts a lactic acid (pKa 3.86) and sinks a lye.
    #[test]
    fn much_of_it_or_little_is_chosen_by_what_it_does_there() {
        let buffer = [groups([0.0, 0.1], [5.0, 5.0], [0.5, 0.5])];
        let sour = System::new().with(0.01, &[3.86], 0, 0);
        let sharp = System::new().with(0.01, &[], 0, 1);
        let alone = |s: &System| s.ph(crate::chem::acid_base::Activity::Davies).unwrap().ph;
        let ends = |s: &System| {
            (
                extreme_ph(s, buffer.iter(), Extreme::Acid).unwrap(),
                extreme_ph(s, buffer.iter(), Extreme::Base).unwrap(),
            )
        };
        let (low, high) = ends(&sour);
        assert!(
            (low - alone(&sour)).abs() < 1e-6 && high > 4.5 && high < 5.0,
            "{low} {high}"
        );
        let (low, high) = ends(&sharp);
        assert!(
            (high - alone(&sharp)).abs() < 1e-6 && low > 4.8 && low < 5.4,
            "{low} {high}"
        );
    }
}
