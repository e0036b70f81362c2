//! # Gas in a closed jar
//!
//! A carbonate meets an acid in a product with water.
//!
//! ## Why
//! The two fizz to carbon dioxide, at once and for days after. A closed bottle swells and can burst; the acid and the carbonate are used up. Dry products such as bath bombs are meant to fizz later and are left in peace, so long as they stay dry.
//!
//! ## What to do
//! Neutralize with a hydroxide or an amino acid instead, or keep the two in dry halves.
//!
//! ```formula,bad
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   lactic acid                              0.9 %
//!   baking soda                              0.5 %
//!   ^^^^^^^^^^^ gas
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Face gel"
//!   product: face gel, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   lactic acid                              0.9 %
//!   sodium hydroxide                         0.3 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use super::{cautioned, meant};
use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Ingredient};
use crate::model::system::{self, has_role};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;

pub static RULE: Rule = Rule {
    code: "gas-pressure",
    title: "Gas in a closed jar",
    group: Group::Cautions,
    loudest: Severity::Warning,
    yields_to: &["incompatible"],
    file: include_str!("gas_pressure.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let incidental = ctx.kb.threshold("incidental-share-percent").value.0;
    if f.fields.use_at_once || f.water_percent < incidental {
        return;
    }
    // A solid is bound with a spray of water that dries; it is not kept wet.
    if system::is_solid(f) && f.water_percent <= ctx.kb.threshold("solid-dry-water-percent").value.0
    {
        return;
    }
    let stays = ctx.kb.threshold("carbonate-stays-ph");
    if ctx.ph_allowed().is_some_and(|aim| aim.low >= stays.value.0) {
        return;
    }
    let least = ctx.kb.threshold("gas-from-percent");
    let carbonates = meant(ctx, is_carbonate);
    let Some(c) = carbonates.first().filter(|c| c.percent >= least.value.0) else {
        return;
    };
    // An acid that is added to a pH goes in as far as it takes.
    let to_a_ph = f.rows.iter().position(|r| {
        matches!(r.amount.value, Amount::Enough { ph: Some(_), .. })
            && r.id().is_some_and(|id| is_acid(ctx.kb.get(id)))
    });
    let weighed = meant(ctx, is_acid)
        .first()
        .filter(|a| a.percent >= least.value.0)
        .map(|a| a.row);
    let Some(acid) = weighed.or(to_a_ph) else {
        return;
    };
    let (rc, ra) = (&f.rows[c.row], &f.rows[acid]);
    let message = format!(
        "{} and {} fizz in water, and the gas can burst a closed jar",
        rc.name.value, ra.name.value
    );
    sink.say(Subject::Row(c.row), rc.line, rc.name.span, message)
        .help("Neutralize with a hydroxide or an amino acid instead")
        .rests_on(least)
        .related(ra.line, ra.name.span, "the acid");
}

fn is_carbonate(one: &Ingredient) -> bool {
    cautioned(one, "gas") && (one.id.contains("carbonate"))
}

/// An acid that dissolves in water and is there as an acid.
fn is_acid(one: &Ingredient) -> bool {
    has_role(one, Role::Acid) && matches!(one.dissolves, Some(Dissolves::Water | Dissolves::Both))
}
