//! Water activity: how much of the water microbes can use.
//!
//! Shapes: grams of water and of each solute, with molar mass (g/mol) and Norrish constant; aw (0 to 1) out.
//! Method: each solute alone in all the water by the Norrish equation aw = Xw exp(−K Xs²) (J. Food Technol.
//! 1 (1966) 25-39), X mole fractions; for several, the product of their activities (the Ross product, Food
//! Technol. 29 (3) (1975) 26-34). Without K the solute counts as ideal (K = 0), which reads too high, on the safe side.
//!
//! Range: 25 °C; solutes up to 60 % of solutes and water together. Against measured glycerol solutions the
//! equation (K = 1.16) is within 0.01 up to 60 % and 0.05 too low at 80 %: beyond 60 % only "at most what
//! stands at 60 %" is answered. Salts: give the number of ions as `particles`; to about 1 mol/kg only. Not
//! covered: gums, proteins, clays, surfactants, oil.

use super::ChemError;

/// g/mol.
pub const WATER_MOLAR_MASS: f64 = 18.015;
/// Up to this share of solute (by weight of solute and water) the method is trusted.
pub const LIMIT_SHARE: f64 = 0.60;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solute {
    pub grams: f64,
    pub molar_mass_g_mol: f64,
    /// Where it is known.
    pub norrish_k: Option<f64>,
    /// 1 for what does not fall apart, 2 for sodium chloride.
    pub particles: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// An estimate, good to about 0.01.
    About,
    /// The solution is beyond the method: the true value is lower than this.
    AtMost,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterActivity {
    pub aw: f64,
    pub bound: Bound,
    /// Some solute was taken as ideal for want of a constant.
    pub ideal_parts: bool,
}

/// aw of one solute in water: `water` and `solute` in moles.
fn norrish(water: f64, solute: f64, k: f64) -> f64 {
    let xs = solute / (water + solute);
    (1.0 - xs) * super::exp(-k * xs * xs)
}

pub fn of(water_g: f64, solutes: &[Solute]) -> Result<WaterActivity, ChemError> {
    if !(water_g.is_finite() && water_g > 0.0) {
        return Err(ChemError::new(
            "there is no water in it: water activity says nothing here",
        ));
    }
    for s in solutes {
        if !(s.grams >= 0.0 && s.grams.is_finite()) {
            return Err(ChemError::new("a weight cannot be less than nothing"));
        }
        if !(s.molar_mass_g_mol > 0.0 && s.molar_mass_g_mol.is_finite()) {
            return Err(ChemError::new("the molar mass of a solute is not known"));
        }
        if s.norrish_k.is_some_and(|k| !(-10.0..=100.0).contains(&k)) {
            return Err(ChemError::new(
                "a Norrish constant lies between -10 and 100",
            ));
        }
    }
    let dissolved: f64 = solutes.iter().map(|s| s.grams).sum();
    let share = dissolved / (dissolved + water_g);
    // Beyond the limit the answer is for the same solutes thinned down to it: more can only be drier.
    let (bound, scale) = if share > LIMIT_SHARE {
        (
            Bound::AtMost,
            LIMIT_SHARE / (1.0 - LIMIT_SHARE) * water_g / dissolved,
        )
    } else {
        (Bound::About, 1.0)
    };
    let water = water_g / WATER_MOLAR_MASS;
    let mut aw = 1.0;
    for s in solutes {
        let moles = s.grams * scale / s.molar_mass_g_mol * f64::from(s.particles.max(1));
        aw *= norrish(water, moles, s.norrish_k.unwrap_or(0.0));
    }
    let ideal_parts = solutes
        .iter()
        .any(|s| s.norrish_k.is_none() && s.grams > 0.0);
    Ok(WaterActivity {
        aw: aw.clamp(0.0, 1.0),
        bound,
        ideal_parts,
    })
}
