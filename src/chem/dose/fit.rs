//! The unknown part of the product, fitted to the readings of the batch.

use super::points::{Point, known_charge};
use super::{Agent, Bench, LEAST_MOVE_PH};
use crate::chem::ChemError;
use crate::chem::root::root;

/// The unknown part as it is seen from the last reading.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fit {
    pub last: Point,
    /// mol/kg per pH between the last two readings.
    pub slope: f64,
    /// How the slope changes per pH; 0 with two readings.
    bend: f64,
    /// pH of the reading before the last.
    before: f64,
    /// From the lowest reading to the highest, pH.
    pub span: f64,
    earlier_slope: Option<f64>,
    /// How far the last dose moved the pH.
    moved: f64,
}

impl Fit {
    pub fn new(points: &[Point]) -> Option<Fit> {
        let last = points.last()?.clone();
        // The nearest earlier readings that lie far enough apart to say something.
        let apart = |a: &Point, b: &Point| (a.ph - b.ph).abs() >= LEAST_MOVE_PH;
        let m = points.iter().rposition(|p| apart(p, &last))?;
        let slope = secant(&points[m], &last);
        let earlier = points[..m]
            .iter()
            .rposition(|p| apart(p, &points[m]) && apart(p, &last));
        let earlier_slope = earlier.map(|k| secant(&points[k], &points[m]));
        let bend = match (earlier, earlier_slope) {
            (Some(k), Some(before)) => (slope - before) / (last.ph - points[k].ph),
            _ => 0.0,
        };
        let low = points.iter().map(|p| p.ph).fold(f64::INFINITY, f64::min);
        let high = points
            .iter()
            .map(|p| p.ph)
            .fold(f64::NEG_INFINITY, f64::max);
        let before = points[m].ph;
        let moved = (last.ph - before).abs();
        Some(Fit {
            last,
            slope,
            bend,
            before,
            span: high - low,
            earlier_slope,
            moved,
        })
    }

    /// From one reading on, with the unknown part held to this slope; at 0 the known part is all there is.
    pub fn straight(last: &Point, slope: f64) -> Fit {
        Fit {
            last: last.clone(),
            slope,
            bend: 0.0,
            before: last.ph,
            span: 0.0,
            earlier_slope: None,
            moved: 0.0,
        }
    }

    /// What the unknown part holds at a pH, bent to no less than half the last slope and to no more than
    /// two and a half times it.
    fn rest(&self, ph: f64) -> f64 {
        let slope =
            (self.slope + self.bend * (ph - self.before)).clamp(0.5 * self.slope, 2.5 * self.slope);
        self.last.rest + slope * (ph - self.last.ph)
    }

    /// mol/kg of an agent from the last reading to a pH.
    pub fn dose(&self, bench: &Bench, agent: &Agent, ph: f64) -> Result<f64, ChemError> {
        let charge = agent.working_charge(ph, ph < self.last.ph)?;
        let missing = self.rest(ph) - known_charge(bench, &self.last.dosed, self.last.thin, ph);
        Ok((missing / charge).max(0.0))
    }

    /// The pH that a dose leads to.
    pub fn ph_after(
        &self,
        bench: &Bench,
        agent: &Agent,
        mol_per_kg: f64,
    ) -> Result<f64, ChemError> {
        let known = |ph: f64| known_charge(bench, &self.last.dosed, self.last.thin, ph);
        root(
            |ph| known(ph) + mol_per_kg * agent.charge(ph) - self.rest(ph),
            0.0,
            14.0,
            1e-6,
        )
    }

    /// mol/kg that move the whole product by one pH at the last reading.
    pub fn capacity(&self, bench: &Bench) -> f64 {
        self.slope.max(0.0) + known_capacity(bench, &self.last)
    }

    /// A third reading that shows the product stiffening means that the fit errs on the side of too little;
    /// one that shows it softening a little is in the bend already, as long as the target is near.
    pub fn is_proven(&self, target: f64) -> bool {
        let near = (target - self.last.ph).abs() <= 1.5 * self.moved;
        self.earlier_slope
            .is_some_and(|earlier| self.slope >= earlier || (near && self.slope >= 0.5 * earlier))
    }

    pub fn softens(&self) -> bool {
        self.earlier_slope
            .is_some_and(|earlier| self.slope < 0.8 * earlier)
    }
}

fn secant(a: &Point, b: &Point) -> f64 {
    // Known acids that are overstated leave a slope below zero: the rest then counts as nothing.
    ((b.rest - a.rest) / (b.ph - a.ph)).max(0.0)
}

/// mol/kg that move the known part by one pH.
pub(super) fn known_capacity(bench: &Bench, at: &Point) -> f64 {
    let h = 0.01;
    let known = |ph: f64| known_charge(bench, &at.dosed, at.thin, ph);
    (known(at.ph - h) - known(at.ph + h)) / (2.0 * h)
}
