//! Records of making, the shelf and the ledger. Each rule asks the workshop that the context holds; in a formula they say nothing.

pub mod unknown_formula;
pub mod unknown_ingredient;
mod workshop;

pub use workshop::Workshop;

super::rules! {
    batch_added_hot,
    code_twice,
    combined_cold,
    formula_changed,
    git_conflict,
    log_not_understood,
    lot_expired,
    lot_not_here_yet,
    lot_not_released,
    lot_other_material,
    lot_short,
    lot_soon,
    lot_unknown,
    no_date,
    no_lot,
    no_ph,
    no_yield,
    not_hot_enough,
    not_weighed,
    nothing_kept,
    old_version,
    past_date_on_shelf,
    ph_drift,
    ph_off_target,
    pieces_open,
    plan_off_target,
    row_missing,
    row_not_of_formula,
    separated,
    sold_more,
    sold_not_released,
    time_back,
    unit_slip,
    weight_off,
    yield_high,
    yield_low,
}
