//! The whole formula written in another way: to 100 %, in percent, in grams, with water filling up.

use super::Action;
use crate::chem::units::{Dimension, Unit};
use crate::ide::Snapshot;
use crate::ide::figures::grams_words;
use crate::model::{Basis, Formula, Total, system};
use crate::rules::Edit;
use crate::syntax::tree::{Amount, Heading, Measure, Node, SectionKind};
use rust_decimal::Decimal;

/// More decimals than these are no amount that anyone weighs by.
const DECIMALS: u32 = 4;

pub fn offer(s: &Snapshot, first_line: u32, last_line: u32) -> Vec<Action> {
    let Some(f) = &s.formula else {
        return Vec::new();
    };
    let lines = first_line..=last_line;
    let touched = lines.contains(&f.heading_line)
        && matches!(
            s.line(f.heading_line).map(|l| &l.node),
            Some(Node::Heading(Heading::Formula { .. }))
        )
        || f.rows.iter().any(|r| lines.contains(&r.line))
        || f.fields
            .batch
            .as_ref()
            .is_some_and(|b| lines.contains(&b.line));
    if !touched {
        return Vec::new();
    }
    [to_hundred(f), water_fills(s, f), in_grams(f), in_percent(f)]
        .into_iter()
        .flatten()
        .collect()
}

/// A way to write all amounts of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rewrite {
    ToHundred,
    Percent,
    Grams,
}

/// The edits that write the formula in that way. Returns `None` if it is written so already or cannot be, exactly.
pub fn rewritten(f: &Formula, way: Rewrite) -> Option<Vec<Edit>> {
    let action = match way {
        Rewrite::ToHundred => to_hundred(f),
        Rewrite::Percent => in_percent(f),
        Rewrite::Grams => in_grams(f),
    };
    action.map(|a| a.edits)
}

fn measured(f: &Formula) -> Option<Vec<(usize, Measure)>> {
    let all: Option<Vec<_>> = f
        .rows
        .iter()
        .enumerate()
        .map(|(n, r)| {
            if let Amount::Measured(m) = r.amount.value {
                Some((n, m))
            } else {
                None
            }
        })
        .collect();
    all.filter(|a| !a.is_empty())
}

/// All rows by one factor; what rounding leaves goes to the largest.
fn to_hundred(f: &Formula) -> Option<Action> {
    let Total::Known(sum) = f.total else {
        return None;
    };
    if f.basis != Basis::Percent || sum == Decimal::ONE_HUNDRED || sum <= Decimal::ZERO {
        return None;
    }
    let rows = measured(f)?;
    let mut scaled = Vec::with_capacity(rows.len());
    for (_, m) in &rows {
        scaled.push(
            m.value
                .checked_mul(Decimal::ONE_HUNDRED)?
                .checked_div(sum)?
                .round_dp(DECIMALS),
        );
    }
    let largest = (0..scaled.len()).max_by_key(|n| scaled[*n])?;
    let left = Decimal::ONE_HUNDRED - scaled.iter().sum::<Decimal>();
    scaled[largest] += left;
    if scaled.iter().any(|n| *n <= Decimal::ZERO) {
        return None;
    }
    let edits = rows
        .iter()
        .zip(scaled)
        .map(|((n, _), p)| amount(f, *n, format!("{} %", p.normalize())))
        .collect();
    Some(Action::rewrite("Bring all rows to 100 %", edits))
}

fn amount(f: &Formula, row: usize, text: String) -> Edit {
    Edit::replace(f.rows[row].line, f.rows[row].amount.span, text)
}

fn water_fills(s: &Snapshot, f: &Formula) -> Option<Action> {
    let Total::Known(sum) = f.total else {
        return None;
    };
    if f.basis != Basis::Percent
        || f.rows
            .iter()
            .any(|r| matches!(r.amount.value, Amount::Fill { .. }))
    {
        return None;
    }
    let water = f
        .rows
        .iter()
        .enumerate()
        .filter(|(_, r)| {
            matches!(r.amount.value, Amount::Measured(_))
                && r.id().is_some_and(|id| system::is_water(s.kb.get(id)))
        })
        .max_by_key(|(_, r)| r.percent)?;
    let (n, row) = water;
    (sum - row.percent? < Decimal::ONE_HUNDRED).then(|| {
        Action::rewrite(
            format!("Let {} fill up to 100 % (q.s.)", row.name.value),
            vec![amount(f, n, "q.s.".into())],
        )
    })
}

