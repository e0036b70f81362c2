//! Stand-ins for the terminal.

use super::{Difference, StandIns};
use crate::papers::page;
use crate::rules::words;

pub(super) fn text(s: &StandIns, width: usize) -> String {
    let mut out = page::heading(&s.head(), width);
    if let Some(percent) = s.percent {
        out.push_str(&page::lines(
            "",
            &[format!(
                "{} of the formula",
                words::readable_percent(percent)
            )],
            width,
        ));
    }
    if s.suggestions.is_empty() {
        out.push_str(&page::lines(
            "",
            &["Nothing that is known does the same work here.".to_owned()],
            width,
        ));
    }
    for one in &s.suggestions {
        let inci = one
            .inci
            .as_ref()
            .map_or(String::new(), |i| format!(" ({i})"));
        out.push_str(&format!("\n{}. {}{inci}\n", one.rank, one.name));
        let mut lines = vec![one.reasons.join("; ")];
        lines.extend(one.changes.iter().map(Difference::words));
        lines.extend(one.appeared.iter().map(|f| format!("then {}", f.words())));
        lines.extend(
            one.vanished
                .iter()
                .map(|f| format!("no longer {}", f.words())),
        );
        out.push_str(page::lines("", &lines, width).trim_start_matches('\n'));
    }
    let left: Vec<String> = s
        .left_out
        .iter()
        .map(|l| format!("{}: {}", l.name, l.why))
        .collect();
    out.push_str(&page::lines("Alike, and not to be had here", &left, width));
    out.push_str(&page::lines("", &[CAUTION.to_owned()], width));
    out
}

/// A list is no trial.
pub(super) const CAUTION: &str = "Ranked by what is known of both, as common practice has it: make a small trial batch, and look at it again after some weeks.";
