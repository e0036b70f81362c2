//! What the headings say of temperatures, where there is no method.

use super::heat::heats_to;
use super::outcome::History;
use super::simulation::Simulation;
use crate::model::formula::Phase;
use crate::syntax::tree::Heat;
use rust_decimal::Decimal;

impl Simulation<'_> {
    /// Without a method: phases `at T` are heated and combined at the highest T; each phase `below T` goes in at T, in file order.
    pub(super) fn headings(&mut self) {
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
}
