//! # Vitamin C with benzoate
//!
//! Free ascorbic acid or one of its salts stands in one formula with benzoic acid or one of its salts.
//!
//! ## Why
//! Traces of iron or copper, light and warmth let the two form traces of benzene, which causes cancer. It was found in soft drinks first. Stable derivatives of vitamin C, benzyl alcohol and the esters of benzoic acid do not do it.
//!
//! ## What to do
//! Use a stable derivative, or another preservative. Where both must stay: a chelator, no metal, cool and dark.
//!
//! ```formula,bad
//! formula "Serum"
//!   product: serum, leave-on
//!   type: gel
//!   pH: 3.5
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   disodium EDTA                            0.1 %
//!   ascorbic acid                            10 %
//!   ^^^^^^^^^^^^^ benzene
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//!   potassium sorbate                        0.3 %
//! ```
//!
//! ```formula,good
//! formula "Serum"
//!   product: serum, leave-on
//!   type: gel
//!   pH: 6.0
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   disodium EDTA                            0.1 %
//!   ascorbyl glucoside                       2 %
//!   xanthan gum                              0.5 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};

pub static RULE: Rule = Rule {
    code: "benzene-risk",
    title: "Vitamin C with benzoate",
    group: Group::Microbes,
    loudest: Severity::Information,
    file: include_str!("benzene_risk.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::pairs::say(ctx, sink);
}
