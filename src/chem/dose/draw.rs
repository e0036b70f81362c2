//! The titration for the drawing.

use super::by_sample::{SampleReach, sample_reach};
use super::curve::{SampleCurve, sample_curve};
use super::fit::Fit;
use super::overshoot_bound::OvershootBound;
use super::points::{Point, points};
use super::{Agent, Bench, REACH_PH, check};
use crate::chem::ChemError;

/// The pH over further additions of an agent, as far as the sample or the fit reaches: (grams as weighed in after the
/// last reading, pH), `points` of them. Refused with fewer than two readings.
pub fn curve(bench: &Bench, agent: usize, count: usize) -> Result<Vec<(f64, f64)>, ChemError> {
    check(bench)?;
    let agent = bench
        .agents
        .get(agent)
        .ok_or_else(|| ChemError::new("what goes in is not named"))?;
    let all = points(bench)?;
    let last = all.last();
    let steps = count.clamp(2, 1000) - 1;
    let over = |most: f64, ph_after: &dyn Fn(f64) -> Result<f64, ChemError>| {
        (0..=steps)
            .map(|step| {
                let mol = most * step as f64 / steps as f64;
                Ok((agent.grams(mol, all.product_g), ph_after(mol)?))
            })
            .collect()
    };
    if let SampleCurve::Speaks(curve) = sample_curve(bench, &all.samples, last) {
        let end = match sample_reach(&curve, last.ph, bench.target_ph) {
            SampleReach::Target => Some(bench.target_ph),
            SampleReach::End(end) => Some(end),
            SampleReach::Nowhere => None,
        };
        if let Some(end) = end
            && agent.is_acid() == (end < last.ph)
        {
            let most =
                OvershootBound::new(bench, &curve, last, agent, bench.target_ph).dose(end)?;
            return over(most, &|mol| curve.ph_after(bench, last, agent, mol));
        }
    }
    let Some(fit) = Fit::new(&all.batch) else {
        return Err(ChemError::new(
            "two readings that differ are needed to draw a curve",
        ));
    };
    let reach = fit.span.min(REACH_PH);
    let end = fit.last.ph + if agent.is_acid() { -reach } else { reach };
    let most = fit.dose(bench, agent, end)?;
    over(most, &|mol| fit.ph_after(bench, agent, mol))
}

/// Each sample's readings as the batch would have given them: (grams of an agent in all, pH).
pub fn as_in_the_batch(bench: &Bench, agent: usize) -> Result<Vec<Vec<(f64, f64)>>, ChemError> {
    check(bench)?;
    let agent = bench
        .agents
        .get(agent)
        .ok_or_else(|| ChemError::new("what goes in is not named"))?;
    let all = points(bench)?;
    let grams = |p: &Point| {
        let charge: f64 = p
            .dosed
            .iter()
            .zip(bench.agents)
            .map(|(mol, a): (&f64, &Agent)| mol * a.charge(p.ph))
            .sum();
        agent.grams(charge / agent.charge(p.ph), all.product_g)
    };
    Ok(all
        .samples
        .iter()
        .map(|s| s.points.iter().map(|p| (grams(p), p.ph)).collect())
        .collect())
}
