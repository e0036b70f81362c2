//! Emulsions and thickeners.

use super::Context;
use crate::kb::Id;
use crate::kb::schema::{Charge, Ingredient};
use crate::model::composition::ShareOf;
use crate::model::system::{has_role, is_oily};
use rust_decimal::Decimal;

super::rules! {
    no_emulsifier,
    emulsifier_low,
    type_mismatch,
    hlb_mismatch,
    charge_clash,
    salt_thins,
    thickener_ph,
}

/// A material that plays a part here: which row, how much of the formula.
#[derive(Clone, Copy)]
struct Part<'a> {
    entry: &'a Ingredient,
    row: usize,
    percent: Decimal,
}

/// What holds the emulsion, row by row. A blend sold as an emulsifier counts as a whole, any other row by its parts.
fn emulsifiers<'a>(ctx: &'a Context) -> Vec<Part<'a>> {
    // Fatty alcohols and acids that help along are counted among the oils.
    let is = |one: &Ingredient| (has_role(one, "emulsifier") || has_role(one, "co-emulsifier")) && !is_oily(one);
    let whole: Vec<Option<Id>> = ctx.formula.rows.iter().map(|r| r.id().filter(|id| is(ctx.kb.get(*id)))).collect();
    let mut out: Vec<Part> = ctx
        .formula
        .shares
        .iter()
        .filter(|s| s.what != ShareOf::Constituent && !s.usual.is_zero())
        .filter(|s| match whole[s.row] {
            Some(id) => s.id == id,
            None => s.what == ShareOf::Substance && is(ctx.kb.get(s.id)),
        })
        .map(|s| Part { entry: ctx.kb.get(s.id), row: s.row, percent: s.usual })
        .collect();
    out.sort_by_key(|p| p.row);
    out
}

/// Emulsions that hold by something else than an emulsifier with a level of its own: soap formed in place, lanolin, lecithin,
/// surfactants and swelling polymers.
fn held_otherwise(ctx: &Context) -> bool {
    let soap = no_emulsifier::soap_in_place(ctx) || no_emulsifier::holds_by_itself(ctx);
    let polymer = ctx.formula.shares.iter().any(|s| {
        let one = ctx.kb.get(s.id);
        s.what != ShareOf::Constituent
            && (has_role(one, "surfactant") || has_role(one, "soap") || has_role(one, "polymer") && one.charge == Some(Charge::Anionic))
    });
    soap || polymer
}
