//! The forms of an acid at a pH.

use crate::chem::ChemError;

/// The share (0 to 1) of each form of an acid at a pH, the fully protonated first. Activity aside.
pub fn shares(pka: &[f64], ph: f64) -> Result<Vec<f64>, ChemError> {
    check_ph(ph)?;
    check_pka(pka)?;
    Ok(plain_forms(pka, ph))
}

/// The same without a look at the figures, for callers that checked them.
pub(in crate::chem) fn plain_forms(pka: &[f64], ph: f64) -> Vec<f64> {
    let mut shares = Vec::with_capacity(pka.len() + 1);
    each_form(pka, 0, ph, 0.0, |_, share| shares.push(share));
    let all: f64 = shares.iter().sum();
    shares.iter_mut().for_each(|s| *s /= all);
    shares
}

/// The share (0 to 1) of an acid that keeps all its protons at a pH: for a preservative the part that is
/// awake. 1/(1+10^(pH−pKa)) for one group, the same over all groups of a polyprotic acid.
pub fn undissociated_share(pka: &[f64], ph: f64) -> Result<f64, ChemError> {
    Ok(shares(pka, ph)?.first().copied().unwrap_or(1.0))
}

/// The share of each acid group that keeps its proton, one for each pKa, every group by itself: what a
/// preservative with one awake group among several is judged by.
pub fn group_shares(pka: &[f64], ph: f64) -> Result<Vec<f64>, ChemError> {
    pka.iter().map(|k| undissociated_share(&[*k], ph)).collect()
}

/// Tells the charge and the relative amount of every form, the fully protonated first. Worked out in
/// logarithms from the most plentiful, so that no power overflows.
pub(super) fn each_form(
    pka: &[f64],
    protonated_charge: i32,
    ph: f64,
    factor: f64,
    mut tell: impl FnMut(i32, f64),
) {
    // −log γ is the factor times the charge squared.
    let log = |lost: usize, sum: f64| {
        let charge = protonated_charge - lost as i32;
        sum + factor * f64::from(charge * charge)
    };
    let (mut top, mut sum) = (log(0, 0.0), 0.0);
    for (lost, k) in pka.iter().enumerate() {
        sum += ph - k;
        top = top.max(log(lost + 1, sum));
    }
    tell(protonated_charge, power(log(0, 0.0) - top));
    sum = 0.0;
    for (lost, k) in pka.iter().enumerate() {
        sum += ph - k;
        tell(
            protonated_charge - lost as i32 - 1,
            power(log(lost + 1, sum) - top),
        );
    }
}

pub(super) fn power(log: f64) -> f64 {
    crate::chem::exp(log * std::f64::consts::LN_10)
}

pub(super) fn check_ph(ph: f64) -> Result<(), ChemError> {
    if (0.0..=14.0).contains(&ph) {
        Ok(())
    } else {
        Err(ChemError::new("a pH lies between 0 and 14"))
    }
}

pub(in crate::chem) fn check_pka(pka: &[f64]) -> Result<(), ChemError> {
    if pka.iter().any(|k| !(-10.0..=20.0).contains(k)) {
        return Err(ChemError::new(
            "a pKa below -10 or above 20 is no figure for water",
        ));
    }
    if pka.windows(2).any(|w| w[0] > w[1]) {
        return Err(ChemError::new(
            "the pKa steps of an acid must stand in rising order",
        ));
    }
    Ok(())
}
