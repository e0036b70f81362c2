//! # Positive and negative charge in one product
//!
//! A positively charged emulsifier or surfactant meets a negatively charged emulsifier, surfactant or thickener.
//!
//! ## Why
//! Opposite charges pair up and fall out: the cream breaks, the gel lumps, the shampoo clouds. Betaines and simple salts do not count, nor do conditioning polymers in a shampoo: they are made for it. A conditioning polymer next to a gum may cloud, a hint; a carbomer or another gel that stands by its own charges collapses, a warning.
//!
//! ## What to do
//! Keep to one charge, or take nonionic partners.
//!
//! ```formula,bad
//! formula "Hair conditioner"
//!   product: conditioner, rinse-off
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 2 %
//!
//! phase B "oil" at 75 °C
//!   cetearyl alcohol                         4 %
//!   behentrimonium chloride                  2 %
//!   ^^^^^^^^^^^^^^^^^^^^^^^ negative
//!   glyceryl stearate citrate                2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hair conditioner"
//!   product: conditioner, rinse-off
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 2 %
//!
//! phase B "oil" at 75 °C
//!   cetearyl alcohol                         4 %
//!   behentrimonium chloride                  2 %
//!
//! phase C "cool-down" below 40 °C
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::role::Role;
use crate::model::hlb::EmulsifierPart;
use crate::kb::schema::{Charge, Ingredient};
use crate::model::component::ComponentKind;
use crate::model::system::{self, has_role};
use crate::rules::finding::Citation;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "charge-clash",
    title: "Positive and negative charge in one product",
    group: Group::Emulsion,
    loudest: Severity::Warning,
    yields_to: &["incompatible"],
    file: include_str!("charge_clash.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    // In a solid bar nothing is dissolved that could fall out, and in the wash it is thinned at once.
    let f = ctx.formula;
    if system::is_solid(f) && f.water_percent <= ctx.kb.threshold("solid-water-percent").value.0 {
        return;
    }
    let (mut positive, mut negative) = (Vec::new(), Vec::new());
    for part in charged(ctx) {
        match part.entry.charge {
            Some(Charge::Cationic) => positive.push(part),
            Some(Charge::Anionic) => negative.push(part),
            _ => {}
        }
    }
    let largest = |parts: &[EmulsifierPart<'_>], pick: &dyn Fn(&Ingredient) -> bool| {
        parts.iter().filter(|p| pick(p.entry)).max_by(|a, b| a.percent.cmp(&b.percent).then(b.row.cmp(&a.row))).map(|p| p.row)
    };
    let small = |one: &Ingredient| has_role(one, Role::Surfactant) || has_role(one, Role::Emulsifier) && !has_role(one, Role::Polymer);
    let shampoo = largest(&negative, &small).is_some();
    let gel = largest(&negative, &stands_by_charge).filter(|row| !positive.iter().any(|p| p.row == *row));
    let (plus, level) = match largest(&positive, &small) {
        Some(row) => (row, Severity::Warning),
        // A conditioning polymer with a negatively charged gum may cloud; in a shampoo it is meant.
        None if shampoo => return,
        None => match largest(&positive, &|_| true) {
            Some(row) if gel.is_some() => (row, Severity::Warning),
            Some(row) => (row, Severity::Hint),
            None => return,
        },
    };
    let Some(minus) = gel.or_else(|| largest(&negative, &|_| true)).filter(|row| *row != plus) else { return };
    let (p, m) = (&ctx.formula.rows[plus], &ctx.formula.rows[minus]);
    let message = format!(
        "{} is positively charged and {} negatively: they fall out",
        words::brief(&p.name.value),
        words::brief(&m.name.value)
    );
    let said = sink
        .say(Subject::Row(plus), p.line, p.name.span, message)
        .help("Keep to one charge, or take a nonionic partner")
        .level(level)
        .covers([Subject::Row(minus)])
        .related(m.line, m.name.span, "the negative charge");
    if gel.is_some() {
        said.rests_on(&Citation { source: "hpe", at: Some("Carbomer, incompatibilities: cationic polymers"), recheck: false });
    } else {
        said.rests_on(ctx.kb.threshold("charge-counts-percent"));
    }
}

/// Surfactants, emulsifiers, polymers and gums with a charge, from the share at which they count.
fn charged<'a>(ctx: &'a Context) -> impl Iterator<Item = EmulsifierPart<'a>> {
    let least = ctx.kb.threshold("charge-counts-percent").value.0;
    ctx.formula
        .components
        .iter()
        .filter(|s| s.kind != ComponentKind::Constituent)
        .map(|s| EmulsifierPart { entry: ctx.kb.get(s.id), row: s.row, percent: s.typical })
        .filter(move |p| matches!(p.entry.charge, Some(Charge::Cationic | Charge::Anionic)) && p.percent >= least && counts(p.entry))
}

/// A gel of crosslinked polyacrylate: salt thins it, and a polymer of the other charge throws it down.
fn stands_by_charge(one: &Ingredient) -> bool {
    one.bears_salt_percent.is_some() && one.charge == Some(Charge::Anionic)
}

fn counts(one: &Ingredient) -> bool {
    !one.roles.primary_in(&[Role::Preservative, Role::Humectant, Role::Clay, Role::Active, Role::Salt, Role::Booster])
        && one.roles.has_any(&[Role::Surfactant, Role::Emulsifier, Role::Polymer, Role::Gum])
}
