//! The pH of a mixture of acids, bases and salts, by charge balance.
//!
//! Shapes: a [`System`] of protolytes (concentration, pKa steps, charge of the fully protonated form) and
//! ions that take no part, all in mol per kg of water; out comes the pH, the ionic strength, the dose of an
//! agent that reaches a pH, the share of every form.
//!
//! Method: at each pH the charges of hydrogen and hydroxide ions, of every form of every protolyte and of
//! the inert ions must sum to nothing. The sum falls steadily with pH, so there is exactly one crossing and
//! the bracketed search of [`super::root`] always finds it. Two modes:
//! - [`Activity::Ideal`]: activity equals concentration. What textbooks and most tables calculate with.
//! - [`Activity::Davies`]: log γ = −0.509 z² (√I/(1+√I) − 0.3 I) at 25 °C (Ion Association, 1962, p. 41; the
//!   factor 0.509 is the Debye-Hückel constant of water at 25 °C). Uncharged forms have γ = 1. The ionic
//!   strength belongs to the answer; it is found by a second bracketed search. Good to about 0.1 mol/kg, of
//!   use to about 0.5 mol/kg; beyond 0.5 the factors are held at their value there and the answer says so
//!   ([`Solution::within_davies`]); beyond 3 mol/kg it is refused.
//!
//! pKa are thermodynamic values at 25 °C, the first step to go first. Kw = 1.00 × 10⁻¹⁴.
//! Not covered: metal complexes, ion pairs, precipitation, micelles, oil; temperature other than 25 °C
//! (amines lose about 0.03 pH a degree, carboxylic acids hardly any). Error against bench buffers of
//! pharmacopoeial kind: about 0.05 pH where every solute is known; a cream is never that well known, see
//! [`System::prediction`].

mod forms;

use super::ChemError;
use super::root::root;
use forms::{check_ph, each_form, power};
pub(super) use forms::{check_pka, plain_forms};
pub use forms::{group_shares, shares, undissociated_share};

/// How activities are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Activity {
    Ideal,
    Davies,
}

/// The ionic strength up to which the Davies equation is trusted, mol/kg.
pub const DAVIES_LIMIT_MOL_KG: f64 = 0.5;

/// The ionic strength beyond which no answer is given, mol/kg.
pub const IONIC_STRENGTH_LIMIT_MOL_KG: f64 = 3.0;

/// No prediction for a formula is shown narrower than this on either side, pH.
pub const LEAST_SPREAD_PH: f64 = 0.5;

/// Acid or alkali that no data sheet mentions: carbonic acid from the air, rests of catalyst, free acid in
/// oils. An assumption, in mol/kg, that widens the prediction where little else holds the pH.
pub const TRACE_MOL_KG: f64 = 1e-4;

const PKW: f64 = 14.0;

const DEBYE_HUCKEL: f64 = 0.509;

const TOLERANCE_PH: f64 = 1e-9;

const PH_LOW: f64 = -2.0;

const PH_HIGH: f64 = 16.0;

const CONCENTRATION_LIMIT_MOL_KG: f64 = 20.0;

/// An acid or a base in all its forms.
#[derive(Clone, Debug, PartialEq)]
pub struct Protolyte {
    pub mol_per_kg: f64,
    /// Ascending, at 25 °C and no ionic strength.
    pub pka: Vec<f64>,
    /// 0 for lactic acid, +1 for ammonium, +2 for arginine with all its protons.
    pub protonated_charge: i32,
}

/// An ion that keeps its charge at every pH: sodium, potassium, chloride.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ion {
    pub mol_per_kg: f64,
    pub charge: i32,
}

/// What is dissolved in the water.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct System {
    pub protolytes: Vec<Protolyte>,
    pub ions: Vec<Ion>,
}

/// A solved charge balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solution {
    pub ph: f64,
    /// mol/kg; reported in both modes.
    pub ionic_strength_mol_kg: f64,
    /// False where the ionic strength is beyond what the Davies equation is good for.
    pub within_davies: bool,
}

/// A pH as it may be shown: a middle that is never exact, and the range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    pub low: f64,
    pub middle: f64,
    pub high: f64,
    pub within_davies: bool,
}

