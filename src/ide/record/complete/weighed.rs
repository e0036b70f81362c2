//! In `weighed`: the rows of the formula that are not written yet, units behind a figure, lots behind `lot`.

use super::{Typing, lots, name_of, row_item};
use crate::ide::complete::{Completion, CompletionKind, MAX_ITEMS, is_material};
use crate::ide::record::RecordView;
use crate::kb::names::key;
use crate::model::StockItem;
use crate::model::making::Making;
use crate::model::weights::Weights;
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

const UNITS: [(&str, &str); 4] = [
    ("g", "grams"),
    ("kg", "kilograms"),
    ("mg", "milligrams"),
    ("mL", "millilitres: weigh it where you can"),
];

pub(super) fn offer(view: &RecordView, typing: &Typing) -> Option<Vec<Completion>> {
    if let Some((head, typed)) = typing.lot() {
        let by_name = || StockItem::of(name_of(head), false, &view.snapshot.path, view.kb());
        let item = row_item(view, typing.line).unwrap_or_else(by_name);
        return Some(lots(view, typing, &item, typed));
    }
    let typed = typing.before.trim_start();
    let behind_name = typed.contains("  ") || typed.contains('\t');
    if behind_name {
        return Some(typing.units(&UNITS).unwrap_or_default());
    }
    let rows = rows(view, typing);
    if is_material(view.kb(), typed) || typed.is_empty() && !typing.invoked {
        return Some(Vec::new());
    }
    let known = |name: &str| rows.iter().any(|r| key(&r.name) == key(name));
    let stock = in_stock(view, typing, &known);
    let typed_key = key(typed);
    let is_new = |name: &str| typed_key.is_empty() || key(name).contains(&typed_key);
    if !rows
        .iter()
        .map(|r| &r.name)
        .chain(&stock)
        .any(|n| is_new(n))
    {
        // Some other material: what the base knows.
        return None;
    }
    let nothing_follows = typing.text[typing.before.len()..].trim().is_empty();
    Some(typing.list_here(typed, &|list| {
        for row in &rows {
            let insert = match nothing_follows {
                true => &row.text,
                false => &row.name,
            };
            list.add(
                &row.name,
                CompletionKind::Ingredient,
                &row.detail,
                insert,
                None,
            );
        }
        for name in &stock {
            list.add(
                name,
                CompletionKind::Ingredient,
                "in stock, not in the formula",
                name,
                None,
            );
        }
        list.out.truncate(MAX_ITEMS);
    }))
}

/// A row of the formula that is not written yet, as it is to be written.
struct Row {
    name: String,
    detail: String,
    text: String,
}

fn rows(view: &RecordView, typing: &Typing) -> Vec<Row> {
    let Some(making) = view.making_on(typing.line) else {
        return Vec::new();
    };
    let Some(plan) = making.plan else {
        return Vec::new();
    };
    let written = |item: &StockItem| {
        making
            .record
            .weighed
            .iter()
            .any(|w| w.line != typing.line && w.item == *item)
    };
    let missing = plan.rows.iter().filter(|r| !written(&r.item));
    missing
        .map(|row| {
            let grams = planned(view, &making, &row.item);
            let lot = view
                .lots_for(&row.item, view.day_of(making.record))
                .into_iter()
                .next()
                .filter(|_| !row.item.is_water(view.kb()));
            let of = grams.map_or(String::new(), |g| format!(" of {g} g"));
            let from = lot
                .as_ref()
                .map_or(String::new(), |u| format!("   lot {}", u.lot.code));
            let detail = [
                grams.map(|g| format!("{g} g")),
                lot.map(|u| format!("lot {}", u.lot.code)),
            ];
            let name = match row.item {
                StockItem::Made(_) => format!("\"{}\"", row.name),
                _ => row.name.clone(),
            };
            Row {
                text: format!("{name}  ?{of}{from}"),
                detail: detail.into_iter().flatten().collect::<Vec<_>>().join(", "),
                name,
            }
        })
        .collect()
}

/// The weight of a material in the batch, on the scale of the settings, so that all rows add up to the target.
fn planned(view: &RecordView, making: &Making, item: &StockItem) -> Option<Decimal> {
    let plan = making.plan?;
    let scale = view.snapshot.settings.scale_g(view.kb());
    let weights = Weights::of(&plan.formula, making.record.target_g, scale);
    let rows = plan.formula.rows.iter().zip(&weights.rows);
    let of_it = rows.filter(|(r, _)| {
        !matches!(r.amount.value, Amount::Enough { .. })
            && StockItem::of_row(r, &plan.path) == *item
    });
    of_it
        .map(|(_, g)| *g)
        .try_fold(Decimal::ZERO, |sum, g| sum.checked_add(g?))
}

/// Names of what is in stock and neither written nor in the formula.
fn in_stock(view: &RecordView, typing: &Typing, known: &dyn Fn(&str) -> bool) -> Vec<String> {
    let making = view.making_on(typing.line);
    let written = |item: &StockItem| {
        making.as_ref().is_some_and(|m| {
            m.record
                .weighed
                .iter()
                .any(|w| w.line != typing.line && w.item == *item)
        })
    };
    let day = making
        .as_ref()
        .map_or(view.today(), |m| view.day_of(m.record));
    let lots = view.shop.all_usable_lots(day, view.kb());
    let mut names: Vec<String> = lots
        .iter()
        .filter(|u| u.lot.pieces.is_none() && !written(&u.lot.item) && !known(&u.lot.name))
        .map(|u| match u.lot.item {
            StockItem::Made(_) => format!("\"{}\"", u.lot.name),
            _ => u.lot.name.clone(),
        })
        .collect();
    names.sort();
    names.dedup();
    names
}
