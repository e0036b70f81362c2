//! # An exception without its reason
//!
//! `# except CODE: reason` silences one rule on one line. The reason is missing.
//!
//! ## Why
//! Next year nobody remembers.
//!
//! ## What to do
//! Write why.
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
//!   glycerin                                 1 %   # except repeated-ingredient
//!                                                  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^ reason
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
//!   glycerin                                 1 %   # except repeated-ingredient: weighed with the gum
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::rules::{Group, Rule, Severity};

pub static RULE: Rule = Rule {
    code: "exception-without-reason",
    title: "An exception without its reason",
    group: Group::Meta,
    loudest: Severity::Warning,
    file: include_str!("exception_without_reason.rs"),
    check: super::said_by_the_engine,
    can_be_excepted: false,
    ..Rule::DEFAULT
};
