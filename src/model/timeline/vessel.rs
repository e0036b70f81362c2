//! What happens to the vessels of a method: they get warm, and one goes into another.

use super::contents::{Contents, Vessel};
use super::heat::{goes_in_below, heats_to};
use super::outcome::Merge;
use super::simulation::Simulation;
use rust_decimal::Decimal;

impl Simulation<'_> {
    /// A single row goes from where it stands into `target`.
    pub(super) fn put(&mut self, row: usize, target: usize) {
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
    pub(super) fn merge(&mut self, line: u32, phase: usize, target: usize) {
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

    /// A vessel to be changed by this step.
    pub(super) fn vessel(&mut self, vessel: usize) -> &mut Vessel {
        self.touched.push(vessel);
        &mut self.vessels[vessel]
    }

    pub(super) fn warm(&mut self, vessel: usize, c: Decimal, line: u32) {
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

    pub(super) fn hold(&mut self, phases: &[usize], minutes: Decimal) {
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

    pub(super) fn heading_heat(&self, vessel: usize) -> Option<Decimal> {
        self.vessels[vessel]
            .phases
            .iter()
            .filter_map(|p| heats_to(self.f.phases[*p].heat.as_ref()?.value))
            .max()
    }

    pub(super) fn vessels_or_main(&self, phases: &[usize]) -> Vec<usize> {
        let mut all: Vec<usize> = phases.iter().map(|p| self.vessel_of[*p]).collect();
        if all.is_empty() && self.main < self.vessels.len() {
            all.push(self.main);
        }
        all.dedup();
        all
    }

    pub(super) fn has_main(&self) -> bool {
        self.vessels
            .get(self.main)
            .is_some_and(|v| v.phases.len() > 1)
    }
}

/// The temperature of two vessels united, as if a gram of each took up as much heat.
fn mixed(a: Decimal, a_holds: &Contents, b: Decimal, b_holds: &Contents) -> Option<Decimal> {
    let weigh = |c: &Contents| c.percent().filter(|w| *w > Decimal::ZERO);
    let (wa, wb) = (weigh(a_holds)?, weigh(b_holds)?);
    Some(((a * wa + b * wb) / (wa + wb)).round_dp(1))
}
