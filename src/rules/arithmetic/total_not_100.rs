//! # The rows do not make 100 %
//!
//! A formula in percent must make exactly 100 %.
//!
//! ## Why
//! What is missing or too much changes every share, and with it limits, label and label order.
//!
//! ## What to do
//! Let one row fill up (`q.s.`, usually the water), or scale all rows to 100.
//!
//! ```formula,bad
//! formula "Lip balm"
//!          ^^^^^^^^ 100.1 %
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30.1 %
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
//!   shea butter    30.1 %
//!   sunflower oil  q.s.
//! ```

use crate::model::{Basis, Row, Total, system};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "total-not-100",
    title: "The rows do not make 100 %",
    group: Group::Arithmetic,
    loudest: Severity::Error,
    yields_to: &["no-room-for-qs", "two-qs", "mixed-units", "given-twice"],
    file: include_str!("total_not_100.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if f.basis != Basis::Percent || f.rows.iter().any(|r| matches!(r.amount.value, Amount::Fill { .. })) {
        return;
    }
    let (line, span) = ctx.heading();
    match f.total {
        Total::Known(sum) if sum != Decimal::ONE_HUNDRED => {
            let over = sum > Decimal::ONE_HUNDRED;
            let difference = (sum - Decimal::ONE_HUNDRED).abs().normalize();
            let message = format!("the rows make {} %, {difference} % too {}", sum.normalize(), if over { "much" } else { "little" });
            sink.say(Subject::Formula, line, span, message).help("They must make exactly 100 %: let one fill up, or scale them all").fixes(fill(ctx, sum)).fixes(scale(ctx, sum));
        }
        // The line that cannot be read has its own message; here only what is certain all the same.
        Total::Unknown { line: unread } => {
            let readable: Decimal = f.rows.iter().filter_map(|r| r.percent).sum();
            if readable > Decimal::ONE_HUNDRED {
                let message = format!("the sum is unknown: line {} cannot be read, and the others make {} % already", unread + 1, readable.normalize());
                sink.say(Subject::Formula, line, span, message).help("Mend that line, and lower the other rows");
            }
        }
        Total::Known(_) => {}
    }
}

/// The largest water row, else the largest row, fills up.
fn fill(ctx: &Context, sum: Decimal) -> Option<Fix> {
    let rows = || ctx.formula.rows.iter().filter(|r| matches!(r.amount.value, Amount::Measured(_)));
    let water = rows().filter(|r| r.id().is_some_and(|id| system::is_water(ctx.kb.get(id)))).max_by_key(|r| r.percent);
    let row = water.or_else(|| rows().max_by_key(|r| r.percent))?;
    // What is no water does not fill a formula of which half is missing.
    let rest = Decimal::ONE_HUNDRED - (sum - row.percent?);
    let fits = rest > Decimal::ZERO && (water.is_some() || rest <= row.percent? * Decimal::TWO);
    fits.then(|| Fix::new(format!("Let {} fill up to 100 % (q.s.)", row.name.value), vec![Edit::replace(row.line, row.amount.span, "q.s.")]))
}

/// All rows by the same factor; the rounding goes to the largest.
fn scale(ctx: &Context, sum: Decimal) -> Option<Fix> {
    let rows: Vec<&Row> = ctx.formula.rows.iter().filter(|r| matches!(r.amount.value, Amount::Measured(_))).collect();
    if rows.len() != ctx.formula.rows.len() || sum.is_zero() {
        return None;
    }
    let share = |r: &&Row| Some(r.percent.unwrap_or_default().checked_mul(Decimal::ONE_HUNDRED)?.checked_div(sum)?.round_dp(4));
    let mut scaled: Vec<Decimal> = rows.iter().map(share).collect::<Option<_>>()?;
    let largest = (0..rows.len()).max_by_key(|n| scaled[*n])?;
    let rest = Decimal::ONE_HUNDRED - scaled.iter().sum::<Decimal>();
    scaled[largest] += rest;
    if scaled.iter().any(|n| *n <= Decimal::ZERO) {
        return None;
    }
    let edits = rows.iter().zip(scaled).map(|(r, n)| Edit::replace(r.line, r.amount.span, format!("{} %", n.normalize()))).collect();
    Some(Fix::new("Bring all rows to 100 %", edits))
}
