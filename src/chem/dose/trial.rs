//! The first dose of a batch, with one reading only, and the next after one that hardly showed.

use super::advice::{Course, DoseModel};
use super::fit::Fit;
use super::points::Points;
use super::{Advice, Agent, Bench, Caution, FIRST_SHARE, Verdict, caution};
use crate::chem::ChemError;

/// The trial with nothing known: this share of the batch as pure acid or base.
pub const TRIAL_SHARE: f64 = 0.000_5;
/// What a trial of a strong acid or base may bring at most, mol per kg of batch: about what 0.05 % of
/// lactic acid brings.
pub const STRONG_TRIAL_MOL_KG: f64 = 0.006;

/// The trial with nothing known, mol/kg.
pub(super) fn blind(agent: &Agent) -> f64 {
    let mol = TRIAL_SHARE * 1000.0 / agent.molar_mass_g_mol;
    if agent.is_strong() {
        mol.min(STRONG_TRIAL_MOL_KG / f64::from(agent.strong_charge.abs().max(1)))
    } else {
        mol
    }
}

pub(super) fn trial(
    bench: &Bench,
    points: &Points,
    agent: &Agent,
    mut advice: Advice,
) -> Result<Advice, ChemError> {
    advice.verdict = Verdict::Trial;
    let mut mol = blind(agent);
    // What is known (the formula's acids, or water alone) holds the pH less than the whole product does, so what
    // moves it to the target is the least that moves the product there: two thirds of it cannot pass the target.
    let alone = Fit::straight(points.last(), 0.0);
    let least = alone
        .dose(bench, agent, bench.target_ph)
        .ok()
        .filter(|least| *least > 0.0)
        .map(|least| least * FIRST_SHARE);
    let known = bench.known.is_some() && least.is_some();
    match least {
        Some(least) if known || least > mol => mol = least,
        _ => {}
    }
    if known {
        advice.expected_ph = alone.ph_after(bench, agent, mol).ok();
        advice.course = Some(Course {
            product_g: points.product_g,
            by: DoseModel::Fit(alone),
        });
    }
    if !known {
        advice.cautions.push(Caution::MayJump);
    }
    let grams = agent.grams(mol, points.product_g);
    advice.add_g = Some(grams);
    advice.suggest_first_g = Some(grams);
    caution::common(bench, points, agent, &mut advice);
    Ok(advice)
}

/// The readings lie too close together for a fit: twice as much again, up to 0.5 % of the batch.
pub(super) fn hardly_moved(
    bench: &Bench,
    points: &Points,
    agent: &Agent,
    mut advice: Advice,
) -> Result<Advice, ChemError> {
    let reading = &bench.readings[bench.readings.len() - 1];
    let last = reading.added_g * bench.agents.get(reading.agent).map_or(0.0, |a| a.percent) / 100.0;
    let most = 10.0 * TRIAL_SHARE * points.product_g;
    if last >= most {
        return Err(ChemError::new(super::STUCK));
    }
    let pure = (2.0 * last).min(most);
    if advice.overshot_by.is_none() {
        advice.verdict = Verdict::Step;
    }
    advice.add_g = Some(pure * 100.0 / agent.percent);
    advice.suggest_first_g = advice.add_g;
    advice.cautions.push(Caution::HardlyMoved);
    caution::common(bench, points, agent, &mut advice);
    Ok(advice)
}
