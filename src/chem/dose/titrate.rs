//! What goes into the sample next: whole steps, for on the sample it costs nothing to pass the target.

use super::advice::{Course, DoseModel};
use super::fit::Fit;
use super::points::{Point, Points, Series, known_charge};
use super::{Advice, Agent, Bench, Caution, STUCK, Verdict, caution, trial};
use crate::chem::ChemError;

/// The first addition to a sample, of the trial of a batch: a leap past the target costs a second sample.
const FIRST_PART: f64 = 0.25;
/// Aimed so far beyond the target from nearby, and so far before it from further off: the points around it then lie
/// close enough together.
const BEYOND_PH: f64 = 0.2;
const BEFORE_PH: f64 = 0.25;
const NEARBY_PH: f64 = 0.5;
/// One step takes it no further than this many times the way so far, or this far at the least, pH.
const STRIDE: f64 = 1.5;
const LEAST_STRIDE_PH: f64 = 0.35;
/// Nor is it more than this many times what went in so far.
const GROWTH: f64 = 3.0;
/// Readings nearer than this give no slope, pH.
const APART_PH: f64 = 0.05;
/// After a leap, of what lay in it.
const PART_OF_LEAP: f64 = 0.25;
/// More than this share of the sample without a move: something is wrong with the meter or the solution.
const STUCK_SHARE: f64 = 0.25;

pub(super) fn next(
    bench: &Bench,
    points: &Points,
    which: usize,
    mut advice: Advice,
) -> Result<Advice, ChemError> {
    let Some((sample, earlier)) = points.samples.split_last() else {
        return Ok(advice);
    };
    let (Some(first), Some(last)) = (sample.points.first(), sample.points.last()) else {
        return Err(ChemError::new(
            "measure the pH of the sample before anything goes in",
        ));
    };
    advice.verdict = Verdict::Sample;
    advice.points = sample.points.len();
    // Nothing goes into the batch until the sample has told.
    let from = apart(&sample.points, last);
    if sample.points.len() > 2 && from.is_none() {
        if sample.added_g > STUCK_SHARE * sample.product_g {
            return Err(ChemError::new(STUCK));
        }
        advice.cautions.push(Caution::HardlyMoved);
    }
    let step = SampleStep {
        bench,
        first,
        last,
        from,
        leap: leap(earlier, bench.target_ph, bench.target_ph < last.ph),
    };
    let used = bench
        .samples
        .last()
        .and_then(|s| s.readings.iter().rev().find(|r| r.added_g > 0.0))
        .map(|r| r.agent);
    let used = used.filter(|n| bench.agents[*n].is_acid() == bench.agents[which].is_acid());
    let mut chosen = used.unwrap_or(which);
    let mut mol = step.mol(&bench.agents[chosen])?;
    let much = |n: usize, mol: f64| {
        bench.agents[n].grams(mol, sample.product_g) > caution::MUCH * sample.product_g
    };
    // A weak solution that was right for the first drops waters the sample down in the end.
    if chosen != which
        && much(chosen, mol)
        && bench.agents[which].percent > bench.agents[chosen].percent
    {
        chosen = which;
        mol = step.mol(&bench.agents[chosen])?;
    }
    let agent = &bench.agents[chosen];
    let grams = agent.grams(mol, sample.product_g);
    advice.agent = Some(chosen);
    advice.sample_add_g = Some(grams);
    if let Some(fit) = step.predicted() {
        advice.sample_expected_ph = fit.ph_after(bench, agent, mol).ok();
        advice.course = Some(Course {
            product_g: sample.product_g,
            by: DoseModel::Fit(fit),
        });
    }
    caution::of_agent(agent, &mut advice);
    if sample.added_g + grams > caution::MUCH * sample.product_g {
        advice.cautions.push(Caution::Diluting);
    }
    Ok(advice)
}

struct SampleStep<'a> {
    bench: &'a Bench<'a>,
    first: &'a Point,
    last: &'a Point,
    /// An earlier reading far enough away to give a slope.
    from: Option<&'a Point>,
    leap: Option<(Point, Point)>,
}

