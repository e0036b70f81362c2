//! # The amount written does not reach the pH
//!
//! A row goes to a pH, and the amount written behind it is far from what that takes.
//!
//! ## Why
//! The amount behind `about` counts in the sum, in the limits of the law and on the weigh sheet. Where 8 % of lye are needed and 1 % is written, all of them are wrong, and the product stays as acid as it was. What it takes is worked out from the acids and bases of the formula; it is an estimate, so only an amount that is off by three times or more is looked at.
//!
//! ## What to do
//! Write about as much as the message says, add it in small parts and read the pH.
//!
//! ```formula,bad
//! formula "Foot gel"
//!   product: foot cream, leave-on
//!   type: gel
//!   pH: 4.8 to 5.2
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.8 %
//!   citric acid                              1.2 %
//!   sodium hydroxide                         q.s. to pH 5.0, about 0.02 %
//!                                            ^^^^^^^^^^^^^^^^^^^^^^^^^^^^ takes about
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```
//!
//! ```formula,good
//! formula "Foot gel"
//!   product: foot cream, leave-on
//!   type: gel
//!   pH: 4.8 to 5.2
//!   sold in: US
//!
//! phase A
//!   water                                    q.s.
//!   xanthan gum                              0.8 %
//!   citric acid                              1.2 %
//!   sodium hydroxide                         q.s. to pH 5.0, about 0.4 %
//!   phenoxyethanol (and) ethylhexylglycerin  0.9 %
//! ```

use crate::chem::float;
use crate::model::acidity;
use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "amount-off-ph",
    title: "The amount written does not reach the pH",
    group: Group::Ph,
    loudest: Severity::Information,
    file: include_str!("amount_off_ph.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let asks = |amount: Amount| match amount {
        Amount::Enough {
            ph: Some(ph),
            about: Some(_),
            ..
        } => Some(ph.value),
        _ => None,
    };
    let mut to_a_ph = f
        .rows
        .iter()
        .enumerate()
        .filter_map(|(n, r)| Some((n, asks(r.amount.value)?, r.percent?)));
    // Of two such rows neither amount is known.
    let (Some((n, ph, written)), None) = (to_a_ph.next(), to_a_ph.next()) else {
        return;
    };
    if f.has_unknown || written.is_zero() {
        return;
    }
    let acidity = acidity::of(f, ctx.kb);
    let Some(predicted) = acidity.useful_prediction() else {
        return;
    };
    let target = float(ph);
    if (predicted.low..=predicted.high).contains(&target) {
        return;
    }
    let Some(Ok(more)) = acidity.estimate_more(&f.rows[n], ctx.kb) else {
        return;
    };
    let factor = ctx.kb.threshold("dose-off-factor");
    let takes = float(written) + more;
    if takes < float(written) * factor.value.f64() {
        return;
    }
    let r = &f.rows[n];
    let takes = Decimal::try_from(takes)
        .ok()
        .and_then(|t| t.round_sf(2))
        .unwrap_or_default();
    let message = format!(
        "to reach pH {} it takes about {} of {}, and {} is written",
        words::number(ph, 2),
        words::percent(takes),
        r.name.value,
        words::percent(written)
    );
    sink.say(Subject::Row(n), r.line, r.amount.span, message)
        .help("Write about as much, add it in small parts and read the pH")
        .why("worked out from the acids and bases of the formula, an estimate".to_owned())
        .rests_on(factor);
}