/// mol per kg of water, from percent of the formula and the percent of water in it. Refused below 5 % of
/// water: the pH of so little says nothing about the product.
pub fn mol_per_kg_water(
    percent: f64,
    molar_mass_g_mol: f64,
    water_percent: f64,
) -> Result<f64, ChemError> {
    if !(molar_mass_g_mol > 0.0 && molar_mass_g_mol.is_finite()) {
        return Err(ChemError::new("the molar mass is not known"));
    }
    if !(0.0..=100.0).contains(&percent) || !(0.0..=100.0).contains(&water_percent) {
        return Err(ChemError::new("a percentage lies between 0 and 100"));
    }
    if water_percent < 5.0 {
        return Err(ChemError::new(
            "there is hardly any water in it: a pH says nothing here",
        ));
    }
    Ok(1000.0 * percent / molar_mass_g_mol / water_percent)
}

impl System {
    pub fn new() -> Self {
        System::default()
    }

    /// Adds an acid, a base or a salt of one. `strong_charge` is the charge of the strong counter-ions that
    /// come with one mole: +1 with sodium benzoate, −1 with a hydrochloride, 0 with the free acid or base.
    /// The counter-ions are taken as singly charged. Without pKa it is a strong acid (−1), base (+1) or, at
    /// `strong_charge` 0, nothing.
    pub fn with(
        mut self,
        mol_per_kg: f64,
        pka: &[f64],
        protonated_charge: i32,
        strong_charge: i32,
    ) -> Self {
        self.add(mol_per_kg, pka, protonated_charge, strong_charge);
        self
    }

    pub fn add(
        &mut self,
        mol_per_kg: f64,
        pka: &[f64],
        protonated_charge: i32,
        strong_charge: i32,
    ) {
        if !pka.is_empty() || protonated_charge != 0 {
            self.protolytes.push(Protolyte {
                mol_per_kg,
                pka: pka.to_vec(),
                protonated_charge,
            });
        }
        if strong_charge != 0 {
            let mol_per_kg = mol_per_kg * f64::from(strong_charge.abs());
            self.ions.push(Ion {
                mol_per_kg,
                charge: strong_charge.signum(),
            });
        }
    }

    /// Adds an ion that keeps its charge; a neutral salt is two of them.
    pub fn ion(mut self, mol_per_kg: f64, charge: i32) -> Self {
        self.ions.push(Ion { mol_per_kg, charge });
        self
    }

    /// Adds a neutral salt of singly charged ions.
    pub fn salt(self, mol_per_kg: f64) -> Self {
        self.ion(mol_per_kg, 1).ion(mol_per_kg, -1)
    }

    /// The pH at which all charges cancel.
    pub fn ph(&self, activity: Activity) -> Result<Solution, ChemError> {
        self.check()?;
        if activity == Activity::Ideal {
            let ph = self.crossing(0.0, None)?;
            let ionic = self.ionic_strength(ph, 0.0);
            return Ok(Solution {
                ph,
                ionic_strength_mol_kg: ionic,
                within_davies: ionic <= DAVIES_LIMIT_MOL_KG,
            });
        }
        let ionic = self.own_ionic_strength()?;
        if ionic > IONIC_STRENGTH_LIMIT_MOL_KG {
            return Err(ChemError::new(
                "there is too much salt in the water (more than 3 mol/kg) for the pH to be calculated",
            ));
        }
        let ph = self.crossing(davies_factor(ionic), None)?;
        Ok(Solution {
            ph,
            ionic_strength_mol_kg: ionic,
            within_davies: ionic <= DAVIES_LIMIT_MOL_KG,
        })
    }

    /// The ionic strength that follows from the activity factors that follow from it.
    fn own_ionic_strength(&self) -> Result<f64, ChemError> {
        // Taking the answer for the next guess nearly always settles within a few rounds.
        let (mut ionic, mut ph) = (0.1, None);
        for _ in 0..12 {
            let factor = davies_factor(ionic);
            let here = self.crossing(factor, ph)?;
            let next = self.ionic_strength(here, factor);
            if (next - ionic).abs() <= 1e-7 {
                return Ok(next);
            }
            (ionic, ph) = (next, Some(here));
        }
        // Where it does not, search: the strength that follows from an assumed one, less the assumed one, is
        // above zero at none and below zero at the most that these solutes can give, so a crossing lies between.
        let gap = |assumed: f64| {
            let factor = davies_factor(assumed);
            self.crossing(factor, None)
                .map_or(f64::NAN, |ph| self.ionic_strength(ph, factor) - assumed)
        };
        root(gap, 0.0, self.most_ionic_strength() + 1.0, 1e-9)
    }

