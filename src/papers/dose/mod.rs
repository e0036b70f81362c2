//! The next dose of acid or base towards a pH, from the readings at the bench.

mod choice;
mod html;
mod portion;
mod said;
mod sampled;
mod text;

use choice::{choose, place};
pub use portion::Dilution;
use portion::Portion;
pub use sampled::SampleLines;

use super::{Hindrance, Paper, answer, table};
use crate::chem::acid_base::System;
use crate::chem::dose::{Advice, Bench, Reading, Verdict, advise, curve};
use crate::chem::{decimal, float};
use crate::kb::Kb;
use crate::model::Formula;
use crate::model::acidity::{self, Acidity};
use crate::model::bench::{Titrant, Titration, Written};
use rust_decimal::Decimal;
use serde::Serialize;

/// What is asked at the bench.
pub struct Ask<'a> {
    pub kb: &'a Kb,
    /// Name of the formula or batch, and the file it is from; empty where only readings are told.
    pub name: String,
    pub file: String,
    pub mass_g: Decimal,
    /// The pH to reach: both ends the same, or a range.
    pub target: (Decimal, Decimal),
    /// Where in the range to aim, where the formula says it.
    pub aim: Option<Decimal>,
    pub titration: Titration,
    /// What may go in, in the order of preference.
    pub with: Vec<Titrant>,
    /// Its acids and bases are known beforehand.
    pub formula: Option<&'a Formula>,
    pub scale_g: Decimal,
}

/// In all JSON: what stands in `contract` and, beside it, what the text is made of.
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

