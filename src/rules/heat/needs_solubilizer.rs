//! # A little oil in a watery product, and nothing that holds it
//!
//! Fragrance, essential oil, vitamin E or another oil stands in a toner, gel or spray of water without a solubilizer.
//!
//! ## Why
//! It floats up, clings to the glass, and the first drops out are all oil: on skin or in the eye. Solubilizers, surfactants, emulsifiers and soaps count; so does alcohol from 60 %. Two-phase products, scrubs and what is shaken before use are left in peace. From a third of alcohol and glycols a little oil may dissolve: a hint to try it.
//!
//! In bath salts, bombs and powders it is essential oils that count: salt holds none, so they float on the bath undiluted and burn where they touch. A solubilizer holds them; so does three times as much fixed oil, which thins them.
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
    if f.product.has("bath") {
        in_the_bath(ctx, sink);
        return;
    }
    // In a paste of clay or powder oil does not float: the powder takes it up.
    let powder = system::percent_where(f, ctx.kb, |one| one.roles.primary_in(&[Role::Clay, Role::Powder, Role::Abrasive, Role::Pigment]));
    if powder >= ctx.kb.threshold("paste-powder-percent").value.0 {
        return;
    }
    if ctx.system() != System::Watery || f.has_unknown || f.product.has("scrub") || shaken(ctx) {
        return;
    }
    if HOLDS.iter().any(|r| system::any_with_role(f, ctx.kb, *r))
        || f.components.iter().any(|s| is_quat(ctx.kb.get(s.id)))
        || solvents(ctx, &DISSOLVES_OILS) >= ctx.kb.threshold("alcohol-dissolves-oils-percent").value.0
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
    let spirits = solvents(ctx, &DISSOLVES_OILS) + solvents(ctx, &HELPS_DISSOLVE);
    let dissolves = spirits >= ctx.kb.threshold("alcohol-dissolves-some-percent").value.0
        && sum <= ctx.kb.threshold("alcohol-dissolves-some-oil-percent").value.0;
    let (level, what) = if dissolves {
        (Severity::Hint, "Try whether it stays clear in so much alcohol, or add a solubilizer")
    } else if held {
        (Severity::Hint, "Try whether the polymer holds it, or add a solubilizer")
    } else {
        (Severity::Warning, "Stir it into four to ten times as much solubilizer first, or it will float")
    };
    let message = format!("{}: {} oil, and nothing that holds oil in water", row.name.value, words::percent(sum));
    let said = sink.say(Subject::Row(largest), row.line, row.name.span, message).help(what).level(level);
    let said = if others.is_empty() { said } else { said.why(format!("{} counts too", words::list(&others))) };
    said.covers(oils.iter().map(|(n, _)| Subject::Row(*n)));
}

/// Liquids that dissolve oils, and those that help them to.
const DISSOLVES_OILS: [&str; 7] = ["alcohol", "alcohol-denat", "isopropyl-alcohol", "propyl-alcohol", "acetone", "ethyl-acetate", "butyl-acetate"];
const HELPS_DISSOLVE: [&str; 6] = ["propanediol", "propylene-glycol", "butylene-glycol", "pentylene-glycol", "hexylene-glycol", "dipropylene-glycol"];

fn solvents(ctx: &Context, ids: &[&str]) -> Decimal {
    ids.iter().filter_map(|id| ctx.kb.by_id(id)).map(|id| ctx.formula.percent_of(id)).sum()
}

/// Essential oils in what is thrown into the bath: nothing in salt or powder holds them.
fn in_the_bath(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.has_unknown || ctx.system() == System::Anhydrous || HOLDS.iter().any(|r| system::any_with_role(f, ctx.kb, *r)) || shaken(ctx) {
        return;
    }
    let mut oils: Vec<(usize, Decimal)> = Vec::new();
    for (n, row) in f.rows.iter().enumerate() {
        let Some(entry) = row.id().map(|id| ctx.kb.get(id)) else { continue };
        if let Some(percent) = row.percent.filter(|_| entry.roles.primary_is(Role::EssentialOil)) {
            oils.push((n, percent));
        }
    }
    let sum: Decimal = oils.iter().map(|(_, p)| *p).sum();
    let least = ctx.kb.threshold("bath-oils-from-percent");
    let thinned = f.oil_percent >= sum * ctx.kb.threshold("bath-oils-thinned-times").value.0;
    let Some((largest, _)) = oils.iter().copied().max_by_key(|(n, p)| (*p, std::cmp::Reverse(*n))).filter(|_| sum >= least.value.0 && !thinned) else { return };
    let row = &f.rows[largest];
    let message = format!("{}: {} essential oil, and nothing that spreads it in the bath: it floats on the water and burns skin", row.name.value, words::percent(sum));
    let said = sink
        .say(Subject::Row(largest), row.line, row.name.span, message)
        .help("Stir it into four times as much solubilizer first, or into ten times as much oil")
        .rests_on(least)
        .covers(oils.iter().map(|(n, _)| Subject::Row(*n)));
    let others: Vec<&str> = oils.iter().filter(|(n, _)| *n != largest).map(|(n, _)| f.rows[*n].name.value.as_str()).collect();
    if !others.is_empty() {
        said.why(format!("{} counts too", words::list(&others)));
    }
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
