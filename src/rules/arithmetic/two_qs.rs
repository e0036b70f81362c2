//! # Two rows that fill up
//!
//! Two rows are `q.s.` to the whole.
//!
//! ## Why
//! How the rest is shared between them is not said.
//!
//! ## What to do
//! Give one of them an amount. `q.s. to pH` and `q.s., about 0.5 %` are no second filling.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    q.s.
//!   sunflower oil  q.s.
//!                  ^^^^ shea butter
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
//!   sunflower oil  q.s.
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;

pub static RULE: Rule = Rule {
    code: "two-qs",
    title: "Two rows that fill up",
    group: Group::Arithmetic,
    loudest: Severity::Error,
    yields_to: &["given-twice"],
    file: include_str!("two_qs.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let mut fills = ctx.formula.rows.iter().enumerate().filter(|(_, r)| matches!(r.amount.value, Amount::Fill { .. }));
    let Some((_, first)) = fills.next() else { return };
    for (n, row) in fills {
        let message = format!("only one row can fill up, and {} does already (line {})", first.name.value, first.line + 1);
        sink.say(Subject::Row(n), row.line, row.amount.span, message)
            .help("Give one of them an amount")
            .covers([Subject::Formula])
            .related(first.line, first.amount.span, "the first that fills up");
    }
}
