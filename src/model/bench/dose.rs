//! The next dose of acid or base towards a pH, from the readings at the bench, as it goes on the scale.

mod choice;
mod portion;

use super::{Sampled, Titrant, Titration, log_up_to, titration};
use crate::chem::acid_base::System;
use crate::chem::dose::{Advice, Bench, Reading, Verdict, advise, as_in_the_batch, curve};
use crate::chem::{decimal, float};
use crate::kb::Kb;
use crate::model::Formula;
use crate::model::acidity::{self, Acidity};
use crate::model::system::ph_aim;
use crate::syntax::tree::Tree;
use choice::{choose, place};
pub use portion::Dilution;
use portion::Portion;
use rust_decimal::Decimal;

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

/// What to do next, and what it rests on.
#[derive(Clone, Debug)]
pub struct NextDose {
    pub mass_g: Decimal,
    pub target: (Decimal, Decimal),
    pub verdict: Verdict,
    /// Grams to the target, or as far towards it as the readings reach.
    pub add_g: Option<Decimal>,
    /// What goes in, watered down where `dilution` says how.
    pub with: Option<String>,
    /// Nothing was named that goes this way; this is what is usually taken.
    pub with_assumed: bool,
    /// Grams to add now.
    pub first_g: Option<Decimal>,
    pub dilution: Option<Dilution>,
    /// After `first_g`, as it is weighed.
    pub expected_ph: Option<f64>,
    /// Grams to add to the sample now; nothing to the batch.
    pub sample_add_g: Option<Decimal>,
    pub sample_expected_ph: Option<f64>,
    /// The dose is by the readings of the sample.
    pub by_sample: bool,
    /// Grams in the vessel without what was taken out as samples; none where none was.
    pub left_g: Option<Decimal>,
    pub overshot_by: Option<f64>,
    pub buffer_mmol_per_ph: Option<f64>,
    /// Readings that the fit rests on.
    pub points: usize,
    pub cautions: Vec<String>,
    pub titration: Titration,
    /// First readings that were the sample's: they stand among the sample's rows alone.
    pub borrowed: usize,
    /// Of the formula, where there is one.
    pub acidity: Option<Acidity>,
    /// The expected titration, grams in all from the first reading and pH.
    pub curve: Vec<(f64, f64)>,
    /// Each sample's readings as the batch would have given them, the same two figures.
    pub sample_points: Vec<Vec<(f64, f64)>>,
}

/// The pH that a formula asks for: its range, and where in it to aim where the formula says that.
pub fn target(formula: &Formula) -> Option<((Decimal, Decimal), Option<Decimal>)> {
    let aim = ph_aim(formula);
    let range = match (aim, formula.fields.ph.as_ref().map(|p| p.value)) {
        // A range around the formula's own aim is what counts as there.
        (Some(a), Some((low, high))) if (low..=high).contains(&a.low) => (low, high),
        (Some(a), _) => (a.low, a.high),
        (None, _) => return None,
    };
    Some((range, aim.filter(|a| a.exact).map(|a| a.low)))
}

/// The next dose by the log of a record up to a line, that line included. The error says why there is none.
pub fn for_record(
    tree: &Tree,
    kb: &Kb,
    formula: &Formula,
    scale_g: Decimal,
    up_to: u32,
) -> Result<NextDose, String> {
    let log = log_up_to(tree, kb, Some(formula), up_to);
    if let Some(lost) = log.lost.first() {
        return Err(lost.words.clone());
    }
    let (target, aim) = target(formula).ok_or("no pH to reach is known")?;
    next_dose(Ask {
        kb,
        name: String::new(),
        file: String::new(),
        mass_g: log.mass_g.ok_or("the weight of the product is not known")?,
        target,
        aim,
        titration: titration(kb, &log.steps)?,
        with: Vec::new(),
        formula: Some(formula),
        scale_g,
    })
}

/// The next dose. The error says why there is none, and what to do.
pub fn next_dose(ask: Ask) -> Result<NextDose, String> {
    let Ask {
        kb,
        mass_g,
        target: (low, high),
        scale_g,
        ..
    } = ask;
    let Some(last) = ask.titration.readings.last().map(|r| r.ph) else {
        return Err("no pH has been read yet; measure it first".to_owned());
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
    let advice = advise(&bench).map_err(|e| e.reason().to_owned())?;
    let chosen = advice.agent.map(|n| choice.order[n]);
    let borrowed = readings.len() - titration.written.len();
    let total: f64 = readings.iter().map(|r| r.added_g).sum();
    let drawn = advice
        .agent
        .and_then(|n| curve(&bench, n, 41).ok())
        .unwrap_or_default();
    let mut caution = cautions(&advice, chosen.map(|n| &titration.titrants[n]));
    let vessel_g = left(mass_g, &titration.samples).unwrap_or(mass_g);
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
    Ok(NextDose {
        mass_g,
        target: (low, high),
        verdict: advice.verdict,
        add_g: weighed.add_g,
        with: match (&weighed.diluted, chosen) {
            (Some((name, _)), _) => Some(name.clone()),
            (None, n) => n.map(|n| titration.titrants[n].name.clone()),
        },
        with_assumed: chosen.is_some() && chosen == choice.assumed,
        first_g: weighed.first_g,
        dilution: weighed.diluted.map(|(_, how)| how),
        expected_ph: weighed.expected_ph,
        sample_add_g: weighed.sample_g,
        sample_expected_ph: weighed.sample_expected_ph,
        by_sample: advice.by_sample,
        left_g: left(mass_g, &titration.samples),
        overshot_by: advice
            .overshot_by
            .map(|_| past(last, float(low), float(high))),
        buffer_mmol_per_ph: advice.buffer_mmol_per_ph,
        points: advice.points,
        cautions: caution,
        borrowed,
        curve: drawn.into_iter().map(|(g, ph)| (total + g, ph)).collect(),
        sample_points: in_the_batch(&bench, advice.agent),
        titration,
        acidity,
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

/// What the samples left in the vessel.
fn left(mass_g: Decimal, samples: &[Sampled]) -> Option<Decimal> {
    (!samples.is_empty()).then(|| {
        samples
            .iter()
            .fold(mass_g, |left, s| left.saturating_sub(s.mass_g))
    })
}

/// For the drawing: each sample's readings over the grams that the batch would have taken of what goes into it, or of what
/// went into the sample where that goes the other way.
fn in_the_batch(bench: &Bench, chosen: Option<usize>) -> Vec<Vec<(f64, f64)>> {
    let last = |mut readings: std::slice::Iter<Reading>| {
        readings.rfind(|r| r.added_g > 0.0).map(|r| r.agent)
    };
    let Some(own) = bench
        .samples
        .iter()
        .rev()
        .find_map(|s| last(s.readings.iter()))
    else {
        return as_in_the_batch(bench, chosen.unwrap_or(0)).unwrap_or_default();
    };
    let same = |n: &usize| bench.agents[*n].is_acid() == bench.agents[own].is_acid();
    let agent = chosen
        .filter(same)
        .or(last(bench.readings.iter()).filter(same))
        .unwrap_or(own);
    as_in_the_batch(bench, agent).unwrap_or_default()
}

fn past(last: f64, low: f64, high: f64) -> f64 {
    if last < low { low - last } else { last - high }
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
