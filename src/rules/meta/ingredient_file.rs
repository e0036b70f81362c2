//! # An ingredient file of your own that is not sound
//!
//! A file in `ingredients/` cannot be read, or says something that cannot be.
//!
//! ## Why
//! The checks are those of the bundled knowledge base: known keys, valid CAS digits, low below high, sources that exist, blends that make 100 %. A faulty file is left out whole.
//!
//! ## What to do
//! Mend the line that the message names.
//!
//! ```toml
//! id = "meadow-blend"
//! names = ["meadow blend"]
//! composition = [{ of = "shea-butter", percent = 60 }, { of = "sunflower-oil", percent = 40 }]
//! ```

use crate::rules::{Group, Rule, Severity};

pub static RULE: Rule = Rule {
    code: "ingredient-file",
    title: "An ingredient file of your own that is not sound",
    group: Group::Meta,
    loudest: Severity::Error,
    file: include_str!("ingredient_file.rs"),
    check: super::said_by_the_engine,
    can_be_excepted: false,
    ..Rule::DEFAULT
};
