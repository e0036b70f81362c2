//! The dose of the batch by the sample's curve.

use super::advice::{Course, DoseModel};
use super::curve::Curve;
use super::fit::known_capacity;
use super::overshoot_bound::OvershootBound;
use super::points::{Points, Series};
use super::{Advice, Agent, Bench, CLOSE_ENOUGH_PH, Caution, FIRST_SHARE, Verdict, caution};
use crate::chem::ChemError;

/// So near before the target a sample is done as well as past it.
pub(super) const SAMPLE_NEAR_PH: f64 = 0.05;
/// Two points around the target further apart than this leave too much open between them, pH.
const LEAP_PH: f64 = 1.0;
/// However little the curve vouches for, it is to get on.
const LEAST_SHARE: f64 = 0.1;

/// Whether a sample has come to the target.
pub(super) fn is_done(series: &Series, target: f64) -> bool {
    let (Some(first), Some(last)) = (series.points.first(), series.points.last()) else {
        return false;
    };
    if target < first.ph {
        last.ph <= target + SAMPLE_NEAR_PH
    } else {
        last.ph >= target - SAMPLE_NEAR_PH
    }
}

/// How far the curve leads: to the target, to the sample's end before it, or nowhere that the batch has not been.
pub(super) enum SampleReach {
    Target,
    End(f64),
    Nowhere,
}

pub(super) fn sample_reach(curve: &Curve, last_ph: f64, target: f64) -> SampleReach {
    let down = target < last_ph;
    let end = curve.end(down);
    let beyond = if down { end - target } else { target - end };
    let left = if down { last_ph - end } else { end - last_ph };
    if beyond <= SAMPLE_NEAR_PH {
        SampleReach::Target
    } else if left > CLOSE_ENOUGH_PH {
        SampleReach::End(end)
    } else {
        SampleReach::Nowhere
    }
}

pub(super) fn dose(
    bench: &Bench,
    points: &Points,
    curve: &Curve,
    agent: &Agent,
    to: SampleReach,
    mut advice: Advice,
) -> Result<Advice, ChemError> {
    let last = points.last();
    let overshot = advice.overshot_by.is_some();
    let bound = OvershootBound::new(bench, curve, last, agent, bench.target_ph);
    let (whole, mut first) = if let SampleReach::End(end) = to {
        advice.verdict = Verdict::Step;
        let whole = bound.dose(end)?;
        (whole, whole)
    } else {
        if !overshot {
            advice.verdict = Verdict::Dose;
        }
        let whole = bound.dose(bench.target_ph)?;
        (
            whole,
            bound
                .sure(bench.target_ph)
                .map_or(whole, |sure| whole.min(sure)),
        )
    };
    first = (first * bound.share()).max(LEAST_SHARE * whole);
    if overshot {
        first = first.min(FIRST_SHARE * whole);
    }
    advice.by_sample = true;
    advice.points = curve.readings + points.batch.len();
    advice.buffer_mmol_per_ph = Some(1000.0 * (curve.slope(last.ph) + known_capacity(bench, last)));
    advice.add_g = Some(agent.grams(whole, points.product_g));
    advice.suggest_first_g = Some(agent.grams(first, points.product_g));
    advice.expected_ph = curve.ph_after(bench, last, agent, first).ok();
    advice.course = Some(Course {
        product_g: points.product_g,
        by: DoseModel::Curve(curve.clone(), last.clone()),
    });
    let untried = !points.samples.iter().any(|s| has_begun(bench, s));
    if untried && bound.gap(bench.target_ph).is_some_and(|gap| gap > LEAP_PH) {
        advice.cautions.push(Caution::Leapt);
    }
    caution::common(bench, points, agent, &mut advice);
    Ok(advice)
}

/// Whether something went into the batch after a sample was drawn.
pub(super) fn has_begun(bench: &Bench, sample: &Series) -> bool {
    bench
        .readings
        .iter()
        .skip(sample.after)
        .any(|r| r.added_g > 0.0)
}
