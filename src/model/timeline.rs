//! The method as a program: vessels, temperatures, who goes in when. From the steps where there are steps,
//! else from what the phase headings say.
//!
//! Every figure is a plain reading of the file: no heat balance is computed, an addition takes the temperature
//! of what it goes into. What is not said stays unknown, and rules keep quiet on it.

use super::formula::{Formula, Phase, Row};
use super::settings::Settings;
use super::system;
use crate::kb::names::key;
use crate::kb::schema::Ingredient;
use crate::kb::{Id, Kb, Lookup};
use crate::syntax::tree::{Clause, Heat, Node, Step, Temperature, Tree, Verb};
use crate::text::Spanned;
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::cell::OnceCell;
use std::collections::HashMap;

/// What happens to each row and phase.
#[derive(Clone, Debug, Default)]
pub struct Timeline {
    /// By row.
    pub rows: Vec<History>,
    /// By phase.
    pub phases: Vec<PhaseHistory>,
    /// The file has a method with at least one step that is understood.
    pub from_method: bool,
    /// Temperature of the main vessel after each step: line, degrees Celsius.
    pub course: Vec<(u32, Decimal)>,
    /// What each step changes in the vessels.
    pub after: Vec<After>,
    /// Some phase is heated.
    pub hot: bool,
    /// Line on which water phase and oil phase first come together.
    pub combined_at: Option<u32>,
    /// The first time that a vessel with water and one with oil come together, each a good part of the product.
    pub water_meets_oil: Option<Merge>,
    /// Lines of steps of which a part was not understood.
    pub not_understood: Vec<u32>,
    /// Where pH is measured or adjusted.
    pub ph_steps: Vec<u32>,
}

/// What a step changes in the vessels.
#[derive(Clone, Debug, PartialEq)]
pub struct After {
    pub line: u32,
    /// The vessels that it changes, each by the phase that it began with.
    pub changed: Vec<(usize, Standing)>,
}

impl Timeline {
    /// The vessel that began with this phase, after each step; before the first it stands at `room`.
    pub fn standings(&self, phase: usize, room: Decimal) -> Vec<Standing> {
        let mut now = Standing::At(room);
        let after = |a: &After| {
            if let Some((_, standing)) = a.changed.iter().find(|(v, _)| *v == phase) {
                now = *standing;
            }
            now
        };
        self.after.iter().map(after).collect()
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    At(Decimal),
    /// At a temperature that is not known.
    Unknown,
    /// Poured into another.
    Gone,
}

/// One vessel goes into another.
#[derive(Clone, Debug, PartialEq)]
pub struct Merge {
    pub line: u32,
    /// Temperature and rows of what stood there.
    pub into_c: Decimal,
    pub into_rows: Vec<usize>,
    /// Temperature and rows of what was poured in.
    pub from_c: Decimal,
    pub from_rows: Vec<usize>,
}

/// What one row goes through.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct History {
    /// Temperature at which it is put in.
    pub added_c: Option<Decimal>,
    /// The highest from then on; none: not known.
    pub highest_c: Option<Decimal>,
    /// The line that says so: a step, or the heading of a phase.
    pub line: Option<u32>,
    /// Minutes at or near that temperature, where holds are given.
    pub minutes: Option<Decimal>,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PhaseHistory {
    /// The step that puts it into the product.
    pub added_line: Option<u32>,
    pub added_c: Option<Decimal>,
    /// Set where the method never lets it reach the product.
    pub never: bool,
    /// A second time that it is put in.
    pub again_line: Option<u32>,
}

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

/// The temperature that a heading brings its phase to; none for phases that are added cold.
fn heats_to(heat: Heat) -> Option<Decimal> {
    match heat {
        Heat::At(t) | Heat::Above(t) | Heat::Between(_, t) => Some(t.celsius),
        Heat::Below(_) | Heat::Room => None,
    }
}

/// The highest temperature at which a heading lets its phase go in.
pub fn goes_in_below(heat: Heat) -> Option<Temperature> {
    match heat {
        Heat::Below(t) | Heat::Between(_, t) => Some(t),
        _ => None,
    }
}

struct Simulation<'a> {
    f: &'a Formula,
    kb: &'a Kb,
    /// Most steps name a phase by its bare label and need none of these.
    keys: OnceCell<Keys>,
    named_rows: OnceCell<NamedRows>,
    oily_phase: OnceCell<Option<usize>>,
    watery_phase: OnceCell<Option<usize>>,
    room: Decimal,
    out: Timeline,
    /// Vessel of each phase.
    vessel_of: Vec<usize>,
    vessels: Vec<Vessel>,
    /// What each row adds to a vessel.
    contents: Vec<Contents>,
    /// So much of the product is a good part of it.
    main_share: Decimal,
    /// Vessel that each row stands in; a row of no phase stands in none until it is added.
    row_in: Vec<Option<usize>>,
    /// Phases that a step has named.
    handled: Vec<bool>,
    /// A mixing that names nothing puts together what stands apart.
    mixing_unites: bool,
    /// There was one while phases stood apart.
    mixed_apart: bool,
    /// Vessels that the step has changed.
    touched: Vec<usize>,
    /// Vessel last named or combined.
    main: usize,
    hot_from: Decimal,
}

