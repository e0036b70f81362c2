//! Columns: where amounts, weights and comments stand.

use super::INDENT;
use crate::syntax::scan::{is_blank, is_quote};
use crate::syntax::tree::*;
use crate::text::Span;
use std::ops::Range;

/// Blanks between a name and its amount, between a line and its comment, at the least.
pub(super) const GAP: usize = 2;

/// A longer name does not push the column of amounts.
const LONGEST_NAME: usize = 56;

/// Where amounts and weights stand, the same in the whole file.
pub(super) struct Columns {
    /// First character of an amount.
    pub(super) amount: usize,
    /// Behind the last digit of what was weighed.
    pub(super) weighed: usize,
    /// First character of `lot`.
    pub(super) lot: usize,
    /// Longest time of a log line.
    pub(super) time: usize,
}

impl Columns {
    pub(super) fn of(tree: &Tree, range: &Range<usize>) -> Columns {
        let mut amounts = Column::default();
        let mut weights = Column::default();
        let mut time = 0;
        for (n, at) in tree.lines.iter().enumerate() {
            let line = &at.line;
            if !line.errors.is_empty() {
                continue;
            }
            let now = range.contains(&n);
            match &line.node {
                Node::Row(row) => {
                    let name = name_width(line, row.name.span, row.file);
                    amounts.add(
                        name,
                        INDENT.len() + name + GAP,
                        column_of(line, row.amount.span.start),
                        now,
                    );
                }
                Node::Weighed(w) => {
                    let number = number_span(w);
                    let name = name_width(line, w.name.span, w.file);
                    let digits = width(line.text_of(number));
                    weights.add(
                        name,
                        INDENT.len() + name + GAP + digits,
                        column_of(line, number.end),
                        now,
                    );
                }
                Node::Log(LogLine { time: Some(t), .. })
                | Node::Observation(Observation { time: Some(t), .. }) => {
                    time = time.max(width(&single_blanks(line.text_of(t.span))));
                }
                _ => {}
            }
        }
        let mut columns = Columns {
            amount: amounts.column(),
            weighed: weights.column(),
            lot: 0,
            time,
        };
        // The lots stand behind the longest pair of weights.
        for at in tree.lines.iter().filter(|l| l.line.errors.is_empty()) {
            if let Node::Weighed(w) = &at.line.node {
                columns.lot = columns
                    .lot
                    .max(width(&columns.weights(&at.line, w)) + GAP + 1);
            }
        }
        columns
    }

    pub(super) fn row(&self, line: &Line, row: &Row) -> String {
        let name = name_text(line, row.name.span, row.file);
        let mut out = pad(format!("{INDENT}{name}"), self.amount);
        match &row.amount.value {
            Amount::Measured(m) => {
                out.push_str(line.text_of(m.value_span));
                out.push(' ');
                out.push_str(&single_blanks(line.text_of(m.unit_span)));
            }
            _ => out.push_str(&single_blanks(line.text_of(row.amount.span))),
        }
        if let Some(purpose) = &row.purpose {
            out.push_str(" as ");
            out.push_str(&single_blanks(line.text_of(purpose.span)));
        }
        out
    }

    /// Name and weights; the numbers end in one column.
    pub(super) fn weights(&self, line: &Line, w: &Weighed) -> String {
        let name = name_text(line, w.name.span, w.file);
        let number = number_span(w);
        let digits = line.text_of(number);
        let mut out = pad(
            format!("{INDENT}{name}"),
            self.weighed.saturating_sub(width(digits)),
        );
        out.push_str(digits);
        if let Some(m) = &w.actual {
            out.push(' ');
            out.push_str(&single_blanks(line.text_of(m.unit_span)));
        }
        if let Some(m) = &w.planned {
            out.push_str(" of ");
            out.push_str(line.text_of(m.value_span));
            out.push(' ');
            out.push_str(&single_blanks(line.text_of(m.unit_span)));
        }
        out
    }

    pub(super) fn weighed(&self, line: &Line, w: &Weighed) -> String {
        let out = self.weights(line, w);
        match &w.lot {
            Some(lot) => format!("{}lot {}", pad(out, self.lot), lot.value),
            None => out,
        }
    }
}

/// The number that was weighed, or the `?`.
fn number_span(w: &Weighed) -> Span {
    w.actual.as_ref().map_or(w.actual_span, |m| m.value_span)
}

/// Blanks up to a column, two at the least.
pub(super) fn pad(mut text: String, column: usize) -> String {
    let gap = column.saturating_sub(width(&text)).max(GAP);
    text.extend(std::iter::repeat_n(' ', gap));
    text
}

fn name_text(line: &Line, name: Span, file: bool) -> String {
    let name = line.text_of(name);
    if file {
        format!("\"{name}\"")
    } else {
        name.to_string()
    }
}

fn name_width(line: &Line, name: Span, file: bool) -> usize {
    width(line.text_of(name)) + if file { 2 } else { 0 }
}

/// The column of a byte, in characters; none where a tab makes that a matter of taste.
pub(super) fn column_of(line: &Line, byte: u32) -> Option<usize> {
    let before = &line.text[..byte as usize];
    (!before.contains('\t')).then(|| width(before))
}

/// Finds one column for many lines. If all that are there agree on one that has room for every name, it stays: no line
/// moves because another was taken out.
#[derive(Default)]
struct Column {
    needed: usize,
    agreed: Option<Option<usize>>,
}

impl Column {
    /// `at`: where it stands now; `now`: it is laid out again.
    fn add(&mut self, name: usize, needed: usize, at: Option<usize>, now: bool) {
        if name > LONGEST_NAME {
            return;
        }
        self.needed = self.needed.max(needed);
        // Where a part is laid out, it follows the rest.
        let _ = now;
        self.agreed = Some(match self.agreed {
            None => at,
            Some(before) if before == at => at,
            Some(_) => None,
        });
    }

    fn column(&self) -> usize {
        match self.agreed.flatten() {
            Some(column) if column >= self.needed => column,
            _ => self.needed,
        }
    }
}

/// One blank for every run of blanks, but inside quotes.
pub(super) fn single_blanks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut quoted = false;
    let mut blank = false;
    for c in text.chars() {
        if is_quote(c) {
            quoted = !quoted;
        }
        if is_blank(c) && !quoted {
            blank = true;
            continue;
        }
        if std::mem::take(&mut blank) {
            out.push(' ');
        }
        out.push(c);
    }
    if blank {
        out.push(' ');
    }
    out
}

pub(super) fn width(text: &str) -> usize {
    text.chars().count()
}
