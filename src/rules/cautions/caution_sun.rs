//! # Skin grows sensitive to the sun
//!
//! Something in the product makes the skin burn sooner, or undoes its work in the sun.
//!
//! ## Why
//! Hydroxy acids thin the outermost layer for days, also from a mask or peel that is rinsed off; vitamin A and its esters, and some plant extracts, raise the risk in strong sun. Skin brighteners take away the pigment that shields the skin. Trade and authorities advise sun care while such a product is in use. Oils and juices that burn by themselves in sunlight have a rule of their own; in a mask that is rinsed off they are told of here.
//!
//! ## What to do
//! Print the usual words on the label: "may make the skin more sensitive to the sun; use sun protection while using it and for a week after". Whether the label must say so is decided by the law of the market and the person who assesses the product. It is information once the file shows that the product is to be sold (`sold in:` with `fill:`), before that a hint.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   retinal                                  0.05 %
//!   ^^^^^^^ sun
//!   tocopherol                               0.45 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```

use crate::kb::role::Role;
use super::{cautioned, label_level, meant, names, usual_words};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-sun",
    title: "Skin grows sensitive to the sun",
    group: Group::Cautions,
    loudest: Severity::Information,
    file: include_str!("caution_sun.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let product = &ctx.formula.product;
    let rinsed = product.leave_on() == Some(false);
    if rinsed && ["bath", "hair", "soap"].iter().any(|w| product.has(w)) {
        return;
    }
    let least = ctx.kb.threshold("hydroxy-acid-counts-percent").value.0;
    // A mask stays long enough for what burns in sunlight, though the rule about that leaves it alone.
    let stays_a_while = rinsed && ["mask", "peel"].iter().any(|w| product.has(w));
    let all: Vec<_> = meant(ctx, |one| {
        cautioned(one, "sun")
            && if cautioned(one, "phototoxic") { stays_a_while } else { !rinsed || cautioned_acid(one) }
    })
    .into_iter()
    .filter(|m| !cautioned_acid(m.entry) || m.percent >= least)
    .filter(|m| m.entry.phototoxic_max_percent.as_deref().is_none_or(|max| m.percent > max.value.0))
    .collect();
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    let message = format!(
        "{} can make skin more sensitive to the sun",
        words::several(&names(ctx, &all, 4))
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Print the usual words, \"use sun protection while using it and for a week after\"")
        .why("the law of the market and the assessor decide".to_owned())
        .level(label_level(ctx))
        .rests_on(&usual_words());
}

/// Acids that only set the pH do not count.
fn cautioned_acid(one: &crate::kb::schema::Ingredient) -> bool {
    one.roles.primary_in(&[Role::Acid, Role::Exfoliant, Role::Buffer])
}
