//! What is weighed in to move the pH.

use crate::chem::ChemError;
use crate::chem::acid_base::{check_pka, plain_forms};

/// An acid or a base at the strength at which it is weighed in.
#[derive(Clone, Debug, PartialEq)]
pub struct Agent {
    pub molar_mass_g_mol: f64,
    /// Ascending; empty for a strong acid or base.
    pub pka: Vec<f64>,
    /// Charge with all protons on.
    pub protonated_charge: i32,
    /// Charge of the strong ions that come with one mole: +1 for sodium hydroxide, −1 for hydrochloric acid.
    pub strong_charge: i32,
    /// Strength of what is weighed in, % by weight.
    pub percent: f64,
    /// Holds esters with itself when concentrated, as lactic acid does.
    pub self_esters: bool,
}

impl Agent {
    /// Mean charge that one mole brings at a pH: negative for an acid at work.
    pub(super) fn charge(&self, ph: f64) -> f64 {
        let forms = plain_forms(&self.pka, ph);
        let own: f64 = forms
            .iter()
            .enumerate()
            .map(|(lost, s)| s * f64::from(self.protonated_charge - lost as i32))
            .sum();
        own + f64::from(self.strong_charge)
    }

    /// Its charge at a pH that it is to lead to, refused where it cannot: below a fiftieth of its proton at work an
    /// agent does not take the pH there in any sane amount.
    pub(super) fn working_charge(&self, ph: f64, down: bool) -> Result<f64, ChemError> {
        let charge = self.charge(ph);
        if down && charge > -0.02 {
            return Err(ChemError::new(
                "this acid is too weak to take the pH so low",
            ));
        }
        if !down && charge < 0.02 {
            return Err(ChemError::new(
                "this base is too weak to take the pH so high",
            ));
        }
        Ok(charge)
    }

    /// Whether it lowers the pH of a neutral product.
    pub fn is_acid(&self) -> bool {
        self.charge(7.0) < 0.0
    }

    pub fn is_strong(&self) -> bool {
        self.pka.is_empty()
    }

    pub(super) fn grams(&self, mol_per_kg: f64, mass_g: f64) -> f64 {
        mol_per_kg * mass_g / 1000.0 * self.molar_mass_g_mol * 100.0 / self.percent
    }

    pub(super) fn mol_per_kg(&self, grams: f64, mass_g: f64) -> f64 {
        grams * self.percent / 100.0 / self.molar_mass_g_mol * 1000.0 / mass_g
    }

    pub(super) fn check(&self) -> Result<(), ChemError> {
        if !(self.molar_mass_g_mol.is_finite() && self.molar_mass_g_mol > 0.0) {
            return Err(ChemError::new(
                "the molar mass of the acid or base is not known",
            ));
        }
        check_pka(&self.pka)?;
        if !(self.percent > 0.0 && self.percent <= 100.0) {
            return Err(ChemError::new(
                "the strength of the acid or base lies above 0 and up to 100 %",
            ));
        }
        Ok(())
    }
}
