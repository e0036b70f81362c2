//! # Better not in pregnancy
//!
//! Something in a product that stays on is customarily avoided in pregnancy.
//!
//! ## Why
//! Vitamin A and its kin are kept low because high doses harm the unborn child; for salicylic acid at higher levels and for some essential oils the trade advises the same, out of caution more than from proof.
//!
//! ## What to do
//! Print the usual words: "not during pregnancy or breast-feeding without asking your doctor". The law of the market and the person who assesses the product decide. It is information once the file shows that the product is to be sold, before that a hint.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   retinol                                  0.05 %
//!   ^^^^^^^ pregnancy
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
    code: "caution-pregnancy",
    title: "Better not in pregnancy",
    group: Group::Cautions,
    loudest: Severity::Information,
    yields_to: &["banned", "restricted-use", "above-legal-limit", "family-above-limit"],
    file: include_str!("caution_pregnancy.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    if ctx.formula.product.leave_on() == Some(false) {
        return;
    }
    let least = ctx.kb.threshold("caution-from-percent").value.0;
    let vitamin = |m: &super::Meant| m.entry.roles.has(Role::Vitamin);
    // What stands in a preservative is there at the level of a preservative, which the law holds down.
    let preserves = |m: &super::Meant| {
        let row = &ctx.formula.rows[m.row];
        row.purpose.as_ref().is_some_and(|p| p.value == "preservative")
            || row.id().is_some_and(|id| ctx.kb.get(id).preservative.is_some() && ctx.kb.get(id).id != m.entry.id)
    };
    let all: Vec<_> = meant(ctx, |one| cautioned(one, "pregnancy"))
        .into_iter()
        .filter(|m| vitamin(m) || m.percent >= least && !preserves(m))
        .collect();
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    let names = names(ctx, &all, 4);
    let message = format!(
        "{} {} usually avoided in pregnancy",
        words::several(&names),
        words::by_count(names.len(), "is", "are")
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Print the usual words, \"not during pregnancy or breast-feeding without asking your doctor\"")
        .why("the law of the market and the assessor decide".to_owned())
        .level(label_level(ctx)).rests_on(&usual_words());
}
