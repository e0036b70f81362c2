//! How much acid or base the product still needs, from the readings at the bench.
//!
//! Shapes: the batch in grams, what is being added ([`Agent`]), the readings so far (pH, and the grams that
//! went in since the reading before), the samples that were tried with their own ([`Sample`]), the target; out comes the
//! next dose in grams as weighed, to the batch or to the sample.
//!
//! Method: at every reading the charges must cancel. Those of hydrogen, hydroxide, the agent and whatever
//! acids the caller knows are calculated (ideal charge balance, [`super::acid_base`]); what is left over is
//! the product's own, unknown, buffering. From the readings of the batch alone it is taken as linear in pH between
//! readings, from the third reading on with the bend that the last three show. With a sample that passed the target it is
//! read off the sample's points ([`curve`]). The dose follows without any search, because the charge balance is linear in
//! the amount of agent.
//!
//! Range, and what is refused or held back, from the batch's own readings:
//! - one reading: a trial of 0.05 % of the batch as pure acid or base, less of a strong agent; where the acids
//!   of the formula are known, two thirds of what they alone take to the target, be it less or more;
//! - the fit reaches one span of the readings beyond the last one, and never more than 1.0 pH: a target
//!   further off gets a dose to the end of that reach and no promise beyond it;
//! - of a dose to the target two thirds go in first, then it is measured again; up to nine tenths once a third
//!   reading bears the fit out, less the further it is;
//! - a target that was passed is corrected back once, then the batch is better thrown away.
//!
//! With a sample: whole steps go into it until it has passed the target, where that costs nothing. Then the batch gets what
//! leads to the target by the sample's curve, and no more than cannot pass it by 0.1 however the product holds its pH
//! between two of the sample's points, with the meter 0.03 off and the scale half a step at each addition ([`overshoot_bound`]); of the
//! first dose 97 %, for the vessel may hold 3 % less than was said. A sample that
//! leapt over the target by more than 1 pH asks for a second one; one that reads more than 0.3 off the batch is left out.
//! All amounts are per kg of product: a sample that took 3 % of its weight has not thinned its own acids by that, only
//! hydrogen and hydroxide ions are spread over the heavier whole.
//!
//! Errors: pH meters are good to 0.02 to 0.05, paper to 0.3. Without a sample the dilution by the additions is left out (below
//! 2 % of the batch it does not show). Of 2,000 random mixtures of one to five weak acids (3 to 33 mmol/kg
//! each, target 0.3 to 1.5 pH away) three in four came within 0.1 pH in three doses and one in twenty passed
//! the target by more than 0.1 after the trial: mixtures that lose their hold on the pH close by, which no
//! earlier reading shows. The blind trial alone passed it in one mixture of six: name the known acids, or take a sample.
//! With samples of 30 g (a second one after a leap), a scale of 0.01 g and the smallest drops watered down tenfold, 400 such
//! mixtures of 400 came within 0.1 pH in three doses, 287 of them in one, and none passed the target by more than 0.02; with the
//! meter up to 0.03 off at each reading and the scale half a step, 398 of 400, and none by more than 0.03; with 3 % less in the
//! vessel than was said besides, 400 of 400, and none by more than 0.1. A sample took six additions at most, one in eight leapt and
//! asked for a second. Of 3,000, none, one and two passed by more than 0.1, and none by more than 0.14: products in which a drop
//! moves the pH by a third. Where the smallest drops are not watered down, 97 in 100 land and two to four in a thousand pass.

mod advice;
mod advise;
mod agent;
mod by_sample;
mod caution;
mod curve;
mod draw;
mod fit;
mod overshoot_bound;
mod points;
mod titrate;
mod trial;

pub use advice::{Advice, Verdict};
pub use advise::advise;
pub use agent::Agent;
pub use caution::Caution;
pub use draw::{as_in_the_batch, curve};
pub use trial::{STRONG_TRIAL_MOL_KG, TRIAL_SHARE};

use super::ChemError;
use super::acid_base::System;

/// The fit is not believed further than this beyond the last reading, pH.
pub const REACH_PH: f64 = 1.0;
/// Nearer than this to the target is there: no kitchen meter tells the difference.
pub const CLOSE_ENOUGH_PH: f64 = 0.1;
/// What a meter at the bench may be off by, pH.
pub const METER_PH: f64 = 0.03;
/// Readings closer together than this say nothing about the buffering.
const LEAST_MOVE_PH: f64 = 0.03;
/// Of a first dose by the fit.
const FIRST_SHARE: f64 = 2.0 / 3.0;

const STUCK: &str = "the pH does not move: check the meter, the mixing and the strength of the solution before adding more";

/// A pH read at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    pub ph: f64,
    /// Grams, as weighed in, since the reading before; 0 at the first.
    pub added_g: f64,
    /// Which of the agents that was; of no meaning where nothing went in.
    pub agent: usize,
}

/// A part taken out of the batch to be tried on, and thrown away after that.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample<'a> {
    pub mass_g: f64,
    /// How many readings of the batch stand before it.
    pub after: usize,
    /// Its own. Where the first follows an addition, it began as the batch read last.
    pub readings: &'a [Reading],
}

/// Everything that is known at the bench.
#[derive(Clone, Copy, Debug)]
pub struct Bench<'a> {
    /// Before any sample was taken.
    pub mass_g: f64,
    pub target_ph: f64,
    /// What went in so far or may go in now. Acids lower, bases raise; the first that goes the right way is
    /// the one to go on with.
    pub agents: &'a [Agent],
    /// Acids, bases and salts of the formula, mol per kg of product, as far as they are known.
    pub known: Option<&'a System>,
    pub readings: &'a [Reading],
    /// In their order; the last one is the one at hand.
    pub samples: &'a [Sample<'a>],
    /// What the scale reads, g: half of it is open at each addition.
    pub scale_g: f64,
}

fn check(bench: &Bench) -> Result<(), ChemError> {
    if !(bench.mass_g.is_finite() && bench.mass_g > 0.0) {
        return Err(ChemError::new("the weight of the batch is not known"));
    }
    for agent in bench.agents {
        agent.check()?;
    }
    if let Some(system) = bench.known {
        system.check()?;
    }
    if bench.readings.is_empty() {
        return Err(ChemError::new("measure the pH first"));
    }
    if !(bench.scale_g.is_finite() && bench.scale_g >= 0.0) {
        return Err(ChemError::new("what the scale reads is not known"));
    }
    let in_range = |ph: f64| (0.5..=13.5).contains(&ph);
    let all = || {
        bench
            .readings
            .iter()
            .chain(bench.samples.iter().flat_map(|s| s.readings))
    };
    if !in_range(bench.target_ph) || all().any(|r| !in_range(r.ph)) {
        return Err(ChemError::new(
            "a pH below 0.5 or above 13.5 is beyond any meter at the bench",
        ));
    }
    if all().any(|r| !(r.added_g.is_finite() && r.added_g >= 0.0)) {
        return Err(ChemError::new("an addition cannot weigh less than nothing"));
    }
    if bench.readings[0].added_g > 0.0 {
        return Err(ChemError::new(
            "the first reading is taken before anything goes in",
        ));
    }
    if all().any(|r| r.added_g > 0.0 && r.agent >= bench.agents.len()) {
        return Err(ChemError::new("what went in is not named"));
    }
    Ok(())
}
