//! Runs the method, or reads the headings where there is none.

use super::Timeline;
use super::heat::heats_to;
use super::simulation::Simulation;
use crate::kb::Kb;
use crate::model::formula::Formula;
use crate::model::settings::Settings;
use crate::syntax::tree::{Node, Step, Tree};

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
