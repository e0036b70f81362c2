//! # A setting that is not understood
//!
//! `phasewright.toml` has a key or a value that is not known.
//!
//! ## Why
//! The setting does not apply; the default does.
//!
//! ## What to do
//! The settings are `markets`, `scale`, `room`, `exclude` with files that are not looked at, `[severity]` with a code and a level in each line, `[batch] code`, and `[workshop]` with `release`, `two-people` and `jars`: what the workshop keeps written, so that a missing line is worth a word. What is wrong costs its own key alone: all others hold.
//!
//! ```toml
//! markets = ["EU", "UK"]
//! scale = "0.01 g"
//! room = "20 °C"
//!
//! [severity]
//! no-chelator = "off"
//!
//! [workshop]
//! release = true
//! two-people = true
//! jars = true
//! ```

use crate::rules::{Group, Rule, Severity};

pub static RULE: Rule = Rule {
    code: "settings",
    title: "A setting that is not understood",
    group: Group::Meta,
    loudest: Severity::Error,
    file: include_str!("settings.rs"),
    check: super::said_by_the_engine,
    can_be_excepted: false,
    ..Rule::DEFAULT
};
