//! Acid groups that are known between bounds alone: the lowest and the highest pH that they allow.
//!
//! At any pH a group brings the charge (share neutralised − share that has let go of its proton there): a base where that is
//! above zero, an acid below. Most basic are the highest pKa and the highest share neutralised, most acid the lowest of both;
//! whether much or little of it makes more of either depends on the pH, so that is chosen there. The sum still falls steadily
//! with the pH, and choosing again at each answer climbs (or sinks) to the one pH at which every choice is the utmost.

use crate::chem::acid_base::{Activity, System};
use crate::chem::{Refusal, float};
use crate::kb::schema::{Groups, Range};

/// Groups of one kind in a row, each figure from and to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Unsure {
    /// Place in the list of materials that they belong to.
    pub of: usize,
    /// mol per kg of water.
    pub mol: [f64; 2],
    pub pka: [f64; 2],
    /// Share that has given its proton to a base as the material goes in.
    pub neutralised: [f64; 2],
    /// From the base, so that its middle is a fair guess; not so a bound by class.
    pub figures: bool,
}

/// More of one kind than this, mol/kg, moves no pH that matters; a powder that hardly dissolves would else count as salt.
pub(super) const ENOUGH_MOL_KG: f64 = 0.5;

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Towards {
    Acid,
    Base,
}

impl Unsure {
    /// `mol_per_g` times the millimoles in a gram of it, at the least and at the most of it.
    pub fn of(groups: &Groups, of: usize, grams_per_kg: [f64; 2]) -> Unsure {
        let pair = |r: &Range| [r.low, r.high].map(|n| n.map_or(0.0, |n| float(n.decimal())));
        let [low, high] = pair(&groups.mmol_g);
        Unsure {
            of,
            mol: [
                low * grams_per_kg[0] / 1000.0,
                high * grams_per_kg[1] / 1000.0,
            ]
            .map(|mol| mol.min(ENOUGH_MOL_KG)),
            pka: pair(&groups.pka),
            neutralised: pair(&groups.neutralised),
            figures: true,
        }
    }

    fn add_to(&self, system: &mut System, mol: f64, pka: f64, neutralised: f64) {
        system.add(mol, &[pka], 0, 0);
        system.add(mol * neutralised, &[], 0, 1);
    }

    /// As it likeliest is.
    pub fn add_middle(&self, system: &mut System) {
        let middle = |pair: [f64; 2]| (pair[0] + pair[1]) / 2.0;
        self.add_to(
            system,
            middle(self.mol),
            middle(self.pka),
            middle(self.neutralised),
        );
    }

    /// As far as it goes to one side at this pH.
    fn add_utmost(&self, system: &mut System, towards: Towards, ph: f64) {
        let end = usize::from(towards == Towards::Base);
        let (pka, neutralised) = (self.pka[end], self.neutralised[end]);
        let let_go = 1.0 / (1.0 + crate::chem::ten_to(pka - ph));
        let much = (neutralised > let_go) == (towards == Towards::Base);
        self.add_to(system, self.mol[usize::from(much)], pka, neutralised);
    }
}

/// Rounds until every choice stands; each takes the pH further the same way, so few are needed.
const ROUNDS: usize = 24;

/// The lowest or highest pH that the unsure allow in this system.
pub(super) fn utmost<'u>(
    system: &System,
    unsure: impl Iterator<Item = &'u Unsure> + Clone,
    towards: Towards,
) -> Result<f64, Refusal> {
    let mut ph = system.ph(Activity::Davies)?.ph;
    for _ in 0..ROUNDS {
        let mut with = system.clone();
        unsure
            .clone()
            .for_each(|u| u.add_utmost(&mut with, towards, ph));
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
    use super::{Towards, Unsure, utmost};
    use crate::chem::acid_base::System;

    fn groups(mol: [f64; 2], pka: [f64; 2], neutralised: [f64; 2]) -> Unsure {
        Unsure {
            of: 0,
            mol,
            pka,
            neutralised,
            figures: true,
        }
    }

    /// Acetic acid 0.1 mol/kg, none to all of it neutralised: 2.88 alone, 8.88 as the salt (pKa 4.757, by hand (4.757 + 1)/2 and
    /// 7 + (4.757 − 1)/2).
    #[test]
    fn an_acid_or_its_salt() {
        let one = [groups([0.1, 0.1], [4.757, 4.757], [0.0, 1.0])];
        let (low, high) = (
            utmost(&System::new(), one.iter(), Towards::Acid).unwrap(),
            utmost(&System::new(), one.iter(), Towards::Base).unwrap(),
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
                utmost(s, buffer.iter(), Towards::Acid).unwrap(),
                utmost(s, buffer.iter(), Towards::Base).unwrap(),
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
