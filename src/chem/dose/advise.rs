//! The next step: which way it goes, and who vouches for how much of it.

use super::advice::{Course, DoseModel};
use super::by_sample::{self, SampleReach, has_begun, is_done, sample_reach};
use super::curve::{SampleCurve, sample_curve};
use super::fit::Fit;
use super::points::{Point, Points, points};
use super::{
    Advice, Agent, Bench, CLOSE_ENOUGH_PH, Caution, FIRST_SHARE, LEAST_MOVE_PH, REACH_PH, Verdict,
    caution, check, titrate, trial,
};
use crate::chem::ChemError;

/// Of a dose that a third reading vouches for: a drop short is easily mended, a drop over is not.
const PROVEN_SHARE: f64 = 0.9;
/// What is left of the fitted hold on the pH where it falls off on the way to the target.
const HOLD_LEFT: f64 = 0.75;

/// The share of a proven dose that goes in: even if the product holds its pH a quarter less than fitted, the target is not passed by
/// more than can be told.
fn proven_share(distance_ph: f64) -> f64 {
    PROVEN_SHARE.min(HOLD_LEFT * (1.0 + CLOSE_ENOUGH_PH / distance_ph))
}

/// The next step towards the target.
pub fn advise(bench: &Bench) -> Result<Advice, ChemError> {
    check(bench)?;
    let points = points(bench)?;
    let last = points.last().ph;
    let target = bench.target_ph;
    let mut advice = Advice {
        verdict: Verdict::OnTarget,
        agent: None,
        add_g: None,
        suggest_first_g: None,
        expected_ph: None,
        sample_add_g: None,
        sample_expected_ph: None,
        by_sample: false,
        buffer_mmol_per_ph: Fit::new(&points.batch).map(|fit| 1000.0 * fit.capacity(bench)),
        points: points.batch.len(),
        overshot_by: None,
        cautions: Vec::new(),
        course: None,
    };
    if (last - target).abs() <= CLOSE_ENOUGH_PH {
        return Ok(advice);
    }
    let down = target < last;
    advice.agent = bench.agents.iter().position(|a| a.is_acid() == down);
    let additions: Vec<bool> = bench
        .readings
        .iter()
        .filter(|r| r.added_g > 0.0)
        .map(|r| bench.agents[r.agent].is_acid())
        .collect();
    let overshot = additions.last().is_some_and(|went_down| *went_down != down);
    if overshot {
        advice.overshot_by = Some((target - last).abs());
        if additions.iter().any(|a| *a != additions[0]) {
            advice.verdict = Verdict::Discard;
            advice.agent = None;
            return Ok(advice);
        }
        advice.verdict = Verdict::Overshot;
    }
    let Some(which) = advice.agent else {
        if overshot {
            return Ok(advice);
        }
        return Err(ChemError::new(if down {
            "the pH is above the target: this needs an acid, not a base"
        } else {
            "the pH is below the target: this needs a base, not an acid"
        }));
    };
    let agent = &bench.agents[which];
    let curve = sample_curve(bench, &points.samples, points.last());
    if let SampleCurve::Disagrees = curve {
        advice.cautions.push(Caution::SampleDisagrees);
    } else if points
        .samples
        .last()
        .is_some_and(|s| !is_done(s, target) && !has_begun(bench, s))
    {
        return titrate::next(bench, &points, which, advice);
    }
    let readings = match &curve {
        SampleCurve::Speaks(curve) => match sample_reach(curve, last, target) {
            SampleReach::Nowhere => with_samples(&points, target),
            to => return by_sample::dose(bench, &points, curve, agent, to, advice),
        },
        _ => points.batch.clone(),
    };
    by_readings(bench, &points, &readings, agent, advice)
}

/// The batch is past the sample's end: the sample's readings count as if they were its own.
fn with_samples(points: &Points, target: f64) -> Vec<Point> {
    let last = points.last();
    let off = |p: &Point| (p.ph - target).abs();
    let samples = points.samples.iter().flat_map(|s| &s.points);
    let earlier = &points.batch[..points.batch.len() - 1];
    let further =
        |p: &&Point| off(p) > off(last) + LEAST_MOVE_PH && (p.ph < target) == (last.ph < target);
    let mut all: Vec<Point> = samples.chain(earlier).filter(further).cloned().collect();
    all.sort_by(|a, b| off(b).total_cmp(&off(a)));
    all.push(last.clone());
    all
}

fn by_readings(
    bench: &Bench,
    points: &Points,
    readings: &[Point],
    agent: &Agent,
    mut advice: Advice,
) -> Result<Advice, ChemError> {
    let (last, target) = (points.last().ph, bench.target_ph);
    advice.points = readings.len();
    let moved = bench.readings.last().is_some_and(|r| r.added_g > 0.0);
    let fit = match Fit::new(readings) {
        Some(fit) => fit,
        None if readings.len() > 1 && moved => {
            return trial::hardly_moved(bench, points, agent, advice);
        }
        None => return trial::trial(bench, points, agent, advice),
    };
    let toward = (target - last).signum();
    // Going back over ground that was measured is not extrapolation.
    let reach = if advice.overshot_by.is_some() {
        f64::INFINITY
    } else {
        fit.span.min(REACH_PH)
    };
    let whole = fit.dose(bench, agent, target)?;
    let (add, first) = if (target - last).abs() <= reach + 1e-9 {
        if advice.overshot_by.is_none() {
            advice.verdict = Verdict::Dose;
        }
        (
            whole,
            if fit.is_proven(target) {
                whole * proven_share((target - last).abs())
            } else {
                whole * FIRST_SHARE
            },
        )
    } else {
        advice.verdict = Verdict::Step;
        let step = fit.dose(bench, agent, last + toward * reach)?;
        (step, step.min(whole * FIRST_SHARE))
    };
    advice.add_g = Some(agent.grams(add, points.product_g));
    advice.suggest_first_g = Some(agent.grams(first, points.product_g));
    advice.expected_ph = fit.ph_after(bench, agent, first).ok();
    if fit.softens() && advice.overshot_by.is_none() {
        advice.cautions.push(Caution::Softening);
    }
    advice.course = Some(Course {
        product_g: points.product_g,
        by: DoseModel::Fit(fit),
    });
    caution::common(bench, points, agent, &mut advice);
    Ok(advice)
}
