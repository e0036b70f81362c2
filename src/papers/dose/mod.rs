//! The next dose of acid or base towards a pH, from the readings at the bench.

mod html;
mod messages;
mod sampled;
mod text;

pub use crate::model::bench::dose::{Ask, Dilution};
pub use sampled::SampleLines;

use super::{CannotRender, Paper, answer, table};
use crate::chem::dose::Verdict;
use crate::model::acidity;
use crate::model::bench::Written;
use crate::model::bench::dose::next_dose;
use rust_decimal::Decimal;
use serde::Serialize;

/// In all JSON: what stands in `contract` and, next to it, what the text is made of.
#[derive(Clone, Debug, Serialize)]
pub struct Dose {
    #[serde(skip_serializing_if = "String::is_empty")]
    pub name: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub file: String,
    pub mass_g: Decimal,
    /// "5.2", "5.0 to 5.5".
    pub target: String,
    pub target_low: Decimal,
    pub target_high: Decimal,
    pub verdict: &'static str,
    /// Grams to the target, or as far towards it as the readings reach.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub add_g: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
    /// Nothing was named that goes this way; this is what is usually taken.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub with_assumed: bool,
    /// Grams to add now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub suggest_first_g: Option<Decimal>,
    /// How to make what `with` names, where what was named is too strong for the scale.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dilute: Option<Dilution>,
    /// After `suggest_first_g`, as it is weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expected_ph: Option<f64>,
    /// Grams to add to the sample now; nothing to the batch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sample_add_g: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sample_expected_ph: Option<f64>,
    /// The dose is by the readings of the sample.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub by_sample: bool,
    /// Grams in the vessel without what was taken out as samples.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_g: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overshot_by: Option<f64>,
    pub model: Model,
    pub caution: Vec<String>,
    pub readings: Vec<Line>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub samples: Vec<SampleLines>,
    /// Acids, bases and salts of the formula that were counted.
    pub counted: Vec<String>,
    /// What of the formula bears on the pH and could not be counted.
    pub not_counted: Vec<String>,
    /// The expected titration, grams in all from the first reading and pH.
    #[serde(skip)]
    curve: Vec<(f64, f64)>,
    /// Each sample's readings as the batch would have given them, the same two figures.
    #[serde(skip)]
    sample_points: Vec<Vec<(f64, f64)>>,
}

#[derive(Clone, Copy, Debug, Serialize)]
pub struct Model {
    /// mmol of strong acid or base that move one kg of the product by one pH, here.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub buffer_mmol_per_ph: Option<f64>,
    /// Readings that the fit rests on.
    pub points: usize,
}

#[derive(Clone, Debug, Serialize)]
pub struct Line {
    pub ph: Decimal,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub added_g: Option<Decimal>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
}

pub fn dose(ask: Ask) -> Result<Dose, CannotRender> {
    let (name, file) = (ask.name.clone(), ask.file.clone());
    let kb = ask.kb;
    let next = next_dose(ask).map_err(CannotRender::new)?;
    let titration = &next.titration;
    let (low, high) = next.target;
    let written = |n: usize| titration.titrants[n].name.clone();
    let line = |w: &Written| Line {
        ph: w.ph,
        added_g: w.added.map(|(g, _)| g),
        with: w.added.map(|(_, n)| written(n)),
    };
    let two_places = |ph: f64| (ph * 100.0).round() / 100.0;
    let acidity = next.acidity.as_ref();
    Ok(Dose {
        name,
        file,
        mass_g: next.mass_g,
        target: if low == high {
            low.to_string()
        } else {
            format!("{low} to {high}")
        },
        target_low: low,
        target_high: high,
        verdict: verdict(next.verdict),
        add_g: next.add_g,
        with: next.with.clone(),
        with_assumed: next.with_assumed,
        suggest_first_g: next.first_g,
        dilute: next.dilution.clone(),
        expected_ph: next.expected_ph.map(two_places),
        sample_add_g: next.sample_add_g,
        sample_expected_ph: next.sample_expected_ph.map(two_places),
        by_sample: next.by_sample,
        left_g: next.left_g,
        overshot_by: next.overshot_by.map(two_places),
        model: Model {
            buffer_mmol_per_ph: next.buffer_mmol_per_ph.map(|b| (b * 100.0).round() / 100.0),
            points: next.points,
        },
        caution: next.cautions,
        readings: titration.written.iter().map(line).collect(),
        samples: titration
            .samples
            .iter()
            .map(|s| SampleLines {
                mass_g: s.mass_g,
                after: s.after.saturating_sub(next.borrowed),
                readings: s.written.iter().map(line).collect(),
            })
            .collect(),
        counted: acidity
            .iter()
            .flat_map(|a| &a.counted)
            .map(|id| kb.name(*id).to_owned())
            .collect(),
        not_counted: acidity
            .iter()
            .flat_map(|a| &a.missing)
            .filter(|m| m.why != acidity::Why::NoAmount)
            .map(|m| format!("{}: {}", m.name, m.why.text()))
            .chain(
                acidity
                    .iter()
                    .flat_map(|a| &a.bounded)
                    .map(|id| format!("{}: {}", kb.name(*id), acidity::BOUNDED)),
            )
            .collect(),
        curve: next.curve,
        sample_points: next.sample_points,
    })
}

fn verdict(v: Verdict) -> &'static str {
    match v {
        Verdict::OnTarget => "on-target",
        Verdict::Sample => "sample",
        Verdict::Trial => "trial",
        Verdict::Dose => "dose",
        Verdict::Step => "step",
        Verdict::Overshot => "overshot",
        Verdict::Discard => "discard",
    }
}

impl Paper for Dose {
    fn text(&self, width: usize) -> String {
        text::text(self, width)
    }
    fn html(&self) -> String {
        html::html(self)
    }
    fn csv(&self) -> Option<String> {
        let rows = self.in_order().into_iter().map(|(of, r)| {
            vec![
                r.added_g.map_or(String::new(), |g| g.to_string()),
                r.with.clone().unwrap_or_default(),
                r.ph.to_string(),
                of,
            ]
        });
        Some(table::csv(&["added_g", "with", "ph", "of"], rows))
    }
    fn json(&self) -> String {
        answer(self)
    }
}
