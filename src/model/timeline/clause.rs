//! What one clause of a step does: it heats, cools, holds, puts together.

use super::contents::Vessel;
use super::heat::{goes_in_below, reached};
use super::simulation::Simulation;
use crate::kb::names::key;
use crate::syntax::tree::{Clause, Heat, Verb};
use crate::text::Spanned;
use smol_str::SmolStr;

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

impl Simulation<'_> {
    pub(super) fn clause(&mut self, line: u32, clause: &Clause, phases: &[usize]) {
        let Some(verb) = clause.verb.as_ref().map(|v| v.value) else {
            return;
        };
        for p in phases {
            let before = std::mem::replace(&mut self.handled[*p], true);
            self.handled_count += usize::from(!before);
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
                    if !self.stands_aside(v) {
                        self.main = v;
                    }
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
            Verb::Pour | Verb::Blend | Verb::Stir
                if phases.len() == 1 && !self.begun() && self.within_one(clause) =>
            {
                self.main = self.vessel_of[phases[0]];
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

    /// A premix that is made ready while the batch waits: what comes next goes into the batch.
    fn stands_aside(&self, vessel: usize) -> bool {
        let premix = |p: &usize| self.f.phases[*p].premix;
        let batch = |v: &Vessel| v.phases.len() > 1 && !v.phases.iter().all(premix);
        self.vessels.iter().any(batch) && self.vessels[vessel].phases.iter().all(premix)
    }

    /// The phase that something goes into: named, or by a material in it ("add oil to water").
    pub(super) fn target(&self, words: &str) -> Option<usize> {
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
        let mixes = matches!(verb, Verb::Stir | Verb::Blend) && !says_together;
        // Nothing to unite, or noted already that something stood apart.
        if self.handled_count < 2 || mixes && !self.mixing_unites && self.mixed_apart {
            return None;
        }
        if !phases.is_empty() || !bare || self.begun() {
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

    /// Phases stand in one vessel already.
    fn begun(&self) -> bool {
        self.vessels.iter().any(|v| v.phases.len() > 1)
    }

    /// The heading says that this phase goes in cooler than the batch is.
    pub(super) fn too_hot_for(&self, phase: usize) -> bool {
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
                        added.second_addition_line = Some(line)
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

    fn pour(&mut self, line: u32, phases: &[usize], into: usize, _: &Clause) {
        let target = self.vessel_of[into];
        for p in phases {
            if self.vessel_of[*p] != target {
                self.merge(line, *p, target);
            }
        }
        self.main = target;
    }
}

fn portions(clause: &Clause) -> bool {
    clause
        .objects
        .iter()
        .any(|o| o.value.contains("portion") || o.value.contains("more"))
        || clause.amount.is_some()
}
