//! The run through the steps of a method, and what is known at each moment of it.

use super::contents::{Contents, Vessel, contents};
use super::outcome::{History, PhaseHistory, Timeline, VesselState, VesselsAfterStep};
use crate::kb::{Id, Kb};
use crate::model::Settings;
use crate::model::formula::Formula;
use crate::syntax::tree::Step;
use rust_decimal::Decimal;
use std::cell::OnceCell;
use std::collections::HashMap;

pub(super) struct Simulation<'a> {
    pub(super) f: &'a Formula,
    pub(super) kb: &'a Kb,
    /// Most steps name a phase by its bare label and need none of these.
    pub(super) keys: OnceCell<Keys>,
    pub(super) named_rows: OnceCell<NamedRows>,
    pub(super) oily_phase: OnceCell<Option<usize>>,
    pub(super) watery_phase: OnceCell<Option<usize>>,
    pub(super) room: Decimal,
    pub(super) out: Timeline,
    /// Vessel of each phase.
    pub(super) vessel_of: Vec<usize>,
    pub(super) vessels: Vec<Vessel>,
    /// What each row adds to a vessel.
    pub(super) contents: Vec<Contents>,
    /// So much of the product is a good part of it.
    pub(super) main_share: Decimal,
    /// Vessel that each row stands in; a row of no phase stands in none until it is added.
    pub(super) row_in: Vec<Option<usize>>,
    /// Phases that a step has named, and how many these are.
    pub(super) handled: Vec<bool>,
    pub(super) handled_count: usize,
    /// A mixing that names nothing puts together what stands apart.
    pub(super) mixing_unites: bool,
    /// There was one while phases stood apart.
    pub(super) mixed_apart: bool,
    /// Vessels that the step has changed.
    pub(super) touched: Vec<usize>,
    /// Vessel last named or combined.
    pub(super) main: usize,
    pub(super) hot_from: Decimal,
}

/// The first phase of each label and name, as they are looked up.
#[derive(Default)]
pub(super) struct Keys {
    pub(super) labels: HashMap<String, usize>,
    pub(super) names: HashMap<String, usize>,
    /// By names that end in "phase", without it.
    pub(super) kinds: HashMap<String, usize>,
}

/// The first row of each name and material.
#[derive(Default)]
pub(super) struct NamedRows {
    pub(super) names: HashMap<String, usize>,
    pub(super) materials: HashMap<Id, usize>,
}

impl<'a> Simulation<'a> {
    pub(super) fn new(f: &'a Formula, kb: &'a Kb, settings: &Settings, hot: bool) -> Self {
        let mut out = Timeline {
            rows: vec![History::default(); f.rows.len()],
            phases: vec![PhaseHistory::default(); f.phases.len()],
            hot,
            ..Timeline::default()
        };
        out.combined_at = None;
        Simulation {
            f,
            kb,
            keys: OnceCell::new(),
            named_rows: OnceCell::new(),
            oily_phase: OnceCell::new(),
            watery_phase: OnceCell::new(),
            room: settings.room_c(kb),
            out,
            vessel_of: (0..f.phases.len()).collect(),
            vessels: f.phases.iter().map(|_| Vessel::default()).collect(),
            contents: Vec::new(),
            main_share: kb.threshold("phases-apart-share-percent").value.0,
            row_in: vec![None; f.rows.len()],
            handled: vec![false; f.phases.len()],
            handled_count: 0,
            mixing_unites: false,
            mixed_apart: false,
            touched: Vec::new(),
            main: 0,
            hot_from: kb.threshold("hot-phase-c").value.0,
        }
    }

    pub(super) fn run(&mut self, steps: &[(u32, &Step)]) {
        self.out.from_method = true;
        // Rows of a phase stand in its vessel from the start, at room temperature.
        self.contents = contents(self.f, self.kb);
        for (n, phase) in self.f.phases.iter().enumerate() {
            let mut holds = Contents::default();
            phase
                .rows
                .iter()
                .for_each(|r| holds.add(&self.contents[*r]));
            self.vessels[n] = Vessel {
                c: Some(self.room),
                rows: phase.rows.clone(),
                phases: vec![n],
                holds,
                all_felt: None,
            };
            for r in &phase.rows {
                self.out.rows[*r].highest_c = Some(self.room);
                self.row_in[*r] = Some(n);
            }
        }
        let mut named_anywhere = vec![false; self.f.phases.len()];
        for (line, step) in steps {
            let mut last: Vec<usize> = Vec::new();
            for clause in &step.clauses {
                let text_phases = self.phases_in(clause, &last);
                for p in &text_phases {
                    named_anywhere[*p] = true;
                }
                if clause.verb.is_none() {
                    if self.out.not_understood.last() != Some(line) {
                        self.out.not_understood.push(*line);
                    }
                    continue;
                }
                self.clause(*line, clause, &text_phases);
                if !text_phases.is_empty() {
                    last = text_phases;
                }
            }
            if let Some(c) = self.vessels.get(self.main).and_then(|v| v.c) {
                self.out.temperature_curve.push((*line, c));
            }
            let state = |v: &Vessel| match v.c {
                _ if v.phases.is_empty() => VesselState::Gone,
                Some(c) => VesselState::At(c),
                None => VesselState::Unknown,
            };
            let mut touched = std::mem::take(&mut self.touched);
            touched.sort_unstable();
            touched.dedup();
            let changed = touched.into_iter();
            self.out.after.push(VesselsAfterStep {
                line: *line,
                changed: changed.map(|v| (v, state(&self.vessels[v]))).collect(),
            });
        }
        // Heat that only the method speaks of is heat too.
        self.out.hot |= self
            .out
            .temperature_curve
            .iter()
            .any(|(_, c)| *c > self.hot_from);
        self.settle(&named_anywhere);
    }

    /// Which phases never reach the product.
    fn settle(&mut self, named: &[bool]) {
        let product = (0..self.vessels.len())
            .max_by_key(|v| (self.vessels[*v].phases.len(), usize::from(*v == self.main)));
        let several = self.f.phases.len() > 1;
        for (p, is_named) in named.iter().enumerate() {
            let empty = self.f.phases[p].rows.is_empty();
            let apart = Some(self.vessel_of[p]) != product;
            // A premix that is made ready goes along with the phase that its heading names.
            let along = self.f.phases[p].premix
                && self.handled[p]
                && self.f.phases[p]
                    .into
                    .is_some_and(|i| i != p && Some(self.vessel_of[i]) == product);
            // A step that is not understood may have added it; then nothing is claimed.
            let forgiven = *is_named && !self.out.not_understood.is_empty();
            self.out.phases[p].never = several
                && apart
                && !empty
                && !forgiven
                && !along
                && !self.f.phases[p].label.is_empty();
        }
    }
}
