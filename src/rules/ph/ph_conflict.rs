//! # Two that have no pH in common
//!
//! Two materials each need a pH, and no pH suits both; or the pH that a row is brought to lies outside the `pH:` of the formula.
//!
//! ## Why
//! One of them will not work or not last, whatever the pH is.
//!
//! ## What to do
//! Replace one of them.
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
//!   lactic acid 10 %                         q.s. to pH 4.2, about 1 %
//!                                            ^^^^^^^^^^^^^^^^^^^^^^^^^ 5 to 5.4
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
//!   lactic acid 10 %                         q.s. to pH 5.2, about 1 %
//!   benzyl alcohol (and) dehydroacetic acid  0.9 %
//! ```

use crate::kb::schema::Range;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "ph-conflict",
    title: "Two that have no pH in common",
    group: Group::Ph,
    loudest: Severity::Error,
    file: include_str!("ph_conflict.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    row_against_field(ctx, sink);
    let windows = super::windows(ctx);
    let (mut highest_low, mut lowest_high) = (None, None);
    for (n, b) in windows.iter().enumerate() {
        let clashes = b
            .range
            .high
            .is_some_and(|h| highest_low.is_some_and(|l| h < l))
            || b.range
                .low
                .is_some_and(|l| lowest_high.is_some_and(|h| h < l));
        highest_low = highest_low.max(b.range.low);
        lowest_high = match (lowest_high, b.range.high) {
            (Some(a), Some(b)) => Some(std::cmp::min(a, b)),
            (a, b) => a.or(b),
        };
        // The first that clashes with an earlier one is enough.
        if let Some(a) = windows[..n]
            .iter()
            .find(|a| clashes && apart(a.range, b.range))
        {
            let (r, other) = (&ctx.formula.rows[b.row], &ctx.formula.rows[a.row]);
            let message = format!(
                "no pH suits both: {} {} at pH {}, {} {} at pH {}",
                ctx.called(b.id),
                b.verb,
                words::range(b.range),
                ctx.called(a.id),
                a.verb,
                words::range(a.range)
            );
            sink.say(Subject::Row(b.row), r.line, r.name.span, message)
                .help("Replace one of the two")
                .covers([Subject::Row(a.row)])
                .rests_on(a.range)
                .rests_on(b.range)
                .related(
                    other.line,
                    other.name.span,
                    format!("{} at pH {}", a.verb, words::range(a.range)),
                );
            return;
        }
    }
}

fn apart(a: &Range, b: &Range) -> bool {
    let over =
        |low: &Range, high: &Range| matches!((low.high, high.low), (Some(h), Some(l)) if h < l);
    over(a, b) || over(b, a)
}

/// `q.s. to pH` must lie inside `pH:`.
fn row_against_field(ctx: &Context, sink: &mut Sink) {
    let Some(field) = &ctx.formula.fields.ph else {
        return;
    };
    for (n, row) in ctx.formula.rows.iter().enumerate() {
        if let Amount::Enough { ph: Some(ph), .. } = row.amount.value
            && !(field.value.0..=field.value.1).contains(&ph.value)
        {
            let aim = super::asked(field.value.0, field.value.1);
            let message = format!(
                "this row goes to pH {}, and \"pH:\" asks for {aim}",
                ph.value.normalize()
            );
            let middle = ((field.value.0 + field.value.1) / Decimal::TWO)
                .round_dp(1)
                .clamp(field.value.0, field.value.1)
                .normalize();
            sink.say(Subject::Row(n), row.line, row.amount.span, message)
                .help("Make the two agree")
                .related(field.line, field.span, "asked for here")
                .fix(Fix::new(
                    format!("Bring it to pH {middle}"),
                    vec![Edit::replace(row.line, ph.span, middle.to_string())],
                ));
        }
    }
}