/// The first phase of each label and name, as they are looked up.
#[derive(Default)]
struct Keys {
    labels: HashMap<String, usize>,
    names: HashMap<String, usize>,
    /// By names that end in "phase", without it.
    kinds: HashMap<String, usize>,
}

/// The first row of each name and material.
#[derive(Default)]
struct NamedRows {
    names: HashMap<String, usize>,
    materials: HashMap<Id, usize>,
}

#[derive(Clone, Debug, Default)]
struct Vessel {
    c: Option<Decimal>,
    rows: Vec<usize>,
    phases: Vec<usize>,
    holds: Contents,
    /// All that stands in it has been at least so hot; none: some of it may not have felt any heat.
    all_felt: Option<Decimal>,
}

/// What rows add up to.
#[derive(Clone, Copy, Debug, Default)]
struct Contents {
    /// Percent of the rows of which it is known.
    known: Decimal,
    /// How many rows: without a known share, with water in them, with oil.
    unknown: usize,
    watery: usize,
    oily: usize,
}

impl Contents {
    fn percent(&self) -> Option<Decimal> {
        (self.unknown == 0).then_some(self.known)
    }

    fn add(&mut self, other: &Contents) {
        self.known += other.known;
        self.unknown += other.unknown;
        self.watery += other.watery;
        self.oily += other.oily;
    }

    fn take_out(&mut self, other: &Contents) {
        self.known -= other.known;
        self.unknown -= other.unknown;
        self.watery -= other.watery;
        self.oily -= other.oily;
    }
}

/// Of each row by itself.
fn contents(f: &Formula, kb: &Kb) -> Vec<Contents> {
    let of_row = |r: &Row| Contents {
        known: r.percent.unwrap_or_default(),
        unknown: usize::from(r.percent.is_none()),
        watery: 0,
        oily: 0,
    };
    let mut out: Vec<Contents> = f.rows.iter().map(of_row).collect();
    for s in &f.shares {
        let one = kb.get(s.id);
        out[s.row].watery |= usize::from(system::is_water(one));
        out[s.row].oily |= usize::from(system::is_oily(one));
    }
    out
}

