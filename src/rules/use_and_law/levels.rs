//! Usual levels of use: which of them fit this product, and what they are as a share of the formula.

use crate::kb::schema::{Ingredient, UseBasis, UseLevel};
use crate::rules::Context;
use rust_decimal::Decimal;

/// The levels for this product; those for any product where none is for this one.
pub(super) fn fitting<'a>(ctx: &Context, entry: &'a Ingredient) -> Vec<&'a UseLevel> {
    let own: Vec<&UseLevel> = entry
        .r#use
        .iter()
        .filter(|u| ctx.formula.product.has(&u.product))
        .collect();
    let any = || entry.r#use.iter().filter(|u| u.product == "any");
    // Nothing said of the product: the widest of all.
    if !ctx.formula.product.is_said() {
        return entry.r#use.iter().collect();
    }
    if own.is_empty() {
        any().collect()
    } else {
        own.into_iter().chain(any()).collect()
    }
}

/// A share of the oil or water phase as a share of the formula.
pub(super) fn of_formula(ctx: &Context, u: &UseLevel, n: Decimal) -> Option<Decimal> {
    match u.of {
        UseBasis::Formula => Some(n),
        _ if ctx.formula.has_unknown => None,
        UseBasis::OilPhase => Some(n * (ctx.formula.oil_percent / Decimal::ONE_HUNDRED)),
        UseBasis::WaterPhase => {
            Some(n * ((Decimal::ONE_HUNDRED - ctx.formula.oil_percent) / Decimal::ONE_HUNDRED))
        }
    }
}
