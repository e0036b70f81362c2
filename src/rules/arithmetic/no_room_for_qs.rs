//! # Nothing is left for the filling row
//!
//! The other rows make 100 % or more, or a formula by weight does not say what `q.s.` fills up to.
//!
//! ## Why
//! `q.s.` is the rest. There is none.
//!
//! ## What to do
//! Lower other rows. In a formula by weight write the whole: `q.s. to 1000 g`.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        40 %
//!   shea butter    65 %
//!   sunflower oil  q.s.
//!                  ^^^^ 105 %
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

use crate::model::{Basis, Row};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "no-room-for-qs",
    title: "Nothing is left for the filling row",
    group: Group::Arithmetic,
    loudest: Severity::Error,
    yields_to: &["two-qs", "mixed-units", "given-twice"],
    file: include_str!("no_room_for_qs.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let fills: Vec<(usize, &Row)> = f.rows.iter().enumerate().filter(|(_, r)| matches!(r.amount.value, Amount::Fill { .. })).collect();
    let [(n, row)] = fills[..] else { return };
    let Amount::Fill { to } = row.amount.value else { return };
    let unit = if f.basis == Basis::Parts { "parts" } else { "g" };
    let subject = Subject::Row(n);
    match (f.basis, to) {
        (Basis::Percent, _) => {
            let others: Decimal = f.rows.iter().enumerate().filter(|(m, _)| *m != n).filter_map(|(_, r)| r.percent).sum();
            if others >= Decimal::ONE_HUNDRED {
                let message = format!("no room for {}: the other rows make {} % already", row.name.value, others.normalize());
                sink.say(subject, row.line, row.amount.span, message).help("Lower them to less than 100 %").covers([Subject::Formula]);
            }
        }
        (Basis::Weight | Basis::Parts, None) => {
            let message = "by weight, q.s. needs the whole that it fills up to";
            // The batch that the file asks for, where the other rows leave room in it.
            let others: Option<Decimal> = f.rows.iter().enumerate().filter(|(m, _)| *m != n).map(|(_, r)| grams(r)).sum();
            let whole = f.fields.batch.as_ref().map(|b| b.value.normalize()).filter(|b| f.basis == Basis::Weight && others.is_some_and(|o| o < *b));
            let fix = whole.map(|b| Fix::new(format!("Fill up to the batch of {b} g"), vec![Edit::replace(row.line, row.amount.span, format!("q.s. to {b} g"))]));
            sink.say(subject, row.line, row.amount.span, message).help(format!("Write \"q.s. to 100 {unit}\"")).covers([Subject::Formula]).fixes(fix);
        }
        (Basis::Weight, Some(_)) if row.percent == Some(Decimal::ZERO) => {
            let message = format!("no room for {}: the other rows weigh that much already", row.name.value);
            sink.say(subject, row.line, row.amount.span, message).help("Lower them, or raise the whole").covers([Subject::Formula]);
        }
        _ => {}
    }
}

fn grams(row: &Row) -> Option<Decimal> {
    match row.amount.value {
        Amount::Measured(m) => m.unit.grams().and_then(|g| m.value.checked_mul(g)),
        _ => None,
    }
}