impl<'a> Simulation<'a> {
    fn new(f: &'a Formula, kb: &'a Kb, settings: &Settings, hot: bool) -> Self {
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
            mixing_unites: false,
            mixed_apart: false,
            touched: Vec::new(),
            main: 0,
            hot_from: kb.threshold("hot-phase-c").value.0,
        }
    }

    /// Without a method: phases `at T` are heated and combined at the highest T; each phase `below T` goes in at T, in file order.
    fn headings(&mut self) {
        let highest = self
            .f
            .phases
            .iter()
            .filter_map(|p| heats_to(p.heat.as_ref()?.value))
            .max();
        for (n, phase) in self.f.phases.iter().enumerate() {
            let into = phase.into.map(|p| &self.f.phases[p]);
            let own = self.phase_heat(phase, highest, phase.premix);
            let later = into.map(|p| self.phase_heat(p, highest, false));
            let (c, heading) = match later {
                Some(Some(l)) => (
                    own.map_or(Some(l), |o| Some(o.max(l))),
                    into.and_then(|p| p.lines.first()),
                ),
                Some(None) => (None, None),
                None => (own, phase.lines.first()),
            };
            for r in &phase.rows {
                self.out.rows[*r] = History {
                    added_c: own,
                    highest_c: c,
                    line: heading.copied(),
                    minutes: phase.hold_minutes,
                };
            }
            self.out.phases[n].added_c = c;
        }
        // Rows under no phase: at room temperature in a cold formula, else unknown.
        if !self.out.hot {
            for (n, row) in self.f.rows.iter().enumerate() {
                if row.phase.is_none() {
                    self.out.rows[n] = History {
                        added_c: Some(self.room),
                        highest_c: Some(self.room),
                        line: None,
                        minutes: None,
                    };
                }
            }
        }
    }

    fn phase_heat(
        &self,
        phase: &Phase,
        highest: Option<Decimal>,
        own_vessel: bool,
    ) -> Option<Decimal> {
        match phase.heat.as_ref().map(|h| h.value) {
            Some(Heat::At(t) | Heat::Above(t)) => {
                Some(if own_vessel || t.celsius <= self.hot_from {
                    t.celsius
                } else {
                    highest.unwrap_or(t.celsius)
                })
            }
            Some(Heat::Between(_, t)) => Some(t.celsius),
            Some(Heat::Below(t)) => Some(t.celsius),
            Some(Heat::Room) if own_vessel || !self.out.hot => Some(self.room),
            Some(Heat::Room) => None,
            None if own_vessel || !self.out.hot => Some(self.room),
            None => None,
        }
    }

    fn run(&mut self, steps: &[(u32, &Step)]) {
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
                self.out.course.push((*line, c));
            }
            let standing = |v: &Vessel| match v.c {
                _ if v.phases.is_empty() => Standing::Gone,
                Some(c) => Standing::At(c),
                None => Standing::Unknown,
            };
            let mut touched = std::mem::take(&mut self.touched);
            touched.sort_unstable();
            touched.dedup();
            let changed = touched.into_iter();
            self.out.after.push(After {
                line: *line,
                changed: changed.map(|v| (v, standing(&self.vessels[v]))).collect(),
            });
        }
        // Heat that only the method speaks of is heat too.
        self.out.hot |= self.out.course.iter().any(|(_, c)| *c > self.hot_from);
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
            // A step that is not understood may have added it; then nothing is claimed.
            let forgiven = *is_named && !self.out.not_understood.is_empty();
            self.out.phases[p].never =
                several && apart && !empty && !forgiven && !self.f.phases[p].label.is_empty();
        }
    }

    fn clause(&mut self, line: u32, clause: &Clause, phases: &[usize]) {
        let Some(verb) = clause.verb.as_ref().map(|v| v.value) else {
            return;
        };
        for p in phases {
            self.handled[*p] = true;
        }
        let into = clause.into.as_ref().and_then(|t| self.target(&t.value));
        match verb {
            Verb::Heat
            | Verb::Melt
            | Verb::Dissolve
            | Verb::Hydrate
            | Verb::Slurry
            | Verb::Sprinkle
            | Verb::Grind
            | Verb::Sieve
            | Verb::Weigh => {
                let vessels = self.vessels_or_main(phases);
                for v in vessels {
                    let c = match clause.heat.as_ref() {
                        Some(h) => reached(h.value),
                        None if matches!(verb, Verb::Heat | Verb::Melt) => self.heading_heat(v),
                        None => None,
                    };
                    if let Some(c) = c {
                        self.warm(v, c, line);
                    }
                    self.main = v;
                }
                if let Some(p) = into {
                    self.pour(line, phases, p, clause);
                }
                if let Some(minutes) = &clause.minutes {
                    self.hold(phases, minutes.value.1);
                }
            }
            Verb::Hold | Verb::Rest => {
                if let Some(h) = &clause.heat
                    && let Some(c) = reached(h.value)
                {
                    for v in self.vessels_or_main(phases) {
                        self.warm(v, c, line);
                    }
                }
                if let (Some(minutes), Verb::Hold) = (&clause.minutes, verb) {
                    self.hold(phases, minutes.value.1);
                }
            }
            Verb::Add
            | Verb::Pour
            | Verb::Blend
            | Verb::Stir
            | Verb::Homogenize
            | Verb::Neutralize
            | Verb::Thicken
            | Verb::AdjustPh => {
                let united = self.united(clause, verb, phases, into);
                self.add(
                    line,
                    clause,
                    verb,
                    united.as_deref().unwrap_or(phases),
                    into,
                );
            }
            Verb::Cool => {
                let room = self.room;
                let vessels = self.vessels_or_main(phases);
                for v in vessels {
                    if let Some(h) = &clause.heat {
                        self.vessel(v).c = match h.value {
                            Heat::At(t) | Heat::Below(t) | Heat::Above(t) | Heat::Between(_, t) => {
                                Some(t.celsius)
                            }
                            Heat::Room => Some(room),
                        };
                    } else {
                        self.vessel(v).c = None;
                    }
                    self.main = v;
                }
            }
            Verb::TopUp | Verb::Fill | Verb::Mould | Verb::MeasurePh | Verb::Tidy => {}
        }
        if matches!(verb, Verb::MeasurePh | Verb::AdjustPh) {
            self.out.ph_steps.push(line);
        }
    }

    /// The phase that something goes into: named, or by a material in it ("add oil to water").
    fn target(&self, words: &str) -> Option<usize> {
        self.f
            .labelled(words)
            .or_else(|| self.phase_named(words).into_iter().next())
            .or_else(|| self.f.rows[self.row_named(words)?].phase)
    }

    /// "combine", "mix together", "emulsify with a stick blender": the phases that the steps have named so far and that stand
    /// apart, where nothing was put together before.
    fn united(
        &mut self,
        clause: &Clause,
        verb: Verb,
        phases: &[usize],
        into: Option<usize>,
    ) -> Option<Vec<usize>> {
        let together = |o: &Spanned<SmolStr>| TOGETHER.contains(&key(&o.value).as_str());
        let says_together = clause.objects.iter().any(together);
        let bare = into.is_none() && (clause.objects.is_empty() || says_together);
        let begun = self.vessels.iter().any(|v| v.phases.len() > 1);
        if !phases.is_empty() || !bare || begun {
            return None;
        }
        let apart: Vec<usize> = (0..self.f.phases.len())
            .filter(|p| self.handled[*p] && !self.f.phases[*p].premix && !self.too_hot_for(*p))
            .collect();
        if apart.len() < 2 {
            return None;
        }
        match verb {
            Verb::Pour | Verb::Homogenize => Some(apart),
            Verb::Stir | Verb::Blend if says_together || self.mixing_unites => Some(apart),
            Verb::Stir | Verb::Blend => {
                self.mixed_apart = true;
                None
            }
            _ => None,
        }
    }

    /// The heading says that this phase goes in cooler than the batch is.
    fn too_hot_for(&self, phase: usize) -> bool {
        let below = self.f.phases[phase].heat.as_ref();
        let below = below.and_then(|h| goes_in_below(h.value));
        let now = self.vessels.get(self.main).and_then(|v| v.c);
        matches!((below, now), (Some(t), Some(c)) if c > t.celsius)
    }

    fn add(
        &mut self,
        line: u32,
        clause: &Clause,
        verb: Verb,
        phases: &[usize],
        into: Option<usize>,
    ) {
        let target = match into {
            Some(p) => Some(self.vessel_of[p]),
            None if phases.len() > 1
                && matches!(
                    verb,
                    Verb::Pour | Verb::Blend | Verb::Stir | Verb::Homogenize
                ) =>
            {
                Some(self.vessel_of[phases[0]])
            }
            None if phases.len() > 1 && !self.has_main() => Some(self.vessel_of[phases[0]]),
            None => Some(self.main),
        };
        let Some(target) = target.filter(|t| *t < self.vessels.len()) else {
            return;
        };
        // "when below 40 °C add C": it has cooled to that by then; "add C at 40 °C" likewise.
        if let Some(h) = &clause.heat {
            let c = match h.value {
                Heat::Below(t) | Heat::At(t) | Heat::Between(_, t) | Heat::Above(t) => t.celsius,
                Heat::Room => self.room,
            };
            if verb == Verb::Add
                || self.vessels[target].c.is_none_or(|now| now > c)
                || into.is_some()
            {
                self.vessel(target).c = Some(c);
            }
        }
        self.main = target;
        let from: Vec<usize> = phases
            .iter()
            .copied()
            .filter(|p| self.vessel_of[*p] != target)
            .collect();
        let stays: Vec<usize> = phases
            .iter()
            .copied()
            .filter(|p| self.vessel_of[*p] == target)
            .collect();
        for p in from {
            self.merge(line, p, target);
        }
        if verb == Verb::Add && into.is_none() {
            for p in stays {
                let added = &mut self.out.phases[p];
                match added.added_line {
                    // The first phase of all is named to start with.
                    None => added.added_line = Some(line),
                    Some(before) if before != line && !portions(clause) => {
                        added.again_line = Some(line)
                    }
                    Some(_) => {}
                }
            }
        }
        self.add_materials(line, clause, target);
        if let (Some(minutes), true) = (
            &clause.minutes,
            self.vessels[target].c.is_some_and(|c| c > self.hot_from),
        ) {
            self.hold(&[], minutes.value.1);
        }
    }

    /// Single materials named in a step: the row of that material has its own moment.
    fn add_materials(&mut self, line: u32, clause: &Clause, target: usize) {
        let c = self.vessels[target].c;
        for object in &clause.objects {
            if !self.phase_named(&object.value).is_empty() {
                continue;
            }
            let rows = self.rows_named(&object.value);
            let kind = rows.len() > 1 || self.row_named(&object.value).is_none();
            for row in rows {
                // What is of this kind and in the pot already is not meant ("add the vitamins", and tocopherol is in the oil).
                if kind && self.row_in[row] == Some(target) {
                    continue;
                }
                let h = &mut self.out.rows[row];
                h.added_c = c;
                // Its phase may have stood in a vessel; from here its own story counts.
                h.highest_c = c;
                h.line = Some(line);
                self.put(row, target);
                if let Some(p) = self.f.rows[row].phase {
                    self.out.phases[p].added_line.get_or_insert(line);
                    let alone = self.f.phases[p]
                        .rows
                        .iter()
                        .all(|r| self.row_in[*r] == Some(target));
                    if alone {
                        let left = std::mem::replace(&mut self.vessel_of[p], target);
                        self.vessel(left).phases.retain(|x| *x != p);
                        self.vessel(target).phases.push(p);
                    }
                }
            }
        }
    }

    /// A single row goes from where it stands into `target`.
    fn put(&mut self, row: usize, target: usize) {
        let one = self.contents[row];
        if let Some(v) = self.row_in[row] {
            let left = self.vessel(v);
            if v != target {
                left.rows.retain(|r| *r != row);
                left.holds.take_out(&one);
            }
        }
        let felt = self.out.rows[row].highest_c;
        let stood_there = self.row_in[row].replace(target) == Some(target);
        let vessel = self.vessel(target);
        vessel.all_felt = vessel.all_felt.min(felt);
        if !stood_there {
            vessel.rows.push(row);
            vessel.holds.add(&one);
        }
    }

    /// Everything in the vessel of `phase` goes over into `target`.
    fn merge(&mut self, line: u32, phase: usize, target: usize) {
        let source = self.vessel_of[phase];
        let moved = std::mem::take(self.vessel(source));
        // A cooling without a figure: the heading of what is added says how far.
        let heading = || {
            moved
                .phases
                .iter()
                .filter_map(|p| goes_in_below(self.f.phases[*p].heat.as_ref()?.value))
                .map(|t| t.celsius)
                .min()
        };
        let receiving = self.vessels[target].c.or_else(heading);
        self.meet(line, target, &moved);
        let both_hot = moved.c.is_some_and(|c| c > self.hot_from)
            && receiving.is_some_and(|c| c > self.hot_from);
        let after = match (receiving, moved.c) {
            (Some(a), Some(b)) if both_hot => Some(a.max(b)),
            // Something hot poured into something cold: by their weights, or the hotter one where these are not known.
            (Some(a), Some(b)) if b > a && b > self.hot_from => {
                Some(mixed(a, &self.vessels[target].holds, b, &moved.holds).unwrap_or(b))
            }
            (a, _) => a,
        };
        self.vessel(target).c = after;
        for r in &moved.rows {
            self.row_in[*r] = Some(target);
            let h = &mut self.out.rows[*r];
            h.added_c = h.added_c.or(after);
        }
        for p in &moved.phases {
            self.vessel_of[*p] = target;
            let ph = &mut self.out.phases[*p];
            ph.added_line.get_or_insert(line);
            ph.added_c = ph.added_c.or(receiving);
        }
        if both_hot && self.out.combined_at.is_none() {
            self.out.combined_at = Some(line);
        }
        let vessel = &mut self.vessels[target];
        let stood = vessel.rows.len();
        vessel.rows.extend(moved.rows);
        vessel.phases.extend(moved.phases);
        vessel.holds.add(&moved.holds);
        let Some(c) = after else {
            vessel.all_felt = vessel.all_felt.min(moved.all_felt);
            return;
        };
        // What stood there and has been as hot before feels nothing new.
        let first = if vessel.all_felt.is_some_and(|felt| felt >= c) {
            vessel.all_felt = vessel.all_felt.min(moved.all_felt.max(Some(c)));
            stood
        } else {
            vessel.all_felt = vessel.all_felt.min(moved.all_felt).max(Some(c));
            0
        };
        self.felt(target, first, c, line);
    }

    /// Notes the first time that water and oil meet. Only temperatures that the file states count: the heading of an addition
    /// is no reading of the vessel.
    fn meet(&mut self, line: u32, target: usize, moved: &Vessel) {
        let into = &self.vessels[target];
        let (Some(into_c), Some(from_c), None) = (into.c, moved.c, &self.out.water_meets_oil)
        else {
            return;
        };
        let main = |v: &Vessel| v.holds.percent().is_some_and(|p| p >= self.main_share);
        let apart = |a: &Vessel, b: &Vessel| a.holds.watery > 0 && b.holds.oily > 0;
        if main(into) && main(moved) && (apart(into, moved) || apart(moved, into)) {
            self.out.water_meets_oil = Some(Merge {
                line,
                into_c,
                into_rows: into.rows.clone(),
                from_c,
                from_rows: moved.rows.clone(),
            });
        }
    }

    fn pour(&mut self, line: u32, phases: &[usize], into: usize, _: &Clause) {
        let target = self.vessel_of[into];
        for p in phases {
            if self.vessel_of[*p] != target {
                self.merge(line, *p, target);
            }
        }
        self.main = target;
    }

    /// A vessel to be changed by this step.
    fn vessel(&mut self, vessel: usize) -> &mut Vessel {
        self.touched.push(vessel);
        &mut self.vessels[vessel]
    }

    fn warm(&mut self, vessel: usize, c: Decimal, line: u32) {
        let changed = self.vessel(vessel);
        changed.c = Some(c);
        if changed.all_felt.is_none_or(|felt| c > felt) {
            changed.all_felt = Some(c);
            self.felt(vessel, 0, c, line);
        }
    }

    /// The rows of a vessel from the `first` on feel this temperature.
    fn felt(&mut self, vessel: usize, first: usize, c: Decimal, line: u32) {
        for r in &self.vessels[vessel].rows[first..] {
            let h = &mut self.out.rows[*r];
            h.added_c = h.added_c.or(Some(self.room));
            if h.highest_c.is_none_or(|before| c > before) {
                h.highest_c = Some(c);
                h.line = Some(line);
            }
        }
    }

    fn hold(&mut self, phases: &[usize], minutes: Decimal) {
        for v in self.vessels_or_main(phases) {
            if self.vessels[v].c.is_none_or(|c| c <= self.hot_from) {
                continue;
            }
            for r in &self.vessels[v].rows {
                let h = &mut self.out.rows[*r];
                h.minutes = Some(h.minutes.unwrap_or_default() + minutes);
            }
        }
    }

    fn heading_heat(&self, vessel: usize) -> Option<Decimal> {
        self.vessels[vessel]
            .phases
            .iter()
            .filter_map(|p| heats_to(self.f.phases[*p].heat.as_ref()?.value))
            .max()
    }

    fn vessels_or_main(&self, phases: &[usize]) -> Vec<usize> {
        let mut all: Vec<usize> = phases.iter().map(|p| self.vessel_of[*p]).collect();
        if all.is_empty() && self.main < self.vessels.len() {
            all.push(self.main);
        }
        all.dedup();
        all
    }

    fn has_main(&self) -> bool {
        self.vessels
            .get(self.main)
            .is_some_and(|v| v.phases.len() > 1)
    }

    /// The phases that a clause acts on; those of the clause before where it names none ("slurry A1, stir into A").
    fn phases_in(&self, clause: &Clause, last: &[usize]) -> Vec<usize> {
        let mut out = Vec::new();
        let verb = clause.verb.as_ref().map(|v| v.value);
        let warms = matches!(
            verb,
            Some(Verb::Heat | Verb::Melt | Verb::Dissolve | Verb::Hydrate | Verb::Hold)
        );
        // "melt everything in B": what is in it, and nothing is poured.
        if let (true, Some(into), [all]) = (warms, &clause.into, clause.objects.as_slice())
            && ALL.contains(&key(&all.value).as_str())
            && let Some(p) = self.target(&into.value)
        {
            return vec![p];
        }
        let puts = matches!(
            verb,
            Some(Verb::Add | Verb::Pour | Verb::Stir | Verb::Blend | Verb::Homogenize)
        );
        for o in &clause.objects {
            let k = key(&o.value);
            if puts && REST.contains(&k.as_str()) {
                let left = |p: &usize| {
                    self.vessel_of[*p] != self.main && self.out.phases[*p].added_line.is_none()
                };
                out.extend((0..self.f.phases.len()).filter(left));
                continue;
            }
            if puts && ALL.contains(&k.as_str()) {
                out.extend((0..self.f.phases.len()).filter(|p| !self.too_hot_for(*p)));
                continue;
            }
            match self.f.labelled(&o.value) {
                Some(p) if out.contains(&p) => {}
                Some(p) => out.push(p),
                None => self.phase_named(&o.value).into_iter().for_each(|p| {
                    if !out.contains(&p) {
                        out.push(p);
                    }
                }),
            }
        }
        // "slurry A1, stir into A"; "put both in a water bath and heat", "heat A and B, hold 20 min".
        let goes_on = clause.into.is_some()
            || clause
                .verb
                .as_ref()
                .is_some_and(|v| matches!(v.value, Verb::Heat | Verb::Melt | Verb::Hold));
        if out.is_empty() && clause.objects.is_empty() && goes_on {
            out.extend(last);
        }
        out
    }

    /// The phases that words name: a label, "phase C", "oil phase" by the phase's own name, "both phases", "all", "the rest".
    fn phase_named(&self, words: &str) -> Vec<usize> {
        let k = key(words);
        let k = k.strip_prefix("the ").unwrap_or(&k);
        let k = CONTENTS
            .iter()
            .find_map(|of| k.strip_prefix(of))
            .unwrap_or(k);
        let k = k.strip_suffix(" ingredients").unwrap_or(k);
        let bare = k
            .strip_prefix("phases ")
            .or(k.strip_prefix("phase "))
            .or(k.strip_prefix("premix "))
            .unwrap_or(k)
            .trim();
        let bare_end = bare
            .strip_suffix(" phases")
            .or(bare.strip_suffix(" phase"))
            .unwrap_or(bare);
        let keys = self.keys.get_or_init(|| self.keys());
        let first = |found: [Option<&usize>; 3]| found.into_iter().flatten().min().copied();
        let by_label = first([keys.labels.get(bare), keys.labels.get(bare_end), None]);
        let by_name = || {
            first([
                keys.names.get(bare),
                keys.names.get(bare_end),
                keys.kinds.get(bare_end),
            ])
        };
        // "the oil" of a phase called "oils", "the oils" of one called "oil".
        let other_number = || {
            let other = match bare_end.strip_suffix('s') {
                Some(one) => one.to_owned(),
                None => format!("{bare_end}s"),
            };
            keys.names.get(&other).or(keys.labels.get(&other)).copied()
        };
        if let Some(p) = by_label.or_else(by_name).or_else(other_number) {
            return vec![p];
        }
        if matches!(bare_end, "cool down" | "cooldown" | "cooling") {
            let cool = |p: &usize| {
                let heat = self.f.phases[*p].heat.as_ref();
                heat.is_some_and(|h| goes_in_below(h.value).is_some())
                    && self.out.phases[*p].added_line.is_none()
            };
            return (0..self.f.phases.len()).filter(cool).collect();
        }
        let what = match bare {
            "oil" | "oils" | "fats" if self.row_named(bare).is_none() => "oil",
            _ if bare_end != bare => bare_end,
            _ => "",
        };
        if let Some(p) = self.by_contents(what) {
            return vec![p];
        }
        match bare {
            "both" | "both phases" | "two phases" | "both of them" | "both beakers"
            | "both pots" | "both vessels" | "both jugs" | "both bowls" | "all" | "all phases"
            | "everything" | "hot phases" => {
                let heated: Vec<usize> = (0..self.f.phases.len())
                    .filter(|p| {
                        self.f.phases[*p]
                            .heat
                            .as_ref()
                            .is_some_and(|h| heats_to(h.value).is_some())
                    })
                    .collect();
                match (
                    bare.starts_with("both") || bare.starts_with("two"),
                    heated.len(),
                ) {
                    (true, 2) => heated,
                    (true, _) => (0..self.f.phases.len())
                        .filter(|p| !self.f.phases[*p].premix)
                        .take(2)
                        .collect(),
                    (false, _) if bare.starts_with("hot") => heated,
                    (false, _) => (0..self.f.phases.len()).collect(),
                }
            }
            "rest" | "remaining phases" => (0..self.f.phases.len())
                .filter(|p| self.out.phases[*p].added_line.is_none())
                .collect(),
            _ => Vec::new(),
        }
    }

    fn keys(&self) -> Keys {
        let mut keys = Keys::default();
        for (p, phase) in self.f.phases.iter().enumerate() {
            if !phase.label.is_empty() {
                keys.labels.entry(key(&phase.label)).or_insert(p);
            }
            let Some(name) = phase.name.as_deref().map(key) else {
                continue;
            };
            if let Some(kind) = name.strip_suffix(" phase") {
                keys.kinds.entry(kind.to_owned()).or_insert(p);
            }
            keys.names.entry(name).or_insert(p);
        }
        keys
    }

    /// "oil phase", "water phase" where no phase is called so: the one with most oil or water of its own.
    fn by_contents(&self, what: &str) -> Option<usize> {
        let (found, is): (_, fn(&Ingredient) -> bool) = match what {
            "oil" | "fat" => (&self.oily_phase, system::is_oily),
            "water" | "aqueous" => (&self.watery_phase, system::is_water),
            _ => return None,
        };
        let share = |p: &Phase| {
            p.rows
                .iter()
                .map(|r| &self.f.rows[*r])
                .filter(|r| r.id().is_some_and(|id| is(self.kb.get(id))))
                .filter_map(|r| r.percent)
                .sum::<Decimal>()
        };
        *found.get_or_init(|| {
            let shares = self.f.phases.iter().map(share).enumerate();
            shares
                .filter(|(_, share)| *share > Decimal::ZERO)
                .max_by_key(|(p, share)| (*share, std::cmp::Reverse(*p)))
                .map(|(p, _)| p)
        })
    }

    /// Rows that words name: a material, or all of one kind ("the preservative", "essential oils").
    fn rows_named(&self, words: &str) -> Vec<usize> {
        if let Some(row) = self.row_named(words) {
            return vec![row];
        }
        let k = key(words);
        let k = k.strip_prefix("the ").unwrap_or(&k);
        let role = k.strip_suffix('s').unwrap_or(k).replace(' ', "-");
        const KINDS: [&str; 7] = [
            "preservative",
            "fragrance",
            "essential-oil",
            "extract",
            "vitamin",
            "antioxidant",
            "chelator",
        ];
        let of_kind = |r: &usize| {
            self.f.rows[*r]
                .id()
                .is_some_and(|id| system::has_role(self.kb.get(id), &role))
        };
        if KINDS.contains(&role.as_str()) {
            (0..self.f.rows.len()).filter(of_kind).collect()
        } else {
            Vec::new()
        }
    }

    fn row_named(&self, words: &str) -> Option<usize> {
        let k = key(words);
        if k.is_empty() {
            return None;
        }
        let rows = self.named_rows.get_or_init(|| self.rows_by_name());
        let found = rows.names.get(&k).or_else(|| match self.kb.lookup(words) {
            Lookup::Known { id, .. } => rows.materials.get(&id),
            _ => None,
        });
        found.copied()
    }

    fn rows_by_name(&self) -> NamedRows {
        let mut out = NamedRows::default();
        for (n, row) in self.f.rows.iter().enumerate() {
            out.names.entry(key(&row.name.value)).or_insert(n);
            if let Some(id) = row.id() {
                out.materials.entry(id).or_insert(n);
            }
        }
        out
    }
}

