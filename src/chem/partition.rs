//! How much of a preservative is left free in the water, between oil and surfactant.
//!
//! Method: Cw = C (φ + 1) / (K φ + R), J. Soc. Cosmet. Chem. 23 (1972) 703-720: C the amount in the whole
//! emulsion (% w/v), φ the volume of oil over the volume of water, K the oil/water partition coefficient by
//! volume, R = 1 + k S the binding by S % of a nonionic surfactant, 1 without one. What the water cannot
//! dissolve is not free either: Cw stops at the solubility.
//!
//! Range: φ from 0 to 100, K from 0, R from 1. K belongs to one oil and one temperature and spans four
//! powers of ten between liquid paraffin and vegetable oils; k to one surfactant. Left out: the ionised
//! share (multiply by [`super::acid_base::undissociated_share`]), dimers in mineral oil, propylene glycol
//! that frees what micelles hold, uptake by clay, titanium dioxide, gum and plastic. An estimate good to a
//! factor of two where K is for the very oil.

use super::ChemError;

/// Where a preservative is in an emulsion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distribution {
    /// Free in the water, % w/v of the water.
    pub free_percent: f64,
    /// In the oil, % w/v of the oil.
    pub oil_percent: f64,
    /// Bound by surfactant, % w/v of the water.
    pub bound_percent: f64,
    /// The water is full: the rest has nowhere to be but oil, micelles or crystals.
    pub saturated: bool,
}

/// R = 1 + k S: `k` per percent of the surfactant, `surfactant_percent` % w/v of the water phase.
pub fn binding_factor(k: f64, surfactant_percent: f64) -> Result<f64, ChemError> {
    if !(k >= 0.0 && k.is_finite() && (0.0..=100.0).contains(&surfactant_percent)) {
        return Err(ChemError::new(
            "the binding constant and the percentage of surfactant cannot be less than nothing",
        ));
    }
    Ok(1.0 + k * surfactant_percent)
}

/// Several surfactants bind side by side: R = 1 + Σ k S.
pub fn binding_factor_of_all(surfactants: &[(f64, f64)]) -> Result<f64, ChemError> {
    let mut factor = 1.0;
    for &(k, percent) in surfactants {
        factor += binding_factor(k, percent)? - 1.0;
    }
    Ok(factor)
}

/// The coefficient of a mixture of oils: the mean by volume of (volume, K).
pub fn mean_coefficient(oils: &[(f64, f64)]) -> Result<f64, ChemError> {
    let volume: f64 = oils.iter().map(|(v, _)| v).sum();
    if oils
        .iter()
        .any(|&(v, k)| !(v >= 0.0 && k >= 0.0 && k.is_finite()))
        || !(volume > 0.0 && volume.is_finite())
    {
        return Err(ChemError::new(
            "there is no oil whose partition coefficient is known",
        ));
    }
    Ok(oils.iter().map(|(v, k)| v * k).sum::<f64>() / volume)
}

/// From the whole amount (% w/v of the emulsion) to what is free.
pub fn distribution(
    total_percent: f64,
    oil_to_water: f64,
    coefficient: f64,
    binding: f64,
    solubility_percent: Option<f64>,
) -> Result<Distribution, ChemError> {
    check(oil_to_water, coefficient, binding)?;
    if !(0.0..=100.0).contains(&total_percent) {
        return Err(ChemError::new("a percentage lies between 0 and 100"));
    }
    let unlimited = total_percent * (oil_to_water + 1.0) / (coefficient * oil_to_water + binding);
    let (free, saturated) = match solubility_percent {
        Some(most) if most < unlimited => (most.max(0.0), true),
        _ => (unlimited, false),
    };
    Ok(Distribution {
        free_percent: free,
        oil_percent: coefficient * free,
        bound_percent: (binding - 1.0) * free,
        saturated,
    })
}

/// The whole amount (% w/v of the emulsion) that leaves a wanted amount free in the water.
pub fn total_for(
    free_percent: f64,
    oil_to_water: f64,
    coefficient: f64,
    binding: f64,
) -> Result<f64, ChemError> {
    check(oil_to_water, coefficient, binding)?;
    if !(0.0..=100.0).contains(&free_percent) {
        return Err(ChemError::new("a percentage lies between 0 and 100"));
    }
    Ok(free_percent * (coefficient * oil_to_water + binding) / (oil_to_water + 1.0))
}

fn check(oil_to_water: f64, coefficient: f64, binding: f64) -> Result<(), ChemError> {
    if !(0.0..=100.0).contains(&oil_to_water) {
        return Err(ChemError::new(
            "the oil is more than 100 times the water: there is no water phase to preserve",
        ));
    }
    if !(coefficient >= 0.0 && coefficient.is_finite()) {
        return Err(ChemError::new("the partition coefficient is not known"));
    }
    if !(binding >= 1.0 && binding.is_finite()) {
        return Err(ChemError::new(
            "binding cannot set preservative free: its factor is 1 or more",
        ));
    }
    Ok(())
}
