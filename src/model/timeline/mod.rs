//! The method as a program: vessels, temperatures, who goes in when. From the steps where there are steps,
//! else from what the phase headings say.
//!
//! Every figure is a plain reading of the file: no heat balance is computed, an addition takes the temperature
//! of what it goes into. What is not said stays unknown, and rules keep quiet on it.

mod clause;
mod contents;
mod headings;
mod heat;
mod named;
mod outcome;
mod simulation;
mod vessel;

pub use heat::goes_in_below;
pub use outcome::{History, Merge, PhaseHistory, Timeline, VesselState, VesselsAfterStep};

use super::formula::Formula;
use super::settings::Settings;
use crate::kb::Kb;
use crate::syntax::tree::{Node, Step, Tree};
use heat::heats_to;
use simulation::Simulation;

pub fn simulate(tree: &Tree, f: &Formula, kb: &Kb, settings: &Settings) -> Timeline {
    let hot_from = kb.threshold("hot-phase-c").value.0;
    let hot = f.phases.iter().any(|p| {
        p.heat
            .as_ref()
            .is_some_and(|h| heats_to(h.value).is_some_and(|t| t > hot_from))
    });
    let steps: Vec<(u32, &Step)> = tree
        .lines
        .iter()
        .enumerate()
        .filter_map(|(n, at)| match &at.line.node {
            Node::Step(s) => Some((n as u32, s)),
            _ => None,
        })
        .collect();
    let mut sim = Simulation::new(f, kb, settings, hot);
    if steps
        .iter()
        .any(|(_, s)| s.clauses.iter().any(|c| c.verb.is_some()))
    {
        sim.run(&steps);
        // "heat A and B, mix, cool": a mixing that names nothing unites them where nothing else does.
        if sim.mixed_apart && sim.out.phases.iter().any(|p| p.never) {
            sim = Simulation::new(f, kb, settings, hot);
            sim.mixing_unites = true;
            sim.run(&steps);
        }
    } else {
        sim.headings();
    }
    sim.out
}
