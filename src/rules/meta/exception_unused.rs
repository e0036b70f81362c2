//! # An exception that does nothing
//!
//! Nothing on this line is reported under this code.
//!
//! ## Why
//! An exception left behind would silence the next fault.
//!
//! ## What to do
//! Take it away.
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
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %  # except banned: old note
//!                                                   ^^^^^^^^^^^^^^^^^^^^^^^^^ nothing
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

use crate::rules::{Group, Rule, Severity};

pub static RULE: Rule = Rule {
    code: "exception-unused",
    title: "An exception that does nothing",
    group: Group::Meta,
    loudest: Severity::Hint,
    file: include_str!("exception_unused.rs"),
    check: super::said_by_the_engine,
    can_be_excepted: false,
    ..Rule::DEFAULT
};
