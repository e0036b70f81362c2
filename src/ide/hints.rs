//! Figures shown next to the text: the weight of each row for this batch, what q.s. comes to, what a phase makes.

use super::Snapshot;
use super::figures;
use crate::chem::units::Unit;
use crate::model::Formula;
use crate::model::weights::Weights;
use crate::rules::words;
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    pub line: u32,
    /// Where it stands: behind the amount or the heading.
    pub byte: u32,
    pub text: String,
    pub tooltip: String,
}

pub fn hints(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Hint> {
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    let weights = figures::weights(s, f);
    let wanted = first_line..=last_line;
    let mut out: Vec<Hint> = Vec::new();
    for (n, row) in f
        .rows
        .iter()
        .enumerate()
        .filter(|(_, r)| wanted.contains(&r.line))
    {
        if let Some((text, tooltip)) = of_row(f, &weights, n) {
            out.push(Hint {
                line: row.line,
                byte: row.amount.span.end,
                text,
                tooltip,
            });
        }
    }
    for (n, phase) in f.phases.iter().enumerate() {
        let Some(line) = phase.lines.first().copied().filter(|l| wanted.contains(l)) else {
            continue;
        };
        if let Some((text, tooltip)) = of_phase(f, &weights, n) {
            out.push(Hint {
                line,
                byte: heading_end(s, line),
                text,
                tooltip,
            });
        }
    }
    out.sort_by_key(|h| (h.line, h.byte));
    out
}

/// Behind the heading, before its comment.
fn heading_end(s: &Snapshot, line: u32) -> u32 {
    let text = s.text(line);
    let end = s
        .line(line)
        .and_then(|l| l.comment)
        .map_or(text.len(), |c| c.start as usize);
    text[..end].trim_end().len() as u32
}

fn of_row(f: &Formula, w: &Weights, n: usize) -> Option<(String, String)> {
    let row = &f.rows[n];
    let percent = row.percent.filter(|p| !p.is_zero())?;
    let grams = w.rows[n].filter(|g| !g.is_zero());
    // What the row says itself is not said again.
    let written = match row.amount.value {
        Amount::Measured(m) => Some(m),
        Amount::Enough { about, .. } => about,
        Amount::Fill { .. } => None,
        Amount::Missing | Amount::Unreadable => return None,
    };
    let says_share = written.is_some_and(|m| m.unit == Unit::Percent);
    let says_weight = written.is_some_and(|m| {
        let own = m.unit.grams().and_then(|g| m.value.checked_mul(g));
        own.is_some() && (f.fields.batch.is_none() || own == grams)
    });
    let share = (!says_share).then(|| words::percent(rounded(percent)));
    let weight = grams.filter(|_| !says_weight).map(figures::grams_words);
    let new: Vec<String> = share.into_iter().chain(weight).collect();
    if new.is_empty() {
        return None;
    }
    let about = if row.estimated || matches!(row.amount.value, Amount::Enough { .. }) {
        "about "
    } else {
        ""
    };
    let tooltip = match w.batch_g {
        Some(batch) => format!(
            "For a batch of {}, on a scale that reads {}",
            figures::grams_words(batch),
            figures::grams_words(w.scale_g)
        ),
        None => "Share of the whole by weight".to_owned(),
    };
    Some((format!("= {about}{}", new.join(", ")), tooltip))
}

fn of_phase(f: &Formula, w: &Weights, n: usize) -> Option<(String, String)> {
    let rows = &f.phases[n].rows;
    if rows.is_empty() {
        return None;
    }
    let percent = figures::percent_sum(f, rows)?;
    let grams = w.sum(rows).map(figures::grams_words);
    let text = [Some(words::percent(rounded(percent))), grams]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ");
    Some((
        format!("= {text}"),
        format!("All rows of phase {} together", f.phases[n].label),
    ))
}

/// Shares of weights seldom end.
fn rounded(percent: Decimal) -> Decimal {
    words::readable(percent)
}
