//! # A value that the field does not know
//!
//! The field is known, what stands in it is not.
//!
//! ## Why
//! The value decides which limits and which checks apply. A guess would be silent and perhaps wrong.
//!
//! ## What to do
//! Take one of the values that the message names.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip blam
//!            ^^^^^^^^ lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```
//!
//! ```formula,fixed
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "unknown-value",
    title: "A value that the field does not know",
    group: Group::Writing,
    loudest: Severity::Warning,
    file: include_str!("unknown_value.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    for p in &ctx.formula.problems {
        let asked = match p.near.as_slice() {
            [] => p.help.clone(),
            near => format!("Did you mean {}?", near.iter().map(|n| format!("\"{n}\"")).collect::<Vec<_>>().join(" or ")),
        };
        let fixes = p.near.iter().map(|n| Fix::new(format!("Change to \"{n}\""), vec![Edit::replace(p.line, p.span, n.clone())]));
        sink.say(Subject::Line(p.line), p.line, p.span, p.message.clone()).help(asked).fixes(fixes);
    }
}
