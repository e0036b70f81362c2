//! Rows of `weighed`: how far a weight is from its plan, and what is left in the lot.

use super::{HintWords, RecordView};
use crate::kb::role::Role;
use crate::model::StockItem;
use crate::model::making::Making;
use crate::model::record::{Actual, Weighed};
use crate::model::shop::UsableLot;
use rust_decimal::Decimal;

pub fn hint(view: &RecordView, making: &Making, row: &Weighed) -> Option<HintWords> {
    match row.actual {
        Actual::NotYet => short_lot(view, making, row),
        Actual::Grams(grams) => against_plan(view, making, row, grams),
        Actual::Pieces(_) | Actual::Unreadable => None,
    }
}

/// How far a weight may be from its plan before it is worth a word: a part of it, and never below two steps of the scale.
pub fn tolerance(view: &RecordView, item: Option<&StockItem>, planned: Decimal) -> Decimal {
    let kb = view.kb();
    let preserves = item
        .and_then(StockItem::id)
        .is_some_and(|id| kb.get(id).roles.has(Role::Preservative));
    let id = match preserves || item.is_none() {
        true => "weight-off-percent-preservative",
        false => "weight-off-percent",
    };
    let percent = kb.threshold(id).value.0;
    let steps = view.snapshot.settings.scale_g(kb) * Decimal::TWO;
    (planned * percent / Decimal::ONE_HUNDRED).max(steps)
}

fn against_plan(
    view: &RecordView,
    making: &Making,
    row: &Weighed,
    grams: Decimal,
) -> Option<HintWords> {
    let planned = making.planned_g(row)?;
    let off = grams.checked_sub(planned)?;
    if off.is_zero() {
        return None;
    }
    let tooltip = format!("Planned: {planned} g");
    let to_go = -off;
    if to_go > tolerance(view, Some(&row.item), planned) {
        return Some(HintWords::new(format!("{to_go} g to go"), tooltip));
    }
    let sign = if off > Decimal::ZERO { "+" } else { "" };
    Some(HintWords::new(format!("{sign}{off} g"), tooltip))
}

/// A row that its lot cannot fill.
pub(super) struct Short<'a> {
    pub code: &'a str,
    /// Of the material of the row.
    pub gives: Decimal,
    pub missing: Decimal,
    /// Other lots of it, the first to expire first.
    pub others: Vec<UsableLot<'a>>,
}

pub(super) fn short<'a>(
    view: &RecordView<'a>,
    making: &Making,
    row: &'a Weighed,
) -> Option<Short<'a>> {
    if row.actual != Actual::NotYet {
        return None;
    }
    let planned = making.planned_g(row)?;
    let written = &row.lot.as_ref()?.value;
    let lot = view.shop.lot(written)?;
    let share = row.item.share_of(&lot.item, view.kb())?;
    let left = view.shop.left(lot, None, view.kb()).amount?;
    let gives = left.max(Decimal::ZERO).checked_div(share)?;
    if gives >= planned {
        return None;
    }
    let day = view.day_of(making.record);
    let mut others = view.lots_for(&row.item, day);
    others.retain(|u| u.lot.code != lot.code);
    Some(Short {
        code: written,
        gives,
        missing: planned - gives,
        others,
    })
}

fn short_lot(view: &RecordView, making: &Making, row: &Weighed) -> Option<HintWords> {
    let short = short(view, making, row)?;
    let code = short.code;
    let left = match short.gives.is_zero() {
        true => format!("Nothing left in {code}"),
        false => format!("{} g left in {code}", grams(short.gives, row)),
    };
    let rest = if short.gives.is_zero() {
        "it"
    } else {
        "the rest"
    };
    let text = match short.others.first() {
        Some(other) => format!("{left}: take {rest} from {}", other.lot.code),
        None => format!("{left}: {} g missing", grams(short.missing, row)),
    };
    let tooltip = "What was bought, less what batches and the ledger took".to_owned();
    Some(HintWords::new(text, tooltip))
}

/// With the digits that the row is planned with.
pub(super) fn grams(g: Decimal, row: &Weighed) -> Decimal {
    let places = row.planned_g.map_or(2, |p| p.scale());
    let mut g = g.round_dp(places.max(g.normalize().scale().min(2)));
    g.rescale(places.max(g.normalize().scale()));
    g
}
