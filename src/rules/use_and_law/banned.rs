//! # A substance that a market prohibits
//!
//! The law of a market prohibits this substance in cosmetics. What the European Union prohibits outright is a warning in every other market too, unless that market's own law names the substance.
//!
//! ## Why
//! It was found to harm, or it belongs to medicines. Old books and recipes still name such substances.
//!
//! ## What to do
//! Leave it out. `ingredient NAME` shows what could stand in for it.
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
//!   hydroquinone                             2 %
//!   ^^^^^^^^^^^^ prohibit
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
    code: "banned",
    title: "A substance that a market prohibits",
    group: Group::UseAndLaw,
    loudest: Severity::Error,
    file: include_str!("banned.rs"),
    check,
    is_legal: true,
    can_be_off: false,
    in_soap: true,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::bans::say(ctx, sink, |b| b.in_scope.is_empty() && b.only_scope.is_empty());
    super::bans::say_prohibited_abroad(ctx, sink);
}
