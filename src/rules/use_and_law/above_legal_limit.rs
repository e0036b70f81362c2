//! # Above a legal limit
//!
//! A market's law allows less of this substance in this kind of product.
//!
//! ## Why
//! The limit is counted as the law counts it: `as acid`, `as zinc`, by molar mass, through blends, solutions and formulas made earlier. Whether it applies depends on what the product is; where the file does not say, the strictest limit is shown as a warning and the message asks for the field.
//!
//! ## What to do
//! Lower it, or change the market or the product. No listed limit exceeded does not mean that a product may be sold: a qualified person assesses that.
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
//!   phenoxyethanol                           1.2 %
//!                                            ^^^^^ 1 %
//! ```
//!
//! ```formula,fixed
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
//!   phenoxyethanol                           1 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};

pub static RULE: Rule = Rule {
    code: "above-legal-limit",
    title: "Above a legal limit",
    group: Group::UseAndLaw,
    loudest: Severity::Error,
    yields_to: &["banned", "restricted-use"],
    file: include_str!("above_legal_limit.rs"),
    check,
    is_legal: true,
    can_be_off: false,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::limits::say(ctx, sink, |seen| !seen.is_family());
}
