//! # Lye and other caustic stuff at the bench
//!
//! A strong base or acid is weighed out, or so much fruit acid that it comes at a strength that burns.
//!
//! ## Why
//! Sodium and potassium hydroxide and strong acids burn skin and eyes within seconds; lye in water heats up to boiling. In the finished product they are used up, unless it is made to be caustic.
//!
//! ## What to do
//! Goggles, gloves, long sleeves. Weigh it last, into the vessel that it goes in. Lye and acid into cold water, never water onto them. Vinegar is no first aid, much water is.
//!
//! ```formula,bad
//! formula "Vanishing cream"
//!   product: face cream, leave-on
//!   type: oil-in-water
//!   pH: 6.5 to 7.0
//!   sold in: US
//!
//! phase A at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   potassium hydroxide                      0.8 %
//!   ^^^^^^^^^^^^^^^^^^^ burns skin and eyes
//!
//! phase B at 75 °C
//!   stearic acid                             16 %
//!   cetyl alcohol                            1 %
//!
//! phase C below 40 °C
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Vanishing cream"
//!   product: face cream, leave-on
//!   type: oil-in-water
//!   pH: 6.5 to 7.0
//!   sold in: US
//!
//! phase A at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   potassium hydroxide                      0.1 %
//!
//! phase B at 75 °C
//!   stearic acid                             16 %
//!   cetyl alcohol                            1 %
//!
//! phase C below 40 °C
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::kb::role::Role;
use super::{cautioned, meant, usual_words};
use crate::kb::schema::Ingredient;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-caustic",
    title: "Lye and other caustic stuff at the bench",
    group: Group::Cautions,
    loudest: Severity::Information,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("caution_caustic.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let (least, fruit) = (
        ctx.kb.threshold("caustic-from-percent").value.0,
        ctx.kb.threshold("caustic-fruit-acid-percent").value.0,
    );
    let mut all = meant(ctx, |one| {
        cautioned(one, "caustic") && one.composition.is_empty() && one.preservative.is_none()
    });
    // Vinegar is no acetic acid: what is thinned already is handled as it is.
    all.retain(|m| {
        ctx.formula.rows[m.row]
            .id()
            .is_some_and(|id| ctx.kb.get(id).id == m.entry.id)
    });
    let enough = |m: &&super::Meant| {
        if is_strong(m.entry) {
            m.percent >= least
        } else {
            is_fruit_acid(m.entry) && m.percent >= fruit
        }
    };
    let Some(first) = all.iter().find(enough) else {
        return;
    };
    let r = &ctx.formula.rows[first.row];
    let message = format!(
        "{} burns skin and eyes",
        words::dosed(first.percent, &r.name.value)
    );
    let base = first.entry.roles.primary_is(Role::Base);
    let what = if base { "lye" } else { "acid" };
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help(format!("Goggles and gloves; weigh it last, and pour {what} into cold water, never water onto {what}"))
        .rests_on(&usual_words());
}

/// Bases and acids that are there for their strength.
fn is_strong(one: &Ingredient) -> bool {
    one.roles.primary_is(Role::Base) || one.roles.primary_is(Role::Acid) && !one.roles.has(Role::Exfoliant)
}

/// Acids of peels: dissolved in the product they are mild, as they are sold they burn.
fn is_fruit_acid(one: &Ingredient) -> bool {
    one.roles.has(Role::Exfoliant)
}
