//! The pH as it may be shown: a range, or one sentence why there is none.

use super::unsure::{Towards, Unsure, utmost};
use super::{Acidity, LEAST_WATER_PERCENT, Why};
use crate::chem::Refusal;
use crate::chem::acid_base::{Activity, Prediction, STRAY_MOL_KG, System};

/// A wider range says nothing: it spans an acid toner and a neutral gel.
const WIDEST_PH: f64 = 3.0;
/// Acid or alkali in a gram of whatever is not water and says nothing of it: an acid value of 0.17, a third of what pharmacopoeias
/// let pass in good oils. An assumption; a cream has rests of soap and of free acid that a clear lotion has not.
const STRAY_MOL_G: f64 = 3e-6;
/// So many are blamed by name.
const MOST_BLAMED: usize = 4;

impl Acidity {
    /// [`System::prediction`], never narrower than ±0.5, wider by traces in what is not water and by what the unsure may do.
    pub fn prediction(&self) -> Result<Prediction, Refusal> {
        if self.water_percent < LEAST_WATER_PERCENT {
            return Err(Refusal::new(
                "there is hardly any water in it: a pH says nothing here",
            ));
        }
        let mut said = self.likely().prediction_beside(self.stray())?;
        let (low, high) = self.ends(|_| true)?;
        (said.low, said.high) = (said.low.min(low), said.high.max(high));
        Ok(said)
    }

    /// What is in the water, with the middle of what is known between bounds.
    pub(super) fn likely(&self) -> System {
        let mut likely = self.in_water.clone();
        self.unsure
            .iter()
            .filter(|u| u.figures)
            .for_each(|u| u.add_middle(&mut likely));
        likely
    }

    /// The prediction where it says something.
    pub fn telling(&self) -> Option<Prediction> {
        self.prediction()
            .ok()
            .filter(|p| p.high - p.low <= WIDEST_PH)
    }

    /// [`Acidity::telling`], else in words why there is none.
    pub fn foretold(&self) -> Result<Prediction, String> {
        let said = self
            .prediction()
            .map_err(|refused| refused.reason().to_owned())?;
        if said.high - said.low <= WIDEST_PH {
            return Ok(said);
        }
        let bare = self
            .in_water
            .prediction_beside(self.stray())
            .map_or(0.0, |p| p.high - p.low);
        let unknown = self
            .missing
            .iter()
            .filter(|m| m.why == Why::Unknown)
            .map(|m| m.name.as_str());
        let mut blamed = self.to_blame();
        let why = if bare > WIDEST_PH || blamed.is_empty() {
            blamed.extend(unknown.take(MOST_BLAMED));
            let nothing = match blamed.is_empty() {
                true if bare > WIDEST_PH => "nothing in it holds a pH",
                true => "too little in it holds a pH",
                false => "nothing that is known holds a pH in it",
            };
            blamed.push(if blamed.is_empty() {
                "the air and traces of acid or alkali"
            } else {
                "traces of acid or alkali"
            });
            format!("{nothing}, so {} decide", list(&blamed))
        } else {
            let bring = if blamed.len() == 1 { "brings" } else { "bring" };
            format!(
                "how much acid or base {} {bring} is not known well enough",
                list(&blamed)
            )
        };
        Err(format!("the pH cannot be estimated: {why}; measure it"))
    }

    /// mol per kg of water.
    fn stray(&self) -> f64 {
        STRAY_MOL_KG
            + STRAY_MOL_G * 1000.0 * (100.0 - self.water_percent).max(0.0)
                / self.water_percent.max(LEAST_WATER_PERCENT)
    }

    /// As far as some of the unsure take it either way, with a trace of acid or alkali on top.
    fn ends(&self, which: impl Fn(&Unsure) -> bool) -> Result<(f64, f64), Refusal> {
        let some = || self.unsure.iter().filter(|u| which(u));
        let stray = |charge: i32| self.in_water.clone().ion(self.stray(), charge);
        Ok((
            utmost(&stray(-1), some(), Towards::Acid)?,
            utmost(&stray(1), some(), Towards::Base)?,
        ))
    }

    /// Those that widen the range by themselves, the worst first: by at least a quarter of what the worst does, and by more than
    /// twice the traces that are reckoned with anyway.
    fn to_blame(&self) -> Vec<&str> {
        let middle = self.in_water.ph(Activity::Davies).map_or(7.0, |s| s.ph);
        let enough = |n: usize| {
            self.unsure
                .iter()
                .filter(|u| u.of == n)
                .map(|u| u.mol[1])
                .sum::<f64>()
                > 2.0 * self.stray()
        };
        let alone = |n: usize| match enough(n) {
            true => self
                .ends(|u| u.of == n)
                .map_or(0.0, |(low, high)| high.max(middle) - low.min(middle)),
            false => 0.0,
        };
        let mut by_width: Vec<(f64, &str)> = self
            .of
            .iter()
            .enumerate()
            .map(|(n, name)| (alone(n), name.as_str()))
            .collect();
        by_width.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
        by_width.dedup_by(|a, b| a.1 == b.1);
        let worst = by_width.first().map_or(0.0, |w| w.0);
        by_width.retain(|w| w.0 > 0.0 && w.0 >= worst / 4.0);
        by_width
            .into_iter()
            .take(MOST_BLAMED)
            .map(|w| w.1)
            .collect()
    }
}

fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
