//! # A little oil in a watery product, and nothing that holds it
//!
//! Fragrance, essential oil, vitamin E or another oil stands in a toner, gel or spray of water without a solubilizer.
//!
//! ## Why
//! It floats up, clings to the glass, and the first drops out are all oil: on skin or in the eye. Solubilizers, surfactants, emulsifiers and soaps count; so does alcohol from 60 %. Two-phase products, scrubs, bath products and what is shaken before use are left in peace.
//!
//! ## What to do
//! Mix the oil with four to ten times as much solubilizer, then stir the water in; or take a hydrosol; or declare `type: two-phase` and have it shaken.
//!
//! ```formula,bad
//! formula "Toner"
//!   product: toner, leave-on
//!   type: solution
//!   pH: 5.0 to 5.4
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   lavender oil                             0.2 %
//!   ^^^^^^^^^^^^ solubilizer
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Toner"
//!   product: toner, leave-on
//!   type: solution
//!   pH: 5.0 to 5.4
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   lavender oil                             0.2 %
//!   polysorbate 20                           1.6 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{Charge, Dissolves, Ingredient};
use crate::model::preservation::alcohol_percent;
use crate::model::system::{self, System};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "needs-solubilizer",
    title: "A little oil in a watery product, and nothing that holds it",
    group: Group::HeatAndPhase,
    loudest: Severity::Warning,
    yields_to: &["no-emulsifier"],
    file: include_str!("needs_solubilizer.rs"),
    check,
    ..Rule::DEFAULT
};

/// Any of these takes up a little oil.
const HOLDS: [Role; 4] = [Role::Solubilizer, Role::Surfactant, Role::Emulsifier, Role::Soap];
/// Not oils that part, whatever they dissolve in.
const SOLID: &[Role] = &[Role::Powder, Role::Pigment, Role::Pearl, Role::Clay, Role::Abrasive, Role::UvFilter, Role::Wax, Role::FattyAcid, Role::FattyAlcohol, Role::Preservative, Role::Booster];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    // In a paste of clay or powder oil does not float: the powder takes it up.
    let powder = system::percent_where(f, ctx.kb, |one| one.roles.primary_in(&[Role::Clay, Role::Powder, Role::Abrasive, Role::Pigment]));
    if powder >= ctx.kb.threshold("paste-powder-percent").value.0 {
        return;
    }
    if ctx.system() != System::Watery || f.has_unknown || ["scrub", "bath"].iter().any(|w| f.product.has(w)) || shaken(ctx) {
        return;
    }
    if HOLDS.iter().any(|r| system::any_with_role(f, ctx.kb, *r))
        || f.components.iter().any(|s| is_quat(ctx.kb.get(s.id)))
        || alcohol_percent(f, ctx.kb) >= ctx.kb.threshold("alcohol-dissolves-oils-percent").value.0
    {
        return;
    }
    let oils: Vec<(usize, Decimal)> = f
        .rows
        .iter()
        .enumerate()
        .filter(|(_, r)| r.id().is_some_and(|id| is_oil(ctx.kb.get(id))))
        .filter_map(|(n, r)| Some((n, r.percent?)))
        .collect();
    let sum: Decimal = oils.iter().map(|(_, p)| *p).sum();
    if sum <= ctx.kb.threshold("solubilizer-from-percent").value.0 || dissolves_in_water(ctx, &oils) {
        return;
    }
    let Some((largest, _)) = oils.iter().copied().max_by_key(|(n, p)| (*p, std::cmp::Reverse(*n))) else { return };
    let row = &f.rows[largest];
    let others: Vec<&str> = oils.iter().filter(|(n, _)| *n != largest).map(|(n, _)| f.rows[*n].name.value.as_str()).collect();
    // A polymer may hold the drops for a while.
    let held = system::any_with_role(f, ctx.kb, Role::Polymer);
    let (level, what) = if held {
        (Severity::Hint, "Try whether the polymer holds it, or add a solubilizer")
    } else {
        (Severity::Warning, "Stir it into four to ten times as much solubilizer first, or it will float")
    };
    let message = format!("{}: {} oil, and nothing that holds oil in water", row.name.value, words::percent(sum));
    let said = sink.say(Subject::Row(largest), row.line, row.name.span, message).help(what).level(level);
    let said = if others.is_empty() { said } else { said.why(format!("{} counts too", words::list(&others))) };
    said.covers(oils.iter().map(|(n, _)| Subject::Row(*n)));
}

/// A conditioner of positive charge holds oil as a surfactant does; panthenol and proteins condition and hold none.
fn is_quat(one: &Ingredient) -> bool {
    one.charge == Some(Charge::Cationic) && system::has_role(one, Role::Conditioner)
}

fn is_oil(one: &Ingredient) -> bool {
    let solid = one.roles.primary_in(SOLID);
    one.dissolves == Some(Dissolves::Oil) && !solid && one.composition.is_empty()
}

/// So little of each that the water dissolves it.
fn dissolves_in_water(ctx: &Context, oils: &[(usize, Decimal)]) -> bool {
    let water = ctx.formula.water_percent;
    oils.iter().all(|(n, percent)| {
        let id = ctx.formula.rows[*n].id();
        let most = id.and_then(|id| ctx.kb.get(id).solubility.iter().find(|s| s.r#in == "water").map(|s| s.g_per_100g.0));
        most.is_some_and(|m| *percent <= m * (water / Decimal::ONE_HUNDRED))
    })
}

/// The file says somewhere that it is shaken before use.
fn shaken(ctx: &Context) -> bool {
    ctx.tree.lines.iter().any(|at| at.line.text.to_lowercase().contains("shake"))
}
