//! # An amount that is zero or less
//!
//! An amount is nothing, or less than nothing.
//!
//! ## Why
//! A row of 0 % is on the label and not in the jar.
//!
//! ## What to do
//! Leave the row out, or put a `#` before it to keep it as a remark.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//!   jojoba oil     0 %
//!                  ^^^ 0 %
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
//!   # jojoba oil     0 %
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "not-positive",
    title: "An amount that is zero or less",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("not_positive.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        if let Amount::Measured(m) = row.amount.value
            && m.value <= Decimal::ZERO
        {
            let message = format!("{} is not an amount that can be weighed", shown(m.value, m.unit.symbol()));
            let keep = Fix::new("Keep the row as a remark", vec![Edit { start: (row.line, row.name.span.start), end: (row.line, row.name.span.start), text: "# ".into() }]);
            sink.say(Subject::Row(n), row.line, row.amount.span, message).help("Write what goes in, or leave the row out").fix(keep);
        }
    }
}

fn shown(n: Decimal, unit: &str) -> String {
    format!("{} {unit}", n.normalize())
}
