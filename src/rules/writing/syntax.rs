//! # A line that cannot be read
//!
//! A line says something that the language does not know.
//!
//! ## Why
//! Every line stands alone, so a slip costs this line and no other. What it held is not counted: a sum over it would be false.
//!
//! ## What to do
//! Write the line as the message says. A row is a name, at least one blank, and an amount: `glycerin  5 %`.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  25-30 %
//!                  ^^^^^ range
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink};
use crate::syntax::tree::ErrorCode;

pub static RULE: Rule = Rule {
    code: "syntax",
    title: "A line that cannot be read",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("syntax.rs"),
    check,
    can_be_off: false,
    can_be_excepted: false,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    super::reading::errors(ctx, sink, ErrorCode::Syntax);
}
