//! # Lye and other caustic stuff at the bench
//!
//! A strong base or acid is weighed out.
//!
//! ## Why
//! Sodium and potassium hydroxide and strong acids burn skin and eyes within seconds; lye in water heats up to boiling. In the finished product they are used up.
//!
//! ## What to do
//! Goggles, gloves, long sleeves; lye into cold water and never water onto lye; vinegar is no first aid, much water is.
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
//!   ^^^^^^^^^^^^^^^^^^^ goggles
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
};

fn check(ctx: &Context, sink: &mut Sink) {
    let least = ctx.kb.threshold("caustic-from-percent").value.0;
    let all = meant(ctx, |one| cautioned(one, "caustic") && one.composition.is_empty() && is_strong(one));
    let Some(first) = all.first().filter(|m| m.percent >= least) else { return };
    let r = &ctx.formula.rows[first.row];
    let message = format!(
        "{} is caustic while you weigh and dissolve it",
        words::dosed(first.percent, &r.name.value)
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Wear goggles and gloves, and put lye into cold water, never water onto lye")
        .rests_on(&usual_words());
}

/// Bases and acids that are there for their strength; fruit acids and preservatives are cautioned elsewhere.
fn is_strong(one: &Ingredient) -> bool {
    let first = |role: Role| one.roles.primary_is(role);
    one.preservative.is_none() && (first(Role::Base) || first(Role::Acid) && !one.roles.has(Role::Exfoliant))
}
