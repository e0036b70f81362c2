//! What to mind with a dose.

use super::points::Points;
use super::{Advice, Agent, Bench};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caution {
    /// A strong acid or base: dilute it, add it drop by drop with stirring, wear goggles and gloves; acid
    /// into water, never water into acid.
    Strong,
    /// Concentrated lactic acid: its esters come apart after dilution and the pH drifts down for a day.
    EsterDrift,
    /// A product with little buffering (a toner, a gel without salts) can jump past the target: start with
    /// a tenth.
    MayJump,
    /// So far the pH hardly moved: the meter, the mixing and the strength of the agent are worth a look.
    HardlyMoved,
    /// The product holds its pH less and less: the last part in small steps.
    Softening,
    /// More than 2 % of the batch has gone in or would: the whole formula is being diluted.
    Diluting,
    /// The sample passed the target in one leap: nothing vouches for the stretch between.
    Leapt,
    /// The batch reads otherwise than the sample did at the same share: the sample says nothing about it.
    SampleDisagrees,
}

impl Caution {
    /// For a person at the bench.
    pub fn text(self) -> &'static str {
        match self {
            Caution::Strong => {
                "strong acids and bases burn: goggles and gloves, a dilute solution, drop by drop while stirring; acid into water, never water into acid"
            }
            Caution::EsterDrift => {
                "concentrated lactic acid holds esters with itself that come apart after dilution: the pH drifts down for a day, measure again tomorrow"
            }
            Caution::MayJump => {
                "nothing is known yet of how this product holds its pH: a toner, or a gel without salts, can jump past the target; start with a tenth of this for one of those"
            }
            Caution::HardlyMoved => {
                "the pH hardly moved: check the meter, the mixing and the strength of the solution"
            }
            Caution::Softening => {
                "the product holds its pH less and less: the last part in small steps"
            }
            Caution::Diluting => {
                "more than 2 % of the batch goes in: use a stronger solution or the formula is diluted"
            }
            Caution::Leapt => {
                "the sample passed the target in one leap, and nothing is known of the stretch between: take a second sample before you dose the batch, its steps will be smaller"
            }
            Caution::SampleDisagrees => {
                "batch and sample read more than 0.3 pH apart where they ought to read alike: the sample does not speak for this batch and is left out; check the meter, stir, and take another sample"
            }
        }
    }
}

/// Those that hold for every dose of an agent to the batch.
pub(super) fn common(bench: &Bench, points: &Points, agent: &Agent, advice: &mut Advice) {
    of_agent(agent, advice);
    let so_far: f64 = bench.readings.iter().map(|r| r.added_g).sum();
    if so_far + advice.add_g.unwrap_or(0.0) > MUCH * points.product_g {
        advice.cautions.push(Caution::Diluting);
    }
}

/// More than this share of additions changes the formula.
pub(super) const MUCH: f64 = 0.02;

pub(super) fn of_agent(agent: &Agent, advice: &mut Advice) {
    if agent.is_strong() {
        advice.cautions.push(Caution::Strong);
    }
    if agent.self_esters && agent.percent > 50.0 {
        advice.cautions.push(Caution::EsterDrift);
    }
}
