//! Emulsions and thickeners.

use super::Context;
use crate::model::hlb::{self, Part};

super::rules! {
    no_emulsifier,
    emulsifier_low,
    type_mismatch,
    hlb_mismatch,
    charge_clash,
    salt_thins,
    thickener_ph,
}

fn emulsifiers<'a>(ctx: &'a Context) -> Vec<Part<'a>> {
    hlb::emulsifiers(ctx.formula, ctx.kb)
}

fn held_otherwise(ctx: &Context) -> bool {
    hlb::held_otherwise(ctx.formula, ctx.kb)
}
