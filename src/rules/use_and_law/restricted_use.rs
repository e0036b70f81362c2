//! # Not allowed in this kind of product
//!
//! The law of a market allows this substance, but not in a product like this one.
//!
//! ## Why
//! What is harmless when rinsed off may not be when it stays; what is harmless on skin may not be when breathed in.
//!
//! ## What to do
//! Take another material, or change what the product is. Where the file does not say what decides, this is a warning that asks for the field.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   methylisothiazolinone                    0.0015 %
//!   ^^^^^^^^^^^^^^^^^^^^^ rinse-off
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};

pub static RULE: Rule = Rule {
    code: "restricted-use",
    title: "Not allowed in this kind of product",
    group: Group::UseAndLaw,
    loudest: Severity::Error,
    yields_to: &["banned"],
    file: include_str!("restricted_use.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::bans::say(ctx, sink, |b| !b.in_scope.is_empty() || !b.only_scope.is_empty());
}
