//! # Near the eyes
//!
//! A product for the eyes holds something that stings or sensitizes there.
//!
//! ## Why
//! Essential oils, menthol, strong acids and positively charged surfactants sting in the eye, and the thin skin around it takes offence sooner. Preservatives within their limits are not counted. Essential oils, menthol and camphor have no place at the eyes: a warning.
//!
//! ## What to do
//! Leave it out near the eyes, or print the usual words: "avoid contact with the eyes; rinse with water if it gets in". The law of the market and the person who assesses the product decide.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   use: eye
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   lavender oil                             0.3 %
//!   ^^^^^^^^^^^^ eye
//!   tocopherol                               0.2 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   use: eye
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```

use crate::kb::role::Role;
use super::{cautioned, label_level, meant, names, usual_words};
use crate::kb::schema::Ingredient;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-eye",
    title: "Near the eyes",
    group: Group::Cautions,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("caution_eye.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    if !ctx.formula.product.has("eye") {
        return;
    }
    let least = ctx.kb.threshold("caution-from-percent").value.0;
    let all: Vec<_> = meant(ctx, stings).into_iter().filter(|m| m.percent >= least).collect();
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    // Volatile oils reach the eye even where the product does not.
    let level = if all.iter().any(|m| is_volatile(m.entry)) { Severity::Warning } else { label_level(ctx) };
    let message = format!(
        "{} can sting in the eye and around it",
        words::several(&names(ctx, &all, 4))
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Leave it out, or print the usual words, \"avoid contact with the eyes\"")
        .why("the law of the market and the assessor decide".to_owned())
        .level(level)
        .rests_on(&usual_words());
}

fn is_volatile(one: &Ingredient) -> bool {
    one.roles.primary_is(Role::EssentialOil) || one.roles.primary_is(Role::Aroma) && one.roles.has(Role::Cooling)
}

fn stings(one: &Ingredient) -> bool {
    let first = |role: Role| one.roles.primary_is(role);
    let aroma = first(Role::EssentialOil) || first(Role::Aroma) || first(Role::Fragrance);
    (aroma || cautioned(one, "eye")) && !first(Role::Preservative) && !first(Role::Booster)
}
