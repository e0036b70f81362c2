//! How much may go into the batch so that the target is surely not passed, however the product holds its pH between two points
//! of the curve.
//!
//! What one kg takes for one pH is a sum over its acids and bases, and each term grows or falls by less than tenfold within one
//! pH (each is c·x·(1 − x) with x/(1 − x) = 10^(pH − pKa)). So does the sum. Of the charge between two points at a distance of w,
//! at least (10^u − 1)/(10^w − 1) is used up at u behind the first; and at least (1 − 10^−u)/(10^v − 1) of what the stretch of
//! length v before the first took.

use super::curve::{Curve, WEIGHT_SHARE};
use super::points::{Point, known_charge};
use super::{Agent, Bench, CLOSE_ENOUGH_PH, METER_PH};
use crate::chem::{ChemError, ten_to};

/// Aimed past the target by so much at the worst: what may be passed, less the meter's error and its last figure.
const SURE_PH: f64 = CLOSE_ENOUGH_PH - METER_PH - 0.005;
/// A shorter stretch says nothing of what comes behind it, pH.
const STRETCH_PH: f64 = 0.3;

/// The curve from where the batch is.
pub(super) struct OvershootBound<'a> {
    bench: &'a Bench<'a>,
    curve: &'a Curve,
    from: &'a Point,
    agent: &'a Agent,
    down: bool,
    /// In the batch's order.
    along: Vec<(f64, f64)>,
    dosed: bool,
}

impl<'a> OvershootBound<'a> {
    pub fn new(
        bench: &'a Bench<'a>,
        curve: &'a Curve,
        from: &'a Point,
        agent: &'a Agent,
        target: f64,
    ) -> OvershootBound<'a> {
        let down = target < from.ph;
        let dosed = bench.readings.iter().any(|r| r.added_g > 0.0);
        OvershootBound {
            bench,
            curve,
            from,
            agent,
            down,
            along: curve.along(down),
            dosed,
        }
    }

    fn ahead(&self, ph: f64, of: f64) -> f64 {
        if self.down { ph - of } else { of - ph }
    }

    /// How far apart the points around a pH lie.
    pub fn gap(&self, ph: f64) -> Option<f64> {
        let at = self.along.partition_point(|p| self.ahead(p.0, ph) > 0.0);
        let (before, behind) = (self.along.get(at.checked_sub(1)?)?, self.along.get(at)?);
        Some(self.ahead(before.0, behind.0))
    }

    /// What is left over at a pH if as little as can be has gone in; none beyond the sample's last point.
    fn least(&self, ph: f64) -> Option<f64> {
        let at = self.along.partition_point(|p| self.ahead(p.0, ph) > 0.0);
        let behind = *self.along.get(at)?;
        let before = at
            .checked_sub(1)
            .map_or((self.from.ph, self.from.rest), |n| self.along[n]);
        let on = self.ahead(before.0, ph).max(0.0);
        let whole = ten_to(self.ahead(before.0, behind.0).max(0.0)) - 1.0;
        let share = if whole > 0.0 {
            ((ten_to(on) - 1.0) / whole).min(1.0)
        } else {
            0.0
        };
        let between = before.1 + share * (behind.1 - before.1);
        let earlier = self.along[..at]
            .iter()
            .rev()
            .find(|p| self.ahead(p.0, before.0) >= STRETCH_PH);
        let carried = earlier.map(|e| {
            let stretch = self.ahead(e.0, before.0) + 2.0 * METER_PH;
            before.1 + (before.1 - e.1) * (1.0 - ten_to(-on)) / (ten_to(stretch) - 1.0)
        });
        Some(carried.map_or(between, |carried| self.further(between, carried)))
    }

    /// Of two charges the one that more acid or base has led to.
    fn further(&self, a: f64, b: f64) -> f64 {
        if self.down { a.min(b) } else { a.max(b) }
    }

    /// mol/kg to a pH: straight between the points, and no less than it surely takes.
    pub fn dose(&self, ph: f64) -> Result<f64, ChemError> {
        let straight = self.curve.rest(ph);
        self.to(
            ph,
            self.least(ph)
                .map_or(straight, |least| self.further(straight, least)),
        )
    }

    /// mol/kg that surely do not pass the target by more than can be told; none where the sample ends just before that, or the
    /// agent cannot lead so far.
    pub fn sure(&self, target: f64) -> Option<f64> {
        let sure = if self.down {
            target - SURE_PH
        } else {
            target + SURE_PH
        };
        let mol = self.to(sure, self.least(sure)?).ok()?;
        let open = if self.dosed {
            self.curve.last_doubt
        } else {
            self.curve.doubt
        };
        Some((mol - open / self.agent.charge(sure).abs()).max(0.0))
    }

    /// The share of it that goes in: the first dose leaves room for a vessel that holds less than was said, later ones go on from
    /// what the batch itself read.
    pub fn share(&self) -> f64 {
        if self.dosed { 1.0 } else { 1.0 - WEIGHT_SHARE }
    }

    fn to(&self, ph: f64, rest: f64) -> Result<f64, ChemError> {
        let charge = self.agent.working_charge(ph, self.down)?;
        Ok(
            ((rest - known_charge(self.bench, &self.from.dosed, self.from.thin, ph)) / charge)
                .max(0.0),
        )
    }
}
