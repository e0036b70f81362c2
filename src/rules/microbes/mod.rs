//! Keeping it safe from microbes.

use super::Context;
use crate::kb::role::Role;
use crate::kb::schema::Ingredient;
use crate::model::effective_level::{self, Level};
use crate::model::reach::is_booster;
use crate::model::system::{self, Preserving};
use rust_decimal::Decimal;

mod pairs;
mod unknown_rows;

pub(super) use preservative_ph::highest_ph;

super::rules! {
    no_preservative,
    preservative_too_low,
    preservative_ph,
    preservative_inactivated,
    spectrum_gap,
    no_chelator,
    not_a_preservative,
    kitchen_ingredient,
    benzene_risk,
    nitrosamine_risk,
}

/// What to do about a preservative that fails while another one does the work.
const CARRIED: &str = "Keep it or leave it out: another preservative carries the product";

/// Percent of fresh food that is mostly water: milk, juice, tea.
fn watery_food_percent(ctx: &Context) -> Decimal {
    *ctx.facts
        .watery_food
        .get_or_init(|| system::percent_where(ctx.formula, ctx.kb, is_watery_food))
}

/// Fresh food or a home infusion; dried kitchen goods are powders.
fn is_watery_food(one: &Ingredient) -> bool {
    let dry = one.roles.has_any(&[Role::Powder, Role::Abrasive]);
    one.roles.primary_is(Role::Kitchen) && !dry
}

/// Rows that makers take for a preservative, with what they do instead.
fn mistaken<'a>(ctx: &'a Context) -> impl Iterator<Item = (usize, &'static str)> + 'a {
    ctx.formula
        .rows
        .iter()
        .enumerate()
        .filter_map(|(n, r)| Some((n, does_instead(ctx.kb.get(r.id()?))?)))
}

/// What a material that passes for a preservative does.
fn does_instead(one: &Ingredient) -> Option<&'static str> {
    if one.preservative.is_some() {
        return None;
    }
    match one.id.as_str() {
        "grapefruit-seed-extract" => return Some("protects only by what was added to it"),
        "rosemary-leaf-extract" => return Some("slows rancidity and stops no microbe"),
        _ => {}
    }
    match one.roles.primary()? {
        Role::Antioxidant => Some("slows rancidity and stops no microbe"),
        Role::EssentialOil => Some("does not protect at a level that skin bears"),
        Role::Honey => Some("keeps only undiluted, and in water feeds microbes"),
        _ => None,
    }
}

/// The lowest level at which a preservative counts, with the record that says so.
fn lowest<'a>(
    ctx: &Context,
    entry: &'a Ingredient,
) -> Option<(Decimal, super::finding::Citation<'a>)> {
    use super::finding::Cited;
    let (low, level) = effective_level::least(ctx.formula, ctx.kb, entry)?;
    let record = match level {
        Level::Used(level) => level.rests_on(),
        Level::Shown(study) => study.rests_on(),
    };
    Some((low, record))
}

/// Whether there is enough of it to count; where no level is known, it is taken to be enough.
fn at_level(ctx: &Context, p: &Preserving) -> bool {
    effective_level::counts(ctx.formula, ctx.kb, p)
}
