//! What a vessel weighs, and the water that has gone from it.

use super::{Making, label};
use crate::model::bench::grams;
use crate::model::record::Actual;
use crate::syntax::tree::{Event, WeightReading};
use rust_decimal::Decimal;

/// A vessel after one line of the log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VesselWeight {
    /// The label of the phase that stands in it.
    pub label: String,
    /// What was weighed into it.
    pub began_g: Decimal,
    /// What is in it now: as it was read, with what went in since.
    pub now_g: Decimal,
    /// It was put on the scale on this line.
    pub is_reading: bool,
}

/// What is known of one vessel on the way through the log.
struct Vessel {
    label: String,
    began_g: Option<Decimal>,
    now_g: Option<Decimal>,
    tare_g: Option<Decimal>,
    gone_g: Decimal,
}

impl Making<'_> {
    /// The vessel that a line of the log weighs or fills up, as it is after that line.
    pub fn vessel_on(&self, line: u32) -> Option<VesselWeight> {
        let mut last = None;
        self.walk(Some(line), |n, vessel, is_reading| {
            if n == line
                && let (Some(began_g), Some(mut now_g)) = (vessel.began_g, vessel.now_g)
            {
                // With the digits of the rows: 194.70 of 194.78.
                now_g.rescale(now_g.scale().max(began_g.scale()));
                last = Some(VesselWeight {
                    label: vessel.label.clone(),
                    began_g,
                    now_g,
                    is_reading,
                });
            }
        });
        last
    }

    /// Grams of water that have left the vessels, by all that was put on the scale.
    pub fn gone_g(&self) -> Decimal {
        let vessels = self.walk(None, |_, _, _| {});
        vessels.iter().map(|v| v.gone_g).sum()
    }

    /// What should come out: all that went in, less samples and less the water that has gone. None where a weight is not known.
    pub fn expected_g(&self) -> Option<Decimal> {
        self.record.put_in_g()?.checked_sub(self.gone_g())
    }

    /// Goes through the log up to a line, until the phases are combined: a label then no longer stands for one vessel.
    fn walk(&self, up_to: Option<u32>, mut after: impl FnMut(u32, &Vessel, bool)) -> Vec<Vessel> {
        let mut all: Vec<Vessel> = Vec::new();
        for (n, log) in self.log() {
            if up_to.is_some_and(|last| n > last) {
                break;
            }
            for event in &log.events {
                match &event.value {
                    Event::Temperature { combined: true, .. } => return all,
                    Event::Weight {
                        vessel: Some(name),
                        weight,
                        reading,
                    } => {
                        let Some(grams) = grams(*weight) else {
                            continue;
                        };
                        let vessel = self.vessel(&mut all, name);
                        if *reading == WeightReading::Tare {
                            vessel.tare_g = Some(grams);
                            continue;
                        }
                        let net = match (reading, vessel.tare_g) {
                            (WeightReading::Gross, Some(tare)) => grams.saturating_sub(tare),
                            (WeightReading::Gross, None) => continue,
                            _ => grams,
                        };
                        if let Some(before) = vessel.now_g {
                            vessel.gone_g += (before - net).max(Decimal::ZERO);
                        }
                        vessel.now_g = Some(net);
                        after(n, vessel, true);
                    }
                    Event::Add {
                        amount: Some(amount),
                        into: Some(name),
                        ..
                    } if !event.value.is_of_sample() => {
                        let Some(grams) = grams(*amount) else {
                            continue;
                        };
                        let vessel = self.vessel(&mut all, name);
                        vessel.now_g = vessel.now_g.map(|now| now.saturating_add(grams));
                        after(n, vessel, false);
                    }
                    _ => {}
                }
            }
        }
        all
    }

    fn vessel<'v>(&self, all: &'v mut Vec<Vessel>, name: &str) -> &'v mut Vessel {
        let name = label(name);
        let at = all
            .iter()
            .position(|v| v.label.eq_ignore_ascii_case(name))
            .unwrap_or_else(|| {
                let began_g = self.weighed_into(name);
                all.push(Vessel {
                    label: name.to_owned(),
                    began_g,
                    now_g: began_g,
                    tare_g: None,
                    gone_g: Decimal::ZERO,
                });
                all.len() - 1
            });
        &mut all[at]
    }

    /// What was weighed for a phase and for the premixes that go into it. None where a weight is missing, or where a material stands in
    /// another phase too, so that nobody knows which part of it went where.
    fn weighed_into(&self, name: &str) -> Option<Decimal> {
        let formula = &self.plan?.formula;
        let phase = formula.labelled(name)?;
        let is_of_it =
            |p: usize| p == phase || formula.phases.get(p).is_some_and(|x| x.into == Some(phase));
        let plan = self.plan?;
        let mut sum = Decimal::ZERO;
        for row in self.rows() {
            let places: Vec<bool> = plan
                .phases_of(&row.item)
                .map(|p| p.is_some_and(is_of_it))
                .collect();
            match (places.contains(&true), places.contains(&false)) {
                (true, false) => match row.actual {
                    Actual::Grams(g) => sum = sum.checked_add(g)?,
                    _ => return None,
                },
                (true, true) => return None,
                (false, _) => {}
            }
        }
        (!sum.is_zero()).then_some(sum)
    }
}
