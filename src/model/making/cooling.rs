//! When it is cool enough for what goes in next.

use super::Making;
use crate::chem::cooling::{Reading, Time, fit};
use crate::chem::float;
use crate::syntax::tree::{Event, Heat, LogTime, Temperature};
use rust_decimal::Decimal;

const MINUTES_A_DAY: f64 = 1440.0;

/// When the pot falls below what a phase asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolEnough {
    pub phase: String,
    pub below: Temperature,
    /// Minutes after the midnight before the first reading.
    pub time: Time,
}

impl Making<'_> {
    /// What the readings up to a line tell of when the next cool phase may go in. None: it may already, the line holds no reading of the
    /// pot, or the readings do not tell.
    pub fn cool_enough(&self, line: u32, room_c: Decimal) -> Option<CoolEnough> {
        let mut readings: Vec<Reading> = Vec::new();
        let mut midnight = 0.0;
        let mut last_line = None;
        for (n, log) in self.log().take_while(|(n, _)| *n <= line) {
            let clock = match log.time.as_ref().map(|t| &t.value) {
                Some(LogTime::Clock(minutes)) => f64::from(*minutes),
                _ => continue,
            };
            if readings
                .last()
                .is_some_and(|r| midnight + clock < r.minutes)
            {
                midnight += MINUTES_A_DAY;
            }
            for event in &log.events {
                let Event::Temperature {
                    vessel: None,
                    at,
                    combined,
                } = &event.value
                else {
                    continue;
                };
                // Before the phases are one, a reading is of one of them.
                if *combined {
                    readings.clear();
                }
                readings.push(Reading {
                    minutes: midnight + clock,
                    celsius: float(at.celsius),
                });
                last_line = Some(n);
            }
        }
        let now = readings.last().filter(|_| last_line == Some(line))?.celsius;
        let (phase, below) = self.next_cool_phase(line)?;
        if now <= float(below.celsius) {
            return None;
        }
        let room = self.record.room_c.unwrap_or(room_c);
        let curve = fit(&readings, Some(float(room))).ok()?;
        let time = curve.reaches(float(below.celsius)).ok()?;
        Some(CoolEnough { phase, below, time })
    }

    /// The first phase that goes in cool and has not gone in by a line.
    fn next_cool_phase(&self, line: u32) -> Option<(String, Temperature)> {
        let added: Vec<&str> = self
            .log()
            .take_while(|(n, _)| *n <= line)
            .flat_map(|(_, log)| &log.events)
            .filter_map(|e| match &e.value {
                Event::Add { what, .. } => Some(super::label(what)),
                _ => None,
            })
            .collect();
        let phases = self.plan?.formula.phases.iter();
        phases
            .filter(|p| !added.iter().any(|a| p.label.eq_ignore_ascii_case(a)))
            .find_map(|p| match p.heat.as_ref()?.value {
                Heat::Below(t) => Some((p.label.to_string(), t)),
                _ => None,
            })
    }
}

/// Minutes as a time of day.
pub fn clock(minutes: f64) -> String {
    let whole = minutes.round().rem_euclid(MINUTES_A_DAY) as u32;
    format!("{:02}:{:02}", whole / 60, whole % 60)
}