/// From percent to the grams of the batch, where each comes out in figures that can be written.
fn in_grams(f: &Formula) -> Option<Action> {
    let batch = f.fields.batch.as_ref()?.value;
    if f.basis != Basis::Percent || f.total != Total::Known(Decimal::ONE_HUNDRED) {
        return None;
    }
    let grams = |m: Measure| {
        let g = m
            .value
            .checked_mul(batch)?
            .checked_div(Decimal::ONE_HUNDRED)?
            .normalize();
        (m.unit == Unit::Percent && g.scale() <= DECIMALS).then(|| format!("{g} g"))
    };
    let edits: Option<Vec<Edit>> = f
        .rows
        .iter()
        .enumerate()
        .map(|(n, r)| {
            let text = match r.amount.value {
                Amount::Measured(m) => grams(m)?,
                Amount::Fill { .. } => format!("q.s. to {}", grams_words(batch)),
                Amount::Enough { ph, about, at_most } => {
                    enough(ph.map(|p| p.value), about.map(grams), at_most.map(grams))?
                }
                Amount::Missing | Amount::Unreadable => return None,
            };
            Some(amount(f, n, text))
        })
        .collect();
    Some(Action::rewrite(
        format!("All amounts in grams, for {}", grams_words(batch)),
        edits?,
    ))
}

/// From weights to percent, where each is exact; the batch is kept.
fn in_percent(f: &Formula) -> Option<Action> {
    let Total::Known(sum) = f.total else {
        return None;
    };
    if f.basis != Basis::Weight || sum <= Decimal::ZERO {
        return None;
    }
    let percent = |m: Measure| {
        if m.unit.dimension() != Dimension::Mass {
            return None;
        }
        let whole = m
            .value
            .checked_mul(m.unit.grams()?)?
            .checked_mul(Decimal::ONE_HUNDRED)?;
        let p = whole.checked_div(sum)?.normalize();
        (p.scale() <= DECIMALS && p.checked_mul(sum) == Some(whole)).then(|| format!("{p} %"))
    };
    let mut edits = Vec::with_capacity(f.rows.len() + 1);
    for (n, r) in f.rows.iter().enumerate() {
        let text = match r.amount.value {
            Amount::Measured(m) => percent(m)?,
            Amount::Fill { to: Some(m) } if m.unit.dimension() == Dimension::Mass => {
                "q.s.".to_owned()
            }
            Amount::Enough { ph, about, at_most } => enough(
                ph.map(|p| p.value),
                about.map(percent),
                at_most.map(percent),
            )?,
            Amount::Fill { .. } | Amount::Missing | Amount::Unreadable => return None,
        };
        edits.push(amount(f, n, text));
    }
    if f.fields.batch.is_none() {
        edits.insert(
            0,
            Edit::insert_before(
                f.heading_line + 1,
                format!("  batch: {}\n", grams_words(sum)),
            ),
        );
    }
    Some(Action::rewrite("All amounts in percent", edits))
}

/// `q.s. to pH 5.2, about 1 %, at most 2 %` with its measures written again. Returns `None` if one of them cannot be written.
fn enough(
    ph: Option<Decimal>,
    about: Option<Option<String>>,
    at_most: Option<Option<String>>,
) -> Option<String> {
    let mut out = ph.map_or("q.s.".to_owned(), |p| {
        format!("q.s. to pH {}", p.normalize())
    });
    if let Some(a) = about {
        out.push_str(&format!(", about {}", a?));
    }
    if let Some(m) = at_most {
        out.push_str(&format!(", at most {}", m?));
    }
    Some(out)
}

/// Sections in which rows stand.
pub(super) fn holds_rows(section: SectionKind) -> bool {
    matches!(section, SectionKind::Phase | SectionKind::Premix)
}
