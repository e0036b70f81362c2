//! Where the log stands in the method, and what comes next.

use super::{Making, label};
use crate::syntax::tree::{Clause, Event, Heat, Node, Temperature, Verb};
use rust_decimal::Decimal;

/// A pot that was cooled to a temperature may still be this much warmer when that is written down, °C (a thermometer is read in passing).
const IN_PASSING_C: Decimal = Decimal::from_parts(3, 0, 0, false, 0);

/// What a log writes down when a part of a step is done.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// The temperature of these vessels.
    Heated(Vec<String>, Option<Temperature>),
    /// The weight of a vessel, or water put back into it.
    ToppedUp(String),
    Combined,
    Cooled(Temperature),
    /// A phase or a material.
    Added(String),
    Ph,
    Filled,
}

/// A step of the method that is not done yet.
#[derive(Clone, Debug, PartialEq)]
pub struct NextStep {
    /// Line of the formula, from 0.
    pub line: u32,
    /// As it is written, without its comment.
    pub words: String,
    pub mark: Mark,
}

impl Making<'_> {
    /// The steps of the method that the log up to a line does not show, in their order. What a log does not write down, such as a slurry
    /// that is made while weighing, is left out.
    pub fn next_steps(&self, up_to: u32) -> Vec<NextStep> {
        let mut steps = self.steps();
        let mut done = 0;
        for (n, log) in self.log() {
            if n > up_to {
                break;
            }
            for event in &log.events {
                let found = steps[done..]
                    .iter()
                    .position(|s| self.shows(&event.value, &s.mark));
                if let Some(at) = found {
                    done += at + 1;
                }
            }
        }
        steps.split_off(done)
    }

    /// What the method asks for on the day itself, as far as a log writes it down.
    fn steps(&self) -> Vec<NextStep> {
        let Some(plan) = self.plan else {
            return Vec::new();
        };
        let mut out: Vec<NextStep> = Vec::new();
        for (n, at) in plan.tree.lines.iter().enumerate() {
            let Node::Step(step) = &at.line.node else {
                continue;
            };
            let end = at
                .line
                .comment
                .map_or(at.line.text.len(), |c| c.start as usize);
            for clause in &step.clauses {
                if matches!(clause.verb.as_ref().map(|v| v.value), Some(Verb::Rest)) {
                    return out;
                }
                for mark in marks(clause) {
                    // A mixing behind the pouring is the same entry of a log.
                    if mark == Mark::Combined && out.iter().any(|s| s.mark == Mark::Combined) {
                        continue;
                    }
                    out.push(NextStep {
                        line: n as u32,
                        words: at.line.text[..end].trim().to_owned(),
                        mark,
                    });
                }
            }
        }
        out
    }

    fn shows(&self, event: &Event, mark: &Mark) -> bool {
        match (event, mark) {
            (
                Event::Temperature {
                    vessel,
                    combined: false,
                    ..
                },
                Mark::Heated(vessels, _),
            ) => vessel
                .as_ref()
                .is_none_or(|v| vessels.iter().any(|x| x.eq_ignore_ascii_case(label(v)))),
            (
                Event::Weight {
                    vessel: Some(v), ..
                },
                Mark::ToppedUp(of),
            )
            | (Event::Add { into: Some(v), .. }, Mark::ToppedUp(of)) => {
                label(v).eq_ignore_ascii_case(of)
            }
            (Event::Temperature { combined: true, .. }, Mark::Combined) => true,
            (
                Event::Temperature {
                    vessel: None, at, ..
                },
                Mark::Cooled(to),
            ) => at.celsius <= to.celsius + IN_PASSING_C,
            (Event::Add { what, amount, .. }, Mark::Added(of)) => {
                let named = label(what).eq_ignore_ascii_case(of);
                named || amount.is_some() && !event.is_of_sample() && self.is_in(what, of)
            }
            (Event::Ph { sample: false, .. }, Mark::Ph) => true,
            (Event::Yield(_), Mark::Filled) => true,
            _ => false,
        }
    }

    /// Whether a material is of a phase, or is what the step names.
    fn is_in(&self, what: &str, of: &str) -> bool {
        let Some(plan) = self.plan else {
            return false;
        };
        let formula = &plan.formula;
        match formula.labelled(of) {
            Some(phase) => formula
                .rows_of(phase)
                .any(|(_, r)| crate::model::bench::alike(&r.name.value, what)),
            None => crate::model::bench::alike(of, what),
        }
    }
}

fn marks(clause: &Clause) -> Vec<Mark> {
    let objects = || clause.objects.iter().map(|o| label(&o.value).to_owned());
    let temperature = || match clause.heat.as_ref().map(|h| h.value) {
        Some(Heat::At(t) | Heat::Below(t) | Heat::Above(t) | Heat::Between(t, _)) => Some(t),
        Some(Heat::Room) | None => None,
    };
    match clause.verb.as_ref().map(|v| v.value) {
        Some(Verb::Heat | Verb::Melt) => {
            vec![Mark::Heated(objects().collect(), temperature())]
        }
        Some(Verb::TopUp) => objects().map(Mark::ToppedUp).take(1).collect(),
        Some(Verb::Pour) => vec![Mark::Combined],
        Some(Verb::Cool) => temperature().map(Mark::Cooled).into_iter().collect(),
        Some(Verb::Add) => objects().map(Mark::Added).collect(),
        Some(Verb::MeasurePh | Verb::AdjustPh) => vec![Mark::Ph],
        Some(Verb::Fill | Verb::Mould) => vec![Mark::Filled],
        _ => Vec::new(),
    }
}
