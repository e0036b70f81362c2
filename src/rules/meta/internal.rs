//! # A rule failed
//!
//! A rule of the program met something that it was not made for, and said nothing.
//!
//! ## Why
//! This is a fault of the program, not of your formula. The other rules stand.
//!
//! ## What to do
//! Tell the makers of the program which formula it was.

use crate::rules::{Group, Rule, Severity};

pub static RULE: Rule = Rule {
    code: "internal",
    title: "A rule failed",
    group: Group::Meta,
    loudest: Severity::Warning,
    file: include_str!("internal.rs"),
    check: super::said_by_the_engine,
    can_be_excepted: false,
    ..Rule::DEFAULT
};