impl SampleStep<'_> {
    fn mol(&self, agent: &Agent) -> Result<f64, ChemError> {
        let target = self.bench.target_ph;
        if let Some((before, behind)) = &self.leap {
            return self.through_the_leap(agent, before, behind);
        }
        let so_far = self.so_far(agent);
        if so_far <= 0.0 {
            // What is known (the formula's acids, or water alone) takes this much to the target; the product takes more.
            let least = Fit::straight(self.last, 0.0)
                .dose(self.bench, agent, target)
                .unwrap_or(0.0);
            let blind = FIRST_PART * trial::blind(agent);
            return Ok(if self.bench.known.is_some() && least > 0.0 {
                least
            } else {
                blind.max(least)
            });
        }
        let most = GROWTH * so_far;
        let Some(fit) = self.fit() else {
            return Ok(most);
        };
        let aim = self.aim();
        let mol = fit
            .dose(self.bench, agent, aim)
            .or_else(|_| fit.dose(self.bench, agent, target))?;
        Ok(mol.min(most))
    }

    fn fit(&self) -> Option<Fit> {
        let slope = |from: &Point| (self.last.rest - from.rest) / (self.last.ph - from.ph);
        self.from
            .map(|from| Fit::straight(self.last, slope(from).max(1e-6)))
    }

    fn aim(&self) -> f64 {
        let (target, here) = (self.bench.target_ph, self.last.ph);
        let toward = (target - here).signum();
        let wanted = if (target - here).abs() <= NEARBY_PH {
            target + toward * BEYOND_PH
        } else {
            target - toward * BEFORE_PH
        };
        let stride = LEAST_STRIDE_PH.max(STRIDE * (self.first.ph - here).abs());
        if (wanted - here).abs() > stride {
            here + toward * stride
        } else {
            wanted
        }
    }

    /// What went into the sample so far, as mol/kg of this agent.
    fn so_far(&self, agent: &Agent) -> f64 {
        let ph = self.last.ph;
        let charge = |p: &Point| -> f64 {
            p.dosed
                .iter()
                .zip(self.bench.agents)
                .map(|(mol, a)| mol * a.charge(ph))
                .sum()
        };
        ((charge(self.last) - charge(self.first)) / agent.charge(ph)).max(0.0)
    }

    fn through_the_leap(
        &self,
        agent: &Agent,
        before: &Point,
        behind: &Point,
    ) -> Result<f64, ChemError> {
        let down = self.bench.target_ph < self.last.ph;
        let further = if down {
            self.last.rest.min(before.rest)
        } else {
            self.last.rest.max(before.rest)
        };
        let rest = further + PART_OF_LEAP * (behind.rest - before.rest);
        let share = ((rest - before.rest) / (behind.rest - before.rest)).clamp(0.0, 1.0);
        let ph = before.ph + share * (behind.ph - before.ph);
        let charge = agent.working_charge(ph, down)?;
        Ok(
            ((rest - known_charge(self.bench, &self.last.dosed, self.last.thin, ph)) / charge)
                .max(0.0),
        )
    }

    /// What the pH follows. Nothing tells it inside a leap, or where neither readings nor acids are known.
    fn predicted(&self) -> Option<Fit> {
        if self.leap.is_some() {
            return None;
        }
        let known = self.bench.known.is_some();
        self.fit()
            .or_else(|| known.then(|| Fit::straight(self.last, 0.0)))
    }
}

/// The nearest earlier reading that lies far enough from the last to give a slope.
fn apart<'a>(points: &'a [Point], last: &Point) -> Option<&'a Point> {
    points
        .iter()
        .rev()
        .find(|p| (p.ph - last.ph).abs() >= APART_PH)
}

/// The points around the target that earlier samples left.
fn leap(earlier: &[Series], target: f64, down: bool) -> Option<(Point, Point)> {
    let ahead = |p: &&Point| if down { p.ph - target } else { target - p.ph };
    let all = || earlier.iter().flat_map(|s| &s.points);
    let before = all()
        .filter(|p| ahead(p) > 0.0)
        .min_by(|a, b| ahead(a).total_cmp(&ahead(b)))?;
    let behind = all()
        .filter(|p| ahead(p) <= 0.0)
        .max_by(|a, b| ahead(a).total_cmp(&ahead(b)))?;
    Some((before.clone(), behind.clone()))
}
