//! One line above each batch: how far the weighing is and what comes next.

use super::{RecordView, lot_words};
use crate::ide::lens::Lens;
use crate::model::making::Making;
use crate::model::record::Actual;
use crate::rules::words::capital;
use rust_decimal::Decimal;

pub fn lenses(view: &RecordView) -> Vec<Lens> {
    let of = |making: Making| {
        Some(Lens {
            line: making.record.line,
            title: title(view, &making)?,
        })
    };
    view.makings().filter_map(of).collect()
}

fn title(view: &RecordView, making: &Making) -> Option<String> {
    if view.shop.jars(making.record, None).filled > 0 {
        return Some(lot_words::batch(view, making.record));
    }
    let rows: Vec<_> = making.rows().collect();
    let waits = rows.iter().find(|r| matches!(r.actual, Actual::NotYet));
    let (mut done, mut is, mut planned) = (0, Decimal::ZERO, Decimal::ZERO);
    for row in &rows {
        match row.actual {
            Actual::Grams(g) => {
                done += 1;
                is += g;
                planned += making.planned_g(row)?;
            }
            Actual::NotYet => {}
            // Nothing true can be said of the sum.
            Actual::Pieces(_) | Actual::Unreadable => return None,
        }
    }
    if rows.is_empty() {
        return None;
    }
    if let Some(next) = waits {
        let off = is - planned;
        let way = if off < Decimal::ZERO { "under" } else { "over" };
        return Some(format!(
            "{done} of {} weighed, {} g {way} plan; next: {}",
            rows.len(),
            off.abs(),
            next.name.value
        ));
    }
    let sum = format!("All weighed: {is} g of {planned} g.");
    let next = making.next_steps(u32::MAX).into_iter().next();
    Some(match next {
        Some(step) => format!("{sum} {}.", capital(step.words.trim_end_matches('.'))),
        None => sum,
    })
}
