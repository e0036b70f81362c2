//! The weights and sums of a formula in words, for hints, hovers, symbols and the lens.

use super::Snapshot;
use crate::chem::units::Unit;
use crate::model::Formula;
use crate::model::weights::Weights;
use crate::rules::words;
pub use crate::rules::words::total as total_words;
use crate::syntax::tree::{Amount, Measure};
use rust_decimal::Decimal;

/// The weights for the batch that the file names, on the scale of the settings.
pub fn weights(s: &Snapshot, f: &Formula) -> Weights {
    Weights::of(f, f.batch_g(), s.settings.scale_g(&s.kb))
}

/// "12.5 g", without zeros that say nothing.
pub fn grams_words(g: Decimal) -> String {
    format!("{} g", words::readable(g))
}

/// An amount as the maker wrote it.
pub fn measure_words(m: Measure) -> String {
    let unit = match m.unit {
        Unit::Drop if m.value == Decimal::ONE => "drop",
        Unit::Part if m.value == Decimal::ONE => "part",
        unit => unit.symbol(),
    };
    format!("{} {unit}", m.value.normalize())
}

/// The share of some rows in the whole; none where one of them is not known.
pub fn percent_sum(f: &Formula, rows: &[usize]) -> Option<Decimal> {
    rows.iter().try_fold(Decimal::ZERO, |sum, r| {
        sum.checked_add(f.rows.get(*r)?.percent?)
    })
}

/// The rows of a phase and of the premixes that go into it.
pub fn rows_with_premixes(f: &Formula, phase: usize) -> Vec<usize> {
    let mut rows = f.phases[phase].rows.clone();
    for p in f.phases.iter().filter(|p| p.into == Some(phase)) {
        rows.extend(&p.rows);
    }
    rows
}

/// Whether a row fills up to the whole.
pub fn is_fill(f: &Formula, row: usize) -> bool {
    matches!(f.rows[row].amount.value, Amount::Fill { .. })
}
