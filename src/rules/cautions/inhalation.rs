//! # Fine particles that are breathed in
//!
//! Fine minerals or powders stand in a product that makes dust or mist.
//!
//! ## Why
//! From a propellant spray or a loose powder fine particles reach deep into the lung and stay there. Titanium dioxide, zinc oxide, silica, talc and carbon black are judged more strictly there than in a cream; some markets bar some of them in sprays, and that is said by the rules of law. A propellant spray, and a loose powder for children under three, who cannot turn their heads away, are a warning; a loose powder for adults is information.
//!
//! ## What to do
//! Press the powder, bind it with an oil, take a pump instead of a propellant, or have the inhaled share assessed by a qualified person.
//!
//! ```formula,bad
//! formula "Dry shampoo"
//!   product: dry shampoo, leave-on
//!   type: powder
//!   form: loose powder
//!   sold in: US
//!
//! phase A
//!   arrowroot powder                         80 %
//!   kaolin                                   20 %
//!   ^^^^^^ breathed in
//! ```
//!
//! ```formula,good
//! formula "Clay salve"
//!   product: balm, leave-on
//!   type: anhydrous
//!   sold in: US
//!
//! phase A
//!   caprylic/capric triglyceride             80 %
//!   kaolin                                   20 %
//! ```

use super::{cautioned, meant, names};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "inhalation",
    title: "Fine particles that are breathed in",
    group: Group::Cautions,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("inhalation.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let form = if f.product.has("propellant-spray") {
        "propellant spray"
    } else if f.product.has("loose-powder") && !f.product.has("pressed-powder") {
        "loose powder"
    } else {
        return;
    };
    let least = ctx.kb.threshold("inhaled-from-percent");
    let all = meant(ctx, |one| cautioned(one, "inhalation") && cautioned(one, "dust"));
    let dusty = meant(ctx, |one| cautioned(one, "dust"));
    let sum: rust_decimal::Decimal = all.iter().map(|m| m.percent).sum();
    let Some(first) = all.first().filter(|_| sum >= least.value.0) else { return };
    let r = &f.rows[first.row];
    let message = format!(
        "{} in a {form} can be breathed in and stay in the lung",
        words::several(&names(ctx, &all, 4))
    );
    let level = if f.product.has("propellant-spray") || f.product.has("under-3") { Severity::Warning } else { Severity::Information };
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Press it, bind it or take a pump, and have a qualified person assess what is breathed in")
        .level(level)
        .rests_on(least).covers(dusty.iter().map(|m| Subject::Row(m.row)));
}
