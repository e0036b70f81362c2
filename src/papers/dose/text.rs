//! The next dose for the terminal: what to do first, everything else below.

use super::Dose;
use crate::papers::page;
use crate::papers::table::{self, Column};

pub(super) fn text(dose: &Dose, width: usize) -> String {
    let mut out = String::new();
    if !dose.name.is_empty() {
        out.push_str(&page::heading(&dose.head(), width));
        out.push('\n');
    }
    out.push_str(&textwrap::fill(&dose.order(), width.max(20)));
    out.push('\n');
    out.push_str(&page::lines("", &dose.standing(), width));
    out.push('\n');
    let columns = [
        ("of", Column::Words),
        ("added", Column::Words),
        ("pH", Column::Number),
    ];
    // Without a sample all of them are the batch's.
    let from = usize::from(dose.samples.is_empty());
    let lines: Vec<_> = dose
        .lines()
        .into_iter()
        .map(|l| l[from..].to_vec())
        .collect();
    out.push_str(&table::text(&columns[from..], lines, width));
    out.push_str(&page::lines("Take care", &dose.caution, width));
    if !dose.counted.is_empty() {
        out.push_str(&page::lines(
            "",
            &[format!(
                "Counted from the formula: {}.",
                dose.counted.join(", ")
            )],
            width,
        ));
    }
    out.push_str(&page::lines("Not counted", &dose.not_counted, width));
    out
}
