//! The pH as it may be shown: a range, or one sentence why there is none.

use super::bounds::{BoundedGroups, Extreme, extreme_ph};
use super::{Acidity, LEAST_WATER_PERCENT, Why};
use crate::chem::ChemError;
use crate::chem::acid_base::{Activity, Prediction, System, TRACE_MOL_KG};

/// Widest range that is shown. A wider one spans an acid toner and a neutral gel.
const MAX_WIDTH_PH: f64 = 3.0;
/// Traces of acid or alkali in a gram of what is not water: an acid value of 0.17, a third of what pharmacopoeias accept in good
/// oils. An assumption: a cream holds rests of soap and of free acid that a clear lotion does not.
const TRACE_MOL_G: f64 = 3e-6;
/// So many are uncertain by name.
const MAX_NAMED: usize = 4;

impl Acidity {
    /// [`System::prediction`], never narrower than ±0.5, wider by traces in what is not water and by what the bounded groups may do.
    pub fn prediction(&self) -> Result<Prediction, ChemError> {
        if self.water_percent < LEAST_WATER_PERCENT {
            return Err(ChemError::new(
                "there is hardly any water in it: a pH says nothing here",
            ));
        }
        let mut said = self.likely().prediction_with_traces(self.trace_acidity())?;
        let (low, high) = self.ends(|_| true)?;
        (said.low, said.high) = (said.low.min(low), said.high.max(high));
        Ok(said)
    }

    /// What is in the water, with the middle of what is known between bounds.
    pub(super) fn likely(&self) -> System {
        let mut likely = self.in_water.clone();
        self.bounded_groups
            .iter()
            .filter(|u| u.figures)
            .for_each(|u| u.add_middle(&mut likely));
        likely
    }

    /// The prediction, if its range is narrow enough to be shown.
    pub fn useful_prediction(&self) -> Option<Prediction> {
        self.prediction()
            .ok()
            .filter(|p| p.high - p.low <= MAX_WIDTH_PH)
    }

    /// The prediction that may be shown, or the reason in words why there is none.
    pub fn prediction_or_reason(&self) -> Result<Prediction, String> {
        let said = self
            .prediction()
            .map_err(|refused| refused.reason().to_owned())?;
        if said.high - said.low <= MAX_WIDTH_PH {
            return Ok(said);
        }
        let bare = self
            .in_water
            .prediction_with_traces(self.trace_acidity())
            .map_or(0.0, |p| p.high - p.low);
        let unknown = self
            .missing
            .iter()
            .filter(|m| m.why == Why::Unknown)
            .map(|m| m.name.as_str());
        let mut uncertain = self.main_uncertainties();
        let why = if bare > MAX_WIDTH_PH || uncertain.is_empty() {
            uncertain.extend(unknown.take(MAX_NAMED));
            let nothing = match uncertain.is_empty() {
                true if bare > MAX_WIDTH_PH => "nothing in it holds a pH",
                true => "too little in it holds a pH",
                false => "nothing that is known holds a pH in it",
            };
            uncertain.push(if uncertain.is_empty() {
                "the air and traces of acid or alkali"
            } else {
                "traces of acid or alkali"
            });
            format!("{nothing}, so {} decide", list(&uncertain))
        } else {
            let bring = if uncertain.len() == 1 {
                "brings"
            } else {
                "bring"
            };
            format!(
                "how much acid or base {} {bring} is not known well enough",
                list(&uncertain)
            )
        };
        Err(format!("the pH cannot be estimated: {why}; measure it"))
    }

    /// Traces of acid or alkali, mol per kg of water.
    fn trace_acidity(&self) -> f64 {
        TRACE_MOL_KG
            + TRACE_MOL_G * 1000.0 * (100.0 - self.water_percent).max(0.0)
                / self.water_percent.max(LEAST_WATER_PERCENT)
    }

    /// The lowest and the highest pH that the chosen bounded groups allow, with traces of acid or alkali added.
    fn ends(&self, which: impl Fn(&BoundedGroups) -> bool) -> Result<(f64, f64), ChemError> {
        let some = || self.bounded_groups.iter().filter(|u| which(u));
        let with_traces = |charge: i32| self.in_water.clone().ion(self.trace_acidity(), charge);
        Ok((
            extreme_ph(&with_traces(-1), some(), Extreme::Acid)?,
            extreme_ph(&with_traces(1), some(), Extreme::Base)?,
        ))
    }

    /// Names of the materials that widen the range most, the widest first. A material is named if it alone widens the range by at
    /// least a quarter of what the widest does, and brings more than twice the traces that are assumed anyway.
    fn main_uncertainties(&self) -> Vec<&str> {
        let middle = self.in_water.ph(Activity::Davies).map_or(7.0, |s| s.ph);
        let enough = |n: usize| {
            self.bounded_groups
                .iter()
                .filter(|u| u.of == n)
                .map(|u| u.mol[1])
                .sum::<f64>()
                > 2.0 * self.trace_acidity()
        };
        let alone = |n: usize| match enough(n) {
            true => self
                .ends(|u| u.of == n)
                .map_or(0.0, |(low, high)| high.max(middle) - low.min(middle)),
            false => 0.0,
        };
        let mut by_width: Vec<(f64, &str)> = self
            .bounded_names
            .iter()
            .enumerate()
            .map(|(n, name)| (alone(n), name.as_str()))
            .collect();
        by_width.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        by_width.dedup_by(|a, b| a.1 == b.1);
        let worst = by_width.first().map_or(0.0, |w| w.0);
        by_width.retain(|w| w.0 > 0.0 && w.0 >= worst / 4.0);
        by_width.into_iter().take(MAX_NAMED).map(|w| w.1).collect()
    }
}

fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
