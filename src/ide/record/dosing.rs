//! Behind a pH: what to add next, and what it then should read.

use super::output::read_again;
use super::{HintWords, RecordView};
use crate::chem::dose::Verdict;
use crate::model::bench::dose::{NextDose, for_record};
use crate::model::making::Making;
use crate::syntax::tree::{Event, LogLine};
use rust_decimal::Decimal;

/// What a first sample weighs, grams: a scale of 0.01 g can dose it, and it is a small part of most batches. (practice)
const SAMPLE_G: u32 = 30;

/// Behind a line of the log that reads a pH or takes a sample.
pub fn hint(view: &RecordView, making: &Making, line: u32, log: &LogLine) -> Option<HintWords> {
    let asks = |e: &Event| matches!(e, Event::Ph { .. } | Event::Sample(_));
    if !log.events.iter().any(|e| asks(&e.value)) {
        return None;
    }
    let dose = next_dose(view, making, line)?;
    let text = words(making, &dose)?;
    let mix = dose.dilution.as_ref().map(|d| {
        format!(
            "Stir {} g of {} into {} g of water first. ",
            d.take_g, d.of, d.water_g
        )
    });
    let tooltip = format!("{}{}", mix.unwrap_or_default(), dose.cautions.join(". "));
    Some(HintWords::new(text, tooltip))
}

/// By the log up to a line. None where it tells no dose.
pub(super) fn next_dose(view: &RecordView, making: &Making, line: u32) -> Option<NextDose> {
    let formula = &making.plan?.formula;
    let scale_g = view.snapshot.settings.scale_g(view.kb());
    for_record(making.tree, view.kb(), formula, scale_g, line).ok()
}

fn words(making: &Making, dose: &NextDose) -> Option<String> {
    let (low, high) = dose.target;
    let target = match low == high {
        true => format!("Target {low}"),
        false => format!("Target {low} to {high}"),
    };
    let about = |ph: Option<f64>| ph.map_or(String::new(), |p| format!(": about {p:.2}"));
    let with = dose.with.as_deref().unwrap_or_default();
    let has_sample = !dose.titration.samples.is_empty();
    Some(match dose.verdict {
        Verdict::OnTarget => match read_again(making) {
            Some(day) => format!("In range. Measure again on {day}."),
            None => "In range.".to_owned(),
        },
        Verdict::Sample => {
            let began = dose.titration.samples.last()?.written.iter();
            let more = began.clone().any(|w| w.added.is_some());
            let add = dose.sample_add_g?;
            let what = if more && dose.dilution.is_none() {
                "more".to_owned()
            } else {
                with.to_owned()
            };
            format!(
                "Add {add} g {what} to the sample{}",
                about(dose.sample_expected_ph)
            )
        }
        Verdict::Trial if !has_sample && dose.mass_g > Decimal::from(2 * SAMPLE_G) => format!(
            "{target}. Try it on {SAMPLE_G} g first, or add {} g {with}",
            dose.first_g?
        ),
        Verdict::Overshot => format!(
            "{target}, passed by {:.2}. Add {} g {with}{}",
            dose.overshot_by?,
            dose.first_g?,
            about(dose.expected_ph)
        ),
        Verdict::Discard => format!("{target}. Add nothing more: throw the batch away"),
        Verdict::Trial | Verdict::Dose | Verdict::Step => {
            let add = dose.first_g?;
            let first = dose.titration.written.iter().all(|w| w.added.is_none());
            match dose.by_sample && first {
                true => format!("Add {add} g to the batch{}", about(dose.expected_ph)),
                false => format!("{target}. Add {add} g {with}{}", about(dose.expected_ph)),
            }
        }
    })
}
