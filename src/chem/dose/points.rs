//! The readings as charges: what the known part leaves over at each pH, in the batch and in the samples drawn from it.

use super::{Agent, Bench, LEAST_MOVE_PH, METER_PH, Reading};
use crate::chem::ChemError;
use crate::chem::acid_base::System;

/// A pH with what had gone in by then. Amounts are per kg of product, additions aside.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Point {
    pub ph: f64,
    /// Charge that the known part leaves over, mol/kg: what the unknown part holds with opposite sign.
    pub rest: f64,
    /// What has gone in up to here of each agent, mol/kg.
    pub dosed: Vec<f64>,
    /// Weight of the whole for one of product: the additions thin hydrogen and hydroxide ions, nothing else here.
    pub thin: f64,
    /// What the scale leaves open of the additions, mol of charge per kg.
    pub doubt: f64,
}

/// One vessel's readings.
#[derive(Clone, Debug)]
pub(super) struct Series {
    pub points: Vec<Point>,
    /// Product in it, additions aside, g.
    pub product_g: f64,
    /// How much went in from its first reading on, g.
    pub added_g: f64,
    /// What the scale leaves open of the last addition, mol of charge per kg.
    pub last_doubt: f64,
    /// Of a sample: how many readings of the batch stand before it.
    pub after: usize,
}

pub(super) struct Points {
    pub batch: Vec<Point>,
    pub samples: Vec<Series>,
    /// Product in the batch's vessel now: the samples are gone.
    pub product_g: f64,
}

impl Points {
    pub fn last(&self) -> &Point {
        &self.batch[self.batch.len() - 1]
    }
}

/// What stands in a vessel.
#[derive(Clone)]
struct VesselContent {
    product_g: f64,
    added_g: f64,
    dosed: Vec<f64>,
    /// Square of the doubt.
    spread: f64,
    last_doubt: f64,
    /// How far a reading may stand on the wrong side of the one before it.
    slack_ph: f64,
    /// Without a sample the little that additions thin is left out.
    thins: bool,
    whose: ReadingOrigin,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum ReadingOrigin {
    Batch,
    Sample,
}

/// Everything that was read, in its order: a sample holds what had gone into the batch when it was drawn.
pub(super) fn points(bench: &Bench) -> Result<Points, ChemError> {
    let sampled = !bench.samples.is_empty();
    let mut vessel = VesselContent {
        product_g: bench.mass_g,
        added_g: 0.0,
        dosed: vec![0.0; bench.agents.len()],
        spread: 0.0,
        last_doubt: 0.0,
        // Doses by a sample may be small, and two readings of a meter may lie twice its error apart.
        slack_ph: if sampled {
            TWO_READINGS_PH
        } else {
            LEAST_MOVE_PH
        },
        thins: sampled,
        whose: ReadingOrigin::Batch,
    };
    let mut batch: Vec<Point> = Vec::with_capacity(bench.readings.len());
    let mut samples = Vec::with_capacity(bench.samples.len());
    for row in 0..=bench.readings.len() {
        let last = row == bench.readings.len();
        for sample in bench
            .samples
            .iter()
            .filter(|s| s.after == row || last && s.after > row)
        {
            let mut drawn = vessel.draw(sample.mass_g)?;
            let before = drawn.added_g;
            let mut points: Vec<Point> = Vec::new();
            if sample.readings.first().is_none_or(|r| r.added_g > 0.0) {
                // Not read by itself: it is the same product as the batch.
                points.extend(batch.last().cloned());
            }
            for reading in sample.readings {
                drawn.read(bench, reading, &mut points)?;
            }
            samples.push(Series {
                points,
                product_g: drawn.product_g,
                added_g: drawn.added_g - before,
                last_doubt: drawn.last_doubt,
                after: row,
            });
        }
        if let Some(reading) = bench.readings.get(row) {
            vessel.read(bench, reading, &mut batch)?;
        }
    }
    Ok(Points {
        batch,
        samples,
        product_g: vessel.product_g,
    })
}

/// Twice the meter's error, and its last figure.
const TWO_READINGS_PH: f64 = 2.0 * METER_PH + 0.02;

impl VesselContent {
    /// A sample: as it stands, additions and all.
    fn draw(&mut self, mass_g: f64) -> Result<VesselContent, ChemError> {
        let whole = self.product_g + self.added_g;
        if !(mass_g.is_finite() && mass_g > 0.0) {
            return Err(ChemError::new(
                "the sample has no weight: weigh it before anything goes in",
            ));
        }
        if mass_g >= whole {
            return Err(ChemError::new(
                "the sample weighs as much as the batch: 20 to 50 g out of it are enough",
            ));
        }
        let part = mass_g / whole;
        let drawn = VesselContent {
            product_g: self.product_g * part,
            added_g: self.added_g * part,
            whose: ReadingOrigin::Sample,
            ..self.clone()
        };
        self.product_g -= drawn.product_g;
        self.added_g -= drawn.added_g;
        Ok(drawn)
    }