    /// The pH at fixed activity factors; looked for near a guess first.
    fn crossing(&self, factor: f64, guess: Option<f64>) -> Result<f64, ChemError> {
        let excess = |ph: f64| self.excess(ph, factor);
        if let Some(guess) = guess
            && let Ok(ph) = root(excess, guess - 0.1, guess + 0.1, TOLERANCE_PH)
        {
            return Ok(ph);
        }
        root(excess, PH_LOW, PH_HIGH, TOLERANCE_PH)
    }

    /// Strong base (mol/kg; acid where negative) that has to be there to hold this pH.
    pub fn strong_base_to_reach(&self, ph: f64, activity: Activity) -> Result<f64, ChemError> {
        self.check()?;
        check_ph(ph)?;
        let base = |x: f64| {
            let mut with = self.clone();
            with.ions.push(Ion {
                mol_per_kg: x.abs(),
                charge: if x < 0.0 { -1 } else { 1 },
            });
            let factor = with.factor_at(ph, activity);
            with.excess(ph, factor)
        };
        root(
            base,
            -CONCENTRATION_LIMIT_MOL_KG,
            CONCENTRATION_LIMIT_MOL_KG,
            1e-12,
        )
    }

    /// mol/kg of an agent (pKa steps, charge with all protons, charge of its strong ions) to reach a pH.
    /// Refused where the agent cannot take it there.
    pub fn dose_to_reach(
        &self,
        ph: f64,
        pka: &[f64],
        protonated_charge: i32,
        strong_charge: i32,
        activity: Activity,
    ) -> Result<f64, ChemError> {
        check_ph(ph)?;
        let start = self.ph(activity)?.ph;
        if (start - ph).abs() < 1e-9 {
            return Ok(0.0);
        }
        let miss = |x: f64| {
            let with = self.clone().with(x, pka, protonated_charge, strong_charge);
            with.ph(activity).map_or(f64::NAN, |s| s.ph - ph)
        };
        // Grow the bracket: what is refused at 10 mol/kg for its salt may be reached at 0.01.
        let mut high = 1e-4;
        while high <= 10.0 {
            let there = miss(high);
            if !there.is_finite() {
                break;
            }
            if (there < 0.0) != (start < ph) {
                return root(miss, 0.0, high, 1e-9);
            }
            high *= 2.0;
        }
        Err(ChemError::new(if start > ph {
            "this does not take the pH so low, however much is added"
        } else {
            "this does not take the pH so high, however much is added"
        }))
    }

    /// mol/kg of strong base that move the pH by one, at this pH.
    pub fn buffer_capacity(&self, ph: f64, activity: Activity) -> Result<f64, ChemError> {
        let step = 0.01;
        let up = self.strong_base_to_reach(ph + step, activity)?;
        let down = self.strong_base_to_reach(ph - step, activity)?;
        Ok((up - down) / (2.0 * step))
    }

    /// The pH as it may be shown for a formula: at least ±0.5, wider where the ideal and the corrected
    /// answer lie further apart, where the salt is beyond the equation (±1), or where a trace of acid or
    /// alkali ([`TRACE_MOL_KG`]) would move it more.
    pub fn prediction(&self) -> Result<Prediction, ChemError> {
        self.prediction_with_traces(TRACE_MOL_KG)
    }

    /// The same with more or less of a trace, mol/kg.
    pub fn prediction_with_traces(&self, trace_mol_kg: f64) -> Result<Prediction, ChemError> {
        let solved = self.ph(Activity::Davies)?;
        let ideal = self.ph(Activity::Ideal)?.ph;
        let mut spread = LEAST_SPREAD_PH.max((solved.ph - ideal).abs());
        if !solved.within_davies {
            spread = spread.max(1.0);
        }
        let sour = self.clone().ion(trace_mol_kg, -1).ph(Activity::Davies)?.ph;
        let sharp = self.clone().ion(trace_mol_kg, 1).ph(Activity::Davies)?.ph;
        Ok(Prediction {
            low: sour.min(solved.ph - spread),
            middle: solved.ph,
            high: sharp.max(solved.ph + spread),
            within_davies: solved.within_davies,
        })
    }

