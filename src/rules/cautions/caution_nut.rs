//! # Nuts for people with an allergy
//!
//! An oil, meal or protein of a nut is in.
//!
//! ## Why
//! Refined nut oils hold hardly any protein, cold-pressed ones and meals do. People with a nut allergy want to know before they open the jar.
//!
//! ## What to do
//! Print the usual words: "contains almond oil", with the nut by its everyday name, near the front. The law of the market and the person who assesses the product decide. It is information once the file shows that the product is to be sold, before that a hint.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             89.5 %
//!   sweet almond oil                         10 %
//!   ^^^^^^^^^^^^^^^^ allergy
//!   tocopherol                               0.5 %
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

use super::{cautioned, label_level, meant, names, usual_words};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-nut",
    title: "Nuts for people with an allergy",
    group: Group::Cautions,
    loudest: Severity::Information,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("caution_nut.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let least = ctx.kb.threshold("caution-from-percent").value.0;
    let all: Vec<_> = meant(ctx, |one| cautioned(one, "nut")).into_iter().filter(|m| m.percent >= least).collect();
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    let names = names(ctx, &all, 4);
    let message = format!(
        "{} {} from nuts, and people with an allergy want to know",
        words::several(&names),
        words::by_count(names.len(), "comes", "come")
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Name the nut on the front of the label")
        .why("the law of the market and the assessor decide".to_owned())
        .level(label_level(ctx)).rests_on(&usual_words());
}