/// What stands before the phase whose contents are meant.
const CONTENTS: [&str; 8] = [
    "all ingredients of ",
    "all ingredients in ",
    "ingredients of ",
    "ingredients in ",
    "contents of ",
    "everything in ",
    "everything from ",
    "all of ",
];
/// Whatever has been made ready so far.
const TOGETHER: [&str; 8] = [
    "together",
    "them",
    "them together",
    "everything together",
    "phases",
    "phases together",
    "it all",
    "it all together",
];
const ALL: [&str; 4] = ["everything", "all", "all phases", "it all"];
/// Whatever has not gone in yet.
const REST: [&str; 10] = [
    "rest",
    "everything else",
    "everything else in",
    "ingredients",
    "others",
    "rest of ingredients",
    "rest of the ingredients",
    "remaining",
    "remaining ingredients",
    "remaining phases",
];

/// The temperature of two vessels united, as if a gram of each took up as much heat.
fn mixed(a: Decimal, a_holds: &Contents, b: Decimal, b_holds: &Contents) -> Option<Decimal> {
    let weigh = |c: &Contents| c.percent().filter(|w| *w > Decimal::ZERO);
    let (wa, wb) = (weigh(a_holds)?, weigh(b_holds)?);
    Some(((a * wa + b * wb) / (wa + wb)).round_dp(1))
}

fn reached(heat: Heat) -> Option<Decimal> {
    match heat {
        Heat::At(t) | Heat::Above(t) | Heat::Between(_, t) | Heat::Below(t) => Some(t.celsius),
        Heat::Room => None,
    }
}

fn portions(clause: &Clause) -> bool {
    clause
        .objects
        .iter()
        .any(|o| o.value.contains("portion") || o.value.contains("more"))
        || clause.amount.is_some()
}