    fn read(
        &mut self,
        bench: &Bench,
        reading: &Reading,
        points: &mut Vec<Point>,
    ) -> Result<(), ChemError> {
        if reading.added_g > 0.0 {
            let agent = &bench.agents[reading.agent];
            if points.is_empty() {
                return Err(ChemError::new(
                    "the first reading is taken before anything goes in",
                ));
            }
            self.put(bench, agent, reading);
            let before = points.last().map_or(reading.ph, |p| p.ph);
            let wrong = if agent.is_acid() {
                reading.ph - before
            } else {
                before - reading.ph
            };
            if wrong > self.slack_ph {
                return Err(ChemError::new(self.wrong_way(agent)));
            }
        } else {
            // Measured again with nothing added: the newer reading stands.
            points.pop();
        }
        let thin = if self.thins {
            1.0 + self.added_g / self.product_g
        } else {
            1.0
        };
        points.push(Point {
            ph: reading.ph,
            rest: known_charge(bench, &self.dosed, thin, reading.ph),
            dosed: self.dosed.clone(),
            thin,
            doubt: self.spread.sqrt(),
        });
        Ok(())
    }

    fn put(&mut self, bench: &Bench, agent: &Agent, reading: &Reading) {
        self.dosed[reading.agent] += agent.mol_per_kg(reading.added_g, self.product_g);
        self.added_g += reading.added_g;
        self.last_doubt = (agent.mol_per_kg(0.5 * bench.scale_g, self.product_g)
            * agent.charge(reading.ph))
        .abs();
        self.spread += self.last_doubt * self.last_doubt;
    }

    fn wrong_way(&self, agent: &Agent) -> &'static str {
        match (self.whose, agent.is_acid()) {
            (ReadingOrigin::Batch, true) => {
                "the pH rose after acid went in: mix well, let the meter settle and measure again"
            }
            (ReadingOrigin::Batch, false) => {
                "the pH fell after base went in: mix well, let the meter settle and measure again"
            }
            (ReadingOrigin::Sample, true) => {
                "the pH of the sample rose after acid went in: mix well, let the meter settle and measure again, or take another sample"
            }
            (ReadingOrigin::Sample, false) => {
                "the pH of the sample fell after base went in: mix well, let the meter settle and measure again, or take another sample"
            }
        }
    }
}

/// Charge of everything that can be calculated at a pH, mol/kg.
pub(super) fn known_charge(bench: &Bench, dosed: &[f64], thin: f64, ph: f64) -> f64 {
    let product = bench
        .known
        .map_or_else(|| System::new().ideal_charge(ph), |s| s.ideal_charge(ph));
    let thinned = if thin > 1.0 {
        (thin - 1.0) * System::new().ideal_charge(ph)
    } else {
        0.0
    };
    let added: f64 = dosed
        .iter()
        .zip(bench.agents)
        .map(|(mol, agent)| mol * agent.charge(ph))
        .sum();
    product + thinned + added
}
