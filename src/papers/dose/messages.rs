//! The dose in words.

use super::{Dose, Line};
use crate::chem::float;
use crate::papers::page::Head;
use rust_decimal::Decimal;

/// A single target is met this near.
const NEAR: f64 = crate::chem::dose::CLOSE_ENOUGH_PH;

impl Dose {
    pub(super) fn head(&self) -> Head {
        let name = if self.name.is_empty() {
            format!("{} g", self.mass_g.normalize())
        } else {
            self.name.clone()
        };
        let from = if self.file.is_empty() {
            format!("{} g, readings as told", self.mass_g.normalize())
        } else {
            format!("{} g, {}", self.mass_g.normalize(), self.file)
        };
        Head {
            kind: "Next dose",
            name,
            from,
        }
    }

    fn last(&self) -> Decimal {
        let sample_began = || {
            self.samples
                .iter()
                .flat_map(|s| &s.readings)
                .find(|r| r.added_g.is_none())
        };
        self.readings
            .last()
            .or_else(sample_began)
            .map_or(Decimal::ZERO, |r| r.ph)
    }

    /// What to do, in one sentence.
    pub fn order(&self) -> String {
        let mix = self.dilute.as_ref().map_or(String::new(), |d| {
            format!(
                "Stir {} g of {} into {} g of water first. ",
                d.take_g, d.of, d.water_g
            )
        });
        match (self.verdict, self.suggest_first_g, &self.with) {
            ("on-target", ..) => "Nothing to add.".to_owned(),
            ("sample", ..) => match (self.sample_add_g, &self.with) {
                (Some(add), Some(with)) => {
                    format!(
                        "{mix}Add {add} g of {with} to the sample now. Stir well, then measure it."
                    )
                }
                _ => "Add nothing for now.".to_owned(),
            },
            ("discard", ..) => "Add nothing more: throw the batch away.".to_owned(),
            (_, Some(first), Some(with)) => {
                format!("{mix}Add {first} g of {with} now. Stir 5 min, then measure again.")
            }
            _ => "Add nothing for now.".to_owned(),
        }
    }

    /// Where it stands.
    pub fn standing(&self) -> Vec<String> {
        let last = self.last();
        let mut out = Vec::new();
        let target = &self.target;
        match self.verdict {
            "on-target" if self.target_low == self.target_high => {
                out.push(format!(
                    "pH {last} is within {NEAR} of {target}. Measure once more tomorrow."
                ));
            }
            "on-target" => out.push(format!(
                "pH {last} lies within {target}. Measure once more tomorrow."
            )),
            "sample" => {
                let now = self
                    .samples
                    .iter()
                    .rev()
                    .flat_map(|s| s.readings.last())
                    .next()
                    .map_or(last, |r| r.ph);
                let expected = self
                    .sample_expected_ph
                    .map_or(String::new(), |p| format!(", about {p:.2} after this"));
                out.push(format!(
                    "pH {now} of the sample now{expected}; target {target}."
                ));
                out.push(
                    "Go on until the sample has passed the target: there it costs nothing, and its readings tell what the batch will do."
                        .to_owned(),
                );
            }
            _ => {
                let expected = self
                    .expected_ph
                    .map_or(String::new(), |p| format!(", about {p:.2} after this"));
                let now = if self.readings.is_empty() {
                    "where the sample began"
                } else {
                    "now"
                };
                out.push(format!("pH {last} {now}{expected}; target {target}."));
            }
        }
        if let Some(by) = self.overshot_by {
            out.push(format!("The target was passed by {by:.2}. Correct back once, in small portions; if it is passed again, the batch is better thrown away."));
        }
        if self.verdict == "dose"
            && self.by_sample
            && self.readings.iter().all(|r| r.added_g.is_none())
        {
            out.push("The sample has come to the target: now it is the batch's turn.".to_owned());
        }
        match (self.verdict, self.add_g) {
            ("trial", _) => out.push("This is a trial: with one reading alone nobody knows how the product holds its pH.".to_owned()),
            ("step", Some(add)) if self.by_sample => {
                out.push(format!("The sample stopped short of the target; it leads as far as {add} g."));
            }
            ("dose" | "overshot", Some(add)) if self.by_sample && self.suggest_first_g == Some(add) => {
                out.push("That is all to the target, by the sample.".to_owned());
            }
            ("dose" | "overshot", Some(add)) if self.by_sample => out.push(format!("To the target about {add} g in all, by the sample.")),
            ("step", Some(add)) => out.push(format!("The target lies further off than the readings reach; they reach as far as {add} g.")),
            ("dose" | "overshot", Some(add)) if self.suggest_first_g != Some(add) => {
                out.push(format!("To the target about {add} g in all, by {} readings.", self.model.points));
            }
            _ => {}
        }
        if matches!(self.verdict, "trial" | "step") && self.samples.is_empty() {
            out.push(
                "A sample tells more safely: take 20 to 50 g out and try it on that first."
                    .to_owned(),
            );
        }
        out.extend(self.of_the_samples());
        if self.with_assumed {
            out.push("No acid or base for this way was named; this one is the usual.".to_owned());
        }
        if let Some(buffer) = self.model.buffer_mmol_per_ph {
            out.push(format!(
                "1 kg takes about {buffer:.1} mmol of acid or base for one pH here."
            ));
        }
        out
    }

    pub(super) fn lines(&self) -> Vec<Vec<String>> {
        let words = |r: &Line| {
            r.added_g.map_or(String::new(), |g| {
                format!("{g} g {}", r.with.as_deref().unwrap_or_default())
            })
        };
        self.in_order()
            .into_iter()
            .map(|(of, r)| vec![of, words(r), r.ph.to_string()])
            .collect()
    }

    /// Grams in all and pH, for the drawing.
    pub(super) fn points(&self) -> Vec<(f64, f64)> {
        let mut sum = 0.0;
        let grams = |r: &Line| r.added_g.map_or(0.0, float);
        self.readings
            .iter()
            .map(|r| {
                sum += grams(r);
                (sum, float(r.ph))
            })
            .collect()
    }
}