pub fn dose(ask: Ask) -> Result<Dose, Hindrance> {
    let Ask {
        kb,
        mass_g,
        target: (low, high),
        scale_g,
        ..
    } = ask;
    let Some(last) = ask.titration.readings.last().map(|r| r.ph) else {
        return Err(Hindrance::new("no pH has been read yet; measure it first"));
    };
    let acidity = ask.formula.map(|f| acidity::of(f, kb));
    let mut titration = ask.titration;
    let choice = choose(kb, &mut titration, ask.with, ask.formula, last > float(low))?;
    // The fit goes on with the first agent that goes the right way: the chosen one stands in front of the others.
    let agents: Vec<_> = choice
        .order
        .iter()
        .map(|n| titration.titrants[*n].agent.clone())
        .collect();
    let placed = |readings: &[Reading]| -> Vec<Reading> {
        readings
            .iter()
            .map(|r| Reading {
                agent: place(&choice.order, r.agent),
                ..*r
            })
            .collect()
    };
    let readings = placed(&titration.readings);
    let of_samples: Vec<Vec<Reading>> = titration
        .samples
        .iter()
        .map(|s| placed(&s.readings))
        .collect();
    let samples: Vec<_> = titration
        .samples
        .iter()
        .zip(&of_samples)
        .map(|(s, readings)| s.with(readings))
        .collect();
    let known = acidity
        .as_ref()
        .map(|a| with_before(a, &titration, float(mass_g)));
    let reached = (float(low)..=float(high)).contains(&last);
    let middle = ask.aim.map_or((float(low) + float(high)) / 2.0, float);
    let bench = Bench {
        mass_g: float(mass_g),
        target_ph: if reached { last } else { middle },
        agents: &agents,
        known: known.as_ref(),
        readings: &readings,
        samples: &samples,
        scale_g: float(scale_g),
    };
    let advice = advise(&bench).map_err(|e| Hindrance::new(e.reason().to_owned()))?;
    let chosen = advice.agent.map(|n| choice.order[n]);
    // A first reading that was the sample's stands among the sample's rows alone.
    let borrowed = readings.len() - titration.written.len();
    let total: f64 = readings.iter().map(|r| r.added_g).sum();
    let drawn = advice
        .agent
        .and_then(|n| curve(&bench, n, 41).ok())
        .unwrap_or_default();
    let mut caution = cautions(&advice, chosen.map(|n| &titration.titrants[n]));
    let vessel_g = sampled::left(mass_g, &titration.samples).unwrap_or(mass_g);
    let weighed = chosen.map_or_else(Weighed::default, |n| {
        let of = &titration.titrants[n];
        let sample = titration.samples.last().map(|s| s.mass_g);
        weighed(
            &bench,
            &advice,
            of,
            (vessel_g, sample),
            scale_g,
            &mut caution,
        )
    });
    let written = |n: usize| titration.titrants[n].name.clone();
    let line = |w: &Written| Line {
        ph: w.ph,
        added_g: w.added.map(|(g, _)| g),
        with: w.added.map(|(_, n)| written(n)),
    };
    let two_places = |ph: f64| (ph * 100.0).round() / 100.0;
    Ok(Dose {
        name: ask.name,
        file: ask.file,
        mass_g,
        target: if low == high {
            low.to_string()
        } else {
            format!("{low} to {high}")
        },
        target_low: low,
        target_high: high,
        verdict: verdict(advice.verdict),
        add_g: weighed.add_g,
        with: match (&weighed.diluted, chosen) {
            (Some((name, _)), _) => Some(name.clone()),
            (None, n) => n.map(written),
        },
        with_assumed: chosen.is_some() && chosen == choice.assumed,
        suggest_first_g: weighed.first_g,
        dilute: weighed.diluted.map(|(_, how)| how),
        expected_ph: weighed.expected_ph.map(two_places),
        sample_add_g: weighed.sample_g,
        sample_expected_ph: weighed.sample_expected_ph.map(two_places),
        by_sample: advice.by_sample,
        left_g: sampled::left(mass_g, &titration.samples),
        overshot_by: advice
            .overshot_by
            .map(|_| two_places(past(last, float(low), float(high)))),
        model: Model {
            buffer_mmol_per_ph: advice
                .buffer_mmol_per_ph
                .map(|b| (b * 100.0).round() / 100.0),
            points: advice.points,
        },
        caution,
        readings: titration.written.iter().map(line).collect(),
        samples: titration
            .samples
            .iter()
            .map(|s| SampleLines {
                mass_g: s.mass_g,
                after: s.after.saturating_sub(borrowed),
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
        curve: drawn.into_iter().map(|(g, ph)| (total + g, ph)).collect(),
        sample_points: sampled::in_the_batch(&bench, advice.agent),
    })
}

/// What of the formula is known, with what went in before the first reading.
fn with_before(acidity: &Acidity, titration: &Titration, mass_g: f64) -> System {
    let mut system = acidity.before_adjusting.clone();
    for (n, grams) in &titration.before {
        let a = &titration.titrants[*n].agent;
        let mol = grams * a.percent / 100.0 / a.molar_mass_g_mol * 1000.0 / mass_g;
        system.add(mol, &a.pka, a.protonated_charge, a.strong_charge);
    }
    system
}

fn past(last: f64, low: f64, high: f64) -> f64 {
    if last < low { low - last } else { last - high }
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

fn cautions(advice: &Advice, with: Option<&Titrant>) -> Vec<String> {
    use crate::chem::dose::Caution;
    let mut out: Vec<String> = advice
        .cautions
        .iter()
        .map(|c| c.text().to_owned())
        .collect();
    let Some(with) = with else { return out };
    if with.caustic && !advice.cautions.contains(&Caution::Strong) {
        out.push(Caution::Strong.text().to_owned());
    }
    if with.taken_as_pure {
        out.push(format!(
            "no strength is written behind {}, so it is taken as pure: write it, such as {} 10 %",
            with.name, with.name
        ));
    }
    out
}

/// The doses as they go on the scale.
#[derive(Default)]
struct Weighed {
    add_g: Option<Decimal>,
    first_g: Option<Decimal>,
    expected_ph: Option<f64>,
    sample_g: Option<Decimal>,
    sample_expected_ph: Option<f64>,
    /// What is weighed in instead of what was named, and how it is made.
    diluted: Option<(String, Dilution)>,
}

/// Puts the advice on the scale. The vessels: the batch, and the sample at hand.
fn weighed(
    bench: &Bench,
    advice: &Advice,
    of: &Titrant,
    vessels: (Decimal, Option<Decimal>),
    scale_g: Decimal,
    caution: &mut Vec<String>,
) -> Weighed {
    let in_sample = advice.sample_add_g.zip(vessels.1);
    let (dose_g, vessel_g, larger) = match (in_sample, advice.suggest_first_g) {
        (Some((dose_g, vessel_g)), _) => (dose_g, vessel_g, "take a larger sample, or "),
        (None, Some(dose_g)) => (dose_g, vessels.0, ""),
        (None, None) => return Weighed::default(),
    };
    let Some(portion) = Portion::of(dose_g, vessel_g, scale_g) else {
        let wanted = decimal(dose_g, 3).unwrap_or_default().normalize();
        caution.push(format!(
            "a scale that reads {} g cannot weigh the {wanted} g of {} that are wanted, not even watered down: {larger}use a finer scale",
            scale_g.normalize(),
            of.name
        ));
        return Weighed::default();
    };
    let mut out = Weighed::default();
    let on_scale = if in_sample.is_some() {
        out.sample_g = portion.nearest(dose_g);
        out.sample_g
    } else {
        out.add_g = advice.add_g.and_then(|g| portion.down(g));
        out.first_g = portion.down(dose_g);
        out.first_g = out
            .first_g
            .zip(out.add_g)
            .map(|(f, a)| f.min(a))
            .or(out.first_g);
        out.first_g
    };
    let Some(on_scale) = on_scale else { return out };
    let expected = advice.ph_after(bench, portion.undiluted_g(on_scale));
    if in_sample.is_some() {
        out.sample_expected_ph = expected;
    } else {
        out.expected_ph = expected;
    }
    out.diluted = portion
        .dilution(&of.name, on_scale)
        .map(|how| (of.diluted(portion.times), how));
    if portion.times == 1 && on_scale < scale_g * portion::FEW_STEPS {
        caution.push(portion::few_steps(
            &of.name, dose_g, vessel_g, scale_g, larger,
        ));
    }
    out
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
