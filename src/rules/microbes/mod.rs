//! Keeping it safe from microbes.

use super::Context;
use crate::kb::schema::Base;
use crate::model::system::Preserving;
use rust_decimal::Decimal;

super::rules! {
    no_preservative,
    preservative_too_low,
    preservative_ph,
}

/// The lowest level at which a preservative is used or was shown to work, with the record that says so.
fn lowest<'a>(ctx: &Context, entry: &'a crate::kb::schema::Ingredient) -> Option<(Decimal, super::finding::RestsOn<'a>)> {
    use super::finding::Sourced;
    let fits = |product: &str| product == "any" || ctx.formula.product.has(product) || !ctx.formula.product.is_said();
    let used = entry.r#use.iter().filter(|u| u.of == Base::Formula && !u.safety && fits(&u.product)).filter_map(|u| Some((u.low?.0, u.rests_on())));
    let worked = entry.preservative.iter().flat_map(|p| &p.effective).filter(|e| e.of == Base::Formula && !e.active_form).map(|e| (e.percent.0, e.rests_on()));
    used.chain(worked).min_by_key(|(low, _)| *low)
}

/// Whether there is enough of it to count; where no level is known, it is taken to be enough.
fn at_level(ctx: &Context, p: &Preserving) -> bool {
    lowest(ctx, p.entry).is_none_or(|(low, _)| p.percent >= low)
}
