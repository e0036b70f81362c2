//! # A dusty powder at the bench
//!
//! A good part of the batch is fine powder, which the maker breathes in while weighing and mixing.
//!
//! ## Why
//! Clays, starches, silica, pigments and powdered surfactants fly. Silica and talc dust harm the lung over the years, surfactant dust stings nose and throat, starch dust burns.
//!
//! ## What to do
//! Wear a dust mask, weigh slowly in still air, wet the powder before stirring fast, sweep up wet.
//!
//! ```formula,bad
//! formula "Bath powder"
//!   product: bath salts, rinse-off
//!   type: powder
//!   sold in: US
//!
//! phase A
//!   magnesium sulfate                        60 %
//!   cornstarch                               40 %
//!   ^^^^^^^^^^ dust mask
//! ```
//!
//! ```formula,good
//! formula "Bath powder"
//!   product: bath salts, rinse-off
//!   type: powder
//!   sold in: US
//!
//! phase A
//!   magnesium sulfate                        90 %
//!   cornstarch                               10 %
//! ```

use super::{cautioned, meant, names, usual_words};
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};

pub static RULE: Rule = Rule {
    code: "caution-dust",
    title: "A dusty powder at the bench",
    group: Group::Cautions,
    loudest: Severity::Information,
    yields_to: &["inhalation", "banned"],
    file: include_str!("caution_dust.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let least = ctx.kb.threshold("dusty-from-percent").value.0;
    let all = meant(ctx, |one| cautioned(one, "dust"));
    let sum: rust_decimal::Decimal = all.iter().map(|m| m.percent).sum();
    let Some(first) = all.first().filter(|_| sum >= least) else { return };
    let r = &ctx.formula.rows[first.row];
    let message = format!(
        "{} fine powder: {}",
        words::percent(sum.round_dp(1)),
        words::several(&names(ctx, &all, 4))
    );
    sink.say(Subject::Row(first.row), r.line, r.name.span, message)
        .help("Wear a dust mask, weigh slowly, and wet the powder before you stir fast")
        .rests_on(&usual_words());
}
