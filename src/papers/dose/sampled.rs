//! The samples on the paper: what they read, what is left in the vessel.

use super::{Dose, Line};
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct SampleLines {
    pub mass_g: Decimal,
    pub readings: Vec<Line>,
    /// How many readings of the batch stand before it.
    #[serde(skip)]
    pub after: usize,
}

impl Dose {
    /// All readings as they were taken, with whose they are.
    pub(super) fn in_order(&self) -> Vec<(String, &Line)> {
        let mut out = Vec::new();
        let named = |n: usize| {
            if self.samples.len() > 1 {
                format!("sample {}", n + 1)
            } else {
                "sample".to_owned()
            }
        };
        for row in 0..=self.readings.len() {
            let last = row == self.readings.len();
            for (n, sample) in self
                .samples
                .iter()
                .enumerate()
                .filter(|(_, s)| s.after == row || last && s.after > row)
            {
                out.extend(sample.readings.iter().map(|r| (named(n), r)));
            }
            out.extend(self.readings.get(row).map(|r| ("batch".to_owned(), r)));
        }
        out
    }

    /// What becomes of them.
    pub(super) fn of_the_samples(&self) -> Option<String> {
        // Where nothing more goes in there is nothing to calculate.
        let left = self
            .left_g
            .filter(|_| !matches!(self.verdict, "on-target" | "discard"))?;
        let all: Vec<String> = self
            .samples
            .iter()
            .map(|s| format!("{} g", s.mass_g.normalize()))
            .collect();
        let which = if all.len() > 1 { "samples" } else { "sample" };
        let are = if all.len() > 1 { "are" } else { "is" };
        Some(format!(
            "The {which} of {} {are} thrown away afterwards, not put back: too much went in. All is calculated for the {} g that are left.",
            all.join(" and "),
            left.normalize()
        ))
    }
}
