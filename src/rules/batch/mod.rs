//! Records of making, the shelf and the ledger. Each rule asks the workshop that the context holds; in a formula they say nothing.

pub mod unknown_formula;
pub mod unknown_ingredient;
mod workshop;

pub use workshop::Workshop;

super::rules! {
    addition_unknown,
    batch_added_hot,
    code_near,
    code_twice,
    combined_cold,
    complaint_person,
    complaint_serious,
    count_off,
    formula_changed,
    git_conflict,
    hold_too_short,
    label_version,
    log_not_understood,
    look_due,
    lot_expired,
    lot_not_here_yet,
    lot_not_released,
    lot_open_too_long,
    lot_other_material,
    lot_short,
    lot_soon,
    lot_unknown,
    no_date,
    no_lot,
    no_ph,
    no_yield,
    not_checked,
    not_hot_enough,
    not_weighed,
    nothing_kept,
    old_version,
    past_date_on_shelf,
    ph_drift,
    ph_off_target,
    ph_way,
    pieces_open,
    plan_off_target,
    released_open,
    row_missing,
    row_not_of_formula,
    sealed_changed,
    separated,
    shelf_life,
    sold_more,
    sold_not_released,
    time_back,
    unit_slip,
    weight_off,
    yield_high,
    yield_low,
}

/// What is still open of batches that were released, by what the other rules found.
pub(super) fn judge_releases(ctx: &super::Context, found: &mut Vec<super::Finding>) {
    released_open::judge(ctx, found);
}