    /// Net charge of everything but the strong ion that a titration adds, mol/kg: zero at the system's pH.
    /// Ideal mode; the titration fit of [`super::dose`] builds on it.
    pub(super) fn ideal_charge(&self, ph: f64) -> f64 {
        self.excess(ph, 0.0)
    }

    pub(super) fn check(&self) -> Result<(), ChemError> {
        let sane = |c: f64| c.is_finite() && (0.0..=CONCENTRATION_LIMIT_MOL_KG).contains(&c);
        for p in &self.protolytes {
            if !sane(p.mol_per_kg) {
                return Err(bad_concentration());
            }
            check_pka(&p.pka)?;
        }
        if self.ions.iter().any(|i| !sane(i.mol_per_kg)) {
            Err(bad_concentration())
        } else {
            Ok(())
        }
    }

    /// Sum of charges at a pH, mol/kg. Falls steadily as the pH rises.
    fn excess(&self, ph: f64, factor: f64) -> f64 {
        let water = power(-ph + factor) - power(ph - PKW + factor);
        let ions: f64 = self
            .ions
            .iter()
            .map(|i| i.mol_per_kg * f64::from(i.charge))
            .sum();
        let forms: f64 = self
            .protolytes
            .iter()
            .map(|p| p.sum(ph, factor, f64::from))
            .sum();
        water + ions + forms
    }

    /// Half the sum of concentration times charge squared.
    fn ionic_strength(&self, ph: f64, factor: f64) -> f64 {
        let water = power(-ph + factor) + power(ph - PKW + factor);
        let ions: f64 = self
            .ions
            .iter()
            .map(|i| i.mol_per_kg * f64::from(i.charge * i.charge))
            .sum();
        let forms: f64 = self
            .protolytes
            .iter()
            .map(|p| p.sum(ph, factor, |z| f64::from(z * z)))
            .sum();
        0.5 * (water + ions + forms)
    }

    /// The activity factor that belongs to a given pH.
    fn factor_at(&self, ph: f64, activity: Activity) -> f64 {
        match activity {
            Activity::Ideal => 0.0,
            Activity::Davies => {
                let most = self.most_ionic_strength() + power(-PH_LOW) + 1.0;
                let gap = |i: f64| self.ionic_strength(ph, davies_factor(i)) - i;
                davies_factor(root(gap, 0.0, most, 1e-9).unwrap_or(most))
            }
        }
    }

    /// No ionic strength of these solutes at any pH that they can take is above this.
    fn most_ionic_strength(&self) -> f64 {
        let ions: f64 = self
            .ions
            .iter()
            .map(|i| i.mol_per_kg * f64::from(i.charge * i.charge))
            .sum();
        let forms = |p: &Protolyte| {
            let last = p.protonated_charge - p.pka.len() as i32;
            let z = p.protonated_charge.abs().max(last.abs());
            // The counter-charge is carried by hydrogen or hydroxide ions at worst.
            p.mol_per_kg * f64::from(z * z + z)
        };
        ions * 2.0 + self.protolytes.iter().map(forms).sum::<f64>()
    }
}

impl Protolyte {
    /// Concentration of each form times what `weigh` makes of its charge.
    fn sum(&self, ph: f64, factor: f64, weigh: impl Fn(i32) -> f64) -> f64 {
        let (mut all, mut weighed) = (0.0, 0.0);
        each_form(
            &self.pka,
            self.protonated_charge,
            ph,
            factor,
            |charge, share| {
                all += share;
                weighed += share * weigh(charge);
            },
        );
        self.mol_per_kg * weighed / all
    }
}

/// −log γ of a singly charged ion at an ionic strength in mol/kg, held constant beyond the equation's limit.
fn davies_factor(ionic_strength_mol_kg: f64) -> f64 {
    let i = ionic_strength_mol_kg.clamp(0.0, DAVIES_LIMIT_MOL_KG);
    let s = i.sqrt();
    DEBYE_HUCKEL * (s / (1.0 + s) - 0.3 * i)
}

fn bad_concentration() -> ChemError {
    ChemError::new("a concentration lies between 0 and 20 mol per kg of water")
}
