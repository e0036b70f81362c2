//! # For small children
//!
//! A product for children under three holds something that is customarily kept from them.
//!
//! ## Why
//! Menthol, camphor and eucalyptus oil can stop the breath of small children; salicylates and borates go through their skin; the longer parabens are barred from the nappy area in some markets. Camphor, menthol and eucalyptol that are added by themselves are a warning, mouth care excepted: since 2008 an agency advises against them below three years.
//!
//! ## What to do
//! Leave it out of products for small children. The law of the market and the person who assesses the product decide.
//!
//! ```formula,bad
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   for: under 3
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   menthol                                  0.3 %
//!   ^^^^^^^ children
//!   tocopherol                               0.2 %
//! ```
//!
//! ```formula,good
//! formula "Body oil"
//!   product: body oil, leave-on
//!   type: anhydrous
//!   for: under 3
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             99.5 %
//!   tocopherol                               0.5 %
//! ```

use super::{cautioned, meant, names, usual_words};
use crate::rules::fixes;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-child",
    title: "For small children",
    group: Group::Cautions,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use", "above-legal-limit", "family-above-limit"],
    file: include_str!("caution_child.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    if !ctx.formula.product.has("under-3") {
        return;
    }
    let least = ctx.kb.threshold("caution-from-percent").value.0;
    let all = meant(ctx, |one| cautioned(one, "child"));
    let Some(first) = all.first() else { return };
    let r = &ctx.formula.rows[first.row];
    let names = names(ctx, &all, 4);
    let message = format!(
        "{} {} usually kept from children under three",
        words::several(&names),
        words::by_count(names.len(), "is", "are")
    );
    let help = format!("Leave {} out", words::by_count(names.len(), "it", "them"));
    // What children bear of it when other materials bring it along: by itself it is not added.
    let named = |m: &super::Meant| m.entry.skin_max.iter().any(|s| s.scope.iter().any(|w| w == "under-3"));
    let level = if !ctx.formula.product.has("oral") && all.iter().any(|m| m.percent >= least && named(m)) { Severity::Warning } else { Severity::Information };
    let fix = (all.len() == 1).then(|| fixes::leave_out(ctx, first.row)).flatten();
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help(help)
        .why("the law of the market and the assessor decide".to_owned())
        .level(level)
        .rests_on(&usual_words())
        .fixes(fix);
}
