//! # A family together above its legal limit
//!
//! Each of these substances is within its limit; the law limits their sum.
//!
//! ## Why
//! Related substances add up in the body: two parabens, two salts of one acid.
//!
//! ## What to do
//! Lower one of them. The message stands on the largest and names the others.
//!
//! ```formula,bad
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   propylparaben                            0.1 %
//!                                            ^^^^^ 0.14 %
//!   butylparaben                             0.1 %
//! ```
//!
//! ```formula,good
//! formula "Hand gel"
//!   product: hand cream, leave-on
//!   type: gel
//!   pH: 4.5 to 4.8
//!   sold in: EU
//!
//! phase A
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   xanthan gum                              0.5 %
//!   sodium benzoate                          0.5 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};

pub static RULE: Rule = Rule {
    code: "family-above-limit",
    title: "A family together above its legal limit",
    group: Group::UseAndLaw,
    loudest: Severity::Error,
    yields_to: &["banned", "above-legal-limit"],
    file: include_str!("family_above_limit.rs"),
    check,
    is_legal: true,
    can_be_off: false,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::limits::say(ctx, sink, |seen| seen.is_family());
}
