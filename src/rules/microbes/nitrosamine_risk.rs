//! # An amine with a preservative that frees nitrite
//!
//! An amine (triethanolamine, a fatty amide of ethanolamine) stands in one formula with a preservative that can nitrosate it.
//!
//! ## Why
//! Nitrosamines form in the jar over months; many cause cancer. The law of the EU forbids nitrosating systems together with such amines.
//!
//! ## What to do
//! Neutralize with sodium hydroxide or arginine, or preserve with something that frees no nitrite.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   carbomer                                 0.4 %
//!   triethanolamine                          0.4 %
//!   ^^^^^^^^^^^^^^^ nitrosamines
//!   bronopol                                 0.05 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 6.0 to 6.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   carbomer                                 0.4 %
//!   triethanolamine                          0.4 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};

pub static RULE: Rule = Rule {
    code: "nitrosamine-risk",
    title: "An amine with a preservative that frees nitrite",
    group: Group::Microbes,
    loudest: Severity::Warning,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("nitrosamine_risk.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::pairs::say(ctx, sink);
}
