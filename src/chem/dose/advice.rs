//! What is advised: the shapes.

use super::curve::Curve;
use super::fit::Fit;
use super::points::Point;
use super::{Bench, Caution};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within 0.1 of the target: leave it.
    OnTarget,
    /// The sample has not come to the target yet: on with it.
    Sample,
    /// One reading only: add a little and see.
    Trial,
    /// The fit, or the sample, reaches the target.
    Dose,
    /// The target is further off than the readings reach: a step towards it.
    Step,
    /// The target was passed: correct back, once.
    Overshot,
    /// Passed again after the correction: better discarded.
    Discard,
}

/// What to do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Advice {
    pub verdict: Verdict,
    /// Which of the agents. None where nothing is to be added, or where a correction needs one that was not
    /// named.
    pub agent: Option<usize>,
    /// Grams, as weighed in, to the target, or as far towards it as the readings reach.
    pub add_g: Option<f64>,
    /// Grams to add now; then measure again.
    pub suggest_first_g: Option<f64>,
    /// pH expected after `suggest_first_g`.
    pub expected_ph: Option<f64>,
    /// Grams to add to the sample now, nothing to the batch.
    pub sample_add_g: Option<f64>,
    /// pH of the sample expected after that.
    pub sample_expected_ph: Option<f64>,
    /// The dose is by the sample's curve.
    pub by_sample: bool,
    /// mmol of strong acid or base that move one kg of the product by one pH, here.
    pub buffer_mmol_per_ph: Option<f64>,
    /// How many readings the fit rests on.
    pub points: usize,
    /// How far the target was passed, pH.
    pub overshot_by: Option<f64>,
    pub cautions: Vec<Caution>,
    pub(super) course: Option<Course>,
}

/// How the pH follows what goes in from here.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Course {
    /// Product in the vessel that it goes into, g.
    pub product_g: f64,
    pub by: DoseModel,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum DoseModel {
    Fit(Fit),
    /// A curve of samples, from the batch's last reading on.
    Curve(Curve, Point),
}

impl Advice {
    /// The pH expected after so many grams of the agent, as weighed in: of the sample where the advice is for
    /// the sample. None where nothing predicts it.
    pub fn ph_after(&self, bench: &Bench, grams: f64) -> Option<f64> {
        let (course, agent) = (self.course.as_ref()?, bench.agents.get(self.agent?)?);
        let mol = agent.mol_per_kg(grams, course.product_g);
        match &course.by {
            DoseModel::Fit(fit) => fit.ph_after(bench, agent, mol),
            DoseModel::Curve(curve, from) => curve.ph_after(bench, from, agent, mol),
        }
        .ok()
    }
}
