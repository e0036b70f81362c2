//! A lot or a batch in one line.

use super::RecordView;
use crate::model::StockItem;
use crate::model::record::{DecisionKind, Record, decided};
use crate::model::shelf::Lot;
use crate::model::shop::{Held, UsableLot};
use crate::rules::words::readable;
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use std::path::Path;

/// "431 g left, best before 2028-01-31".
pub fn left_words(view: &RecordView, usable: &UsableLot) -> String {
    let left = amount(view, usable.lot, usable.left);
    match usable.until {
        Some(date) => format!("{left} left, best before {date}"),
        None => format!("{left} left"),
    }
}

fn amount(view: &RecordView, lot: &Lot, amount: Decimal) -> String {
    let unit = match view.shop.held(lot) {
        Held::Pieces(_) => "pieces",
        Held::Grams(_) | Held::Unknown => "g",
    };
    format!("{} {unit}", readable(amount))
}

/// What a lot is, until when it keeps, what is left of it and where it went.
pub fn lot(view: &RecordView, lot: &Lot) -> String {
    let mut parts = vec![of(view, lot), lot.code.clone()];
    if let Some(theirs) = &lot.supplier_lot {
        parts.push(format!("supplier's lot {theirs}"));
    }
    match view.shop.keeps_until(lot) {
        Some((date, by)) if by == lot.code => parts.push(format!("best before {date}")),
        Some((date, by)) => parts.push(format!("best before {date} through {by}")),
        None => {}
    }
    let left = view.shop.left(lot, None, view.kb());
    match left.amount {
        Some(a) if a < Decimal::ZERO => {
            parts.push(format!(
                "{} more taken than there was",
                amount(view, lot, -a)
            ));
        }
        Some(a) if left.unsure => parts.push(format!("at most {} left", amount(view, lot, a))),
        Some(a) => parts.push(format!("{} left", amount(view, lot, a))),
        None => parts.push("what is left is not known".to_owned()),
    }
    if let Some(d) =
        decided(&lot.decisions, Some(view.today())).filter(|d| d.kind != DecisionKind::Released)
    {
        parts.push(d.kind.words().to_owned());
    }
    parts.extend(batches(view, &lot.code));
    parts.join(", ")
}

/// "in 9 batches, 3 of them on sale": through lots made here too.
fn batches(view: &RecordView, code: &str) -> Option<String> {
    let trace = view.shop.trace(code)?;
    let all: BTreeSet<(&Path, u32)> = trace
        .batches
        .iter()
        .map(|b| (b.record.path.as_path(), b.record.line))
        .collect();
    if all.is_empty() {
        return None;
    }
    let on_sale = trace.batches.iter().filter(|b| is_on_sale(view, b.record));
    let batches = if all.len() == 1 { "batch" } else { "batches" };
    let mut said = format!("in {} {batches}", all.len());
    match on_sale.count() {
        0 => {}
        n => said.push_str(&format!(", {n} of them on sale")),
    }
    Some(said)
}

/// Jars of it are on the shelf, and nobody has put them aside.
fn is_on_sale(view: &RecordView, record: &Record) -> bool {
    let put_aside = decided(&record.decisions, Some(view.today()))
        .is_some_and(|d| d.kind != DecisionKind::Released);
    !put_aside && view.shop.jars(record, None).here > 0
}

fn of(view: &RecordView, lot: &Lot) -> String {
    match &lot.item {
        StockItem::Known { .. } | StockItem::Named(_) => lot.name.clone(),
        StockItem::Made(file) => match view.shop.batch(lot.from.as_deref().unwrap_or_default()) {
            Some(batch) => format!("\"{}\" made as {}", lot.name, batch.code()),
            None => format!(
                "\"{}\"",
                file.file_name()
                    .map_or(lot.name.clone().into(), |f| f.to_string_lossy())
            ),
        },
    }
}

/// What became of a batch: "38 of 48 sold, 2 kept, 8 on the shelf, best before 2027-01-31, released by Ana".
pub fn batch(view: &RecordView, record: &Record) -> String {
    let mut parts = Vec::new();
    let jars = view.shop.jars(record, None);
    if jars.filled > 0 {
        parts.push(format!("{} of {} sold", jars.sold, jars.filled));
        for (n, word) in [
            (jars.kept, "kept"),
            (jars.spoilt, "spoilt"),
            (jars.given, "given away"),
            (jars.thrown, "thrown away"),
        ] {
            if n != 0 {
                parts.push(format!("{n} {word}"));
            }
        }
        parts.push(format!("{} on the shelf", jars.here));
    } else if let Some(grams) = record.size_g() {
        let lots: Vec<&str> = view
            .shop
            .lots_made_in(record.code())
            .map(|l| l.code.as_str())
            .collect();
        parts.push(format!("{} g", readable(grams)));
        if !lots.is_empty() {
            parts.push(format!("kept as {}", lots.join(", ")));
        }
    }
    if record.void {
        parts.push("void".to_owned());
    }
    if let Some((date, by)) = view.shop.batch_keeps_until(record) {
        let through = if by == record.code() {
            String::new()
        } else {
            format!(" through {by}")
        };
        parts.push(format!("best before {date}{through}"));
    }
    if let Some(d) = decided(&record.decisions, Some(view.today())) {
        let by = match d.decision.by.as_str() {
            "" => String::new(),
            by => format!(" by {by}"),
        };
        parts.push(format!("{}{by}", d.kind.words()));
    }
    parts.join(", ")
}
