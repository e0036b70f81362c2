//! # A weight is ten times off, or a thousand
//!
//! A weight stands at ten, a hundred or a thousand times its plan, or at that part of it.
//!
//! ## Why
//! A slip of the unit or of the point is the likeliest cause: kg for g, 2.5 for 25. If it is true, the batch is not what the formula says.
//!
//! ## What to do
//! Look at the scale and the note again. Correct it with `was`, or throw the batch away.
//!
//! ```stock
//! lot GLY-07 of glycerin
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 1 kg for 9.40 EUR
//!
//! lot PAN-05 of panthenol
//!   received: 2026-01-10
//!   best before: 2026-12-31
//!   bought: 100 g for 12 EUR
//!
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//! ```
//! ```formula
//! formula "Hand gel"
//!   version: 4
//!   product: hand gel, leave-on
//!   pH: 5.0 to 5.5
//!
//! phase A "gel" at 75 °C
//!   water     q.s.
//!   glycerin  5 %
//!
//! phase B "cool-down" below 40 °C
//!   panthenol  1 %
//!
//! phase C "pH" below 40 °C
//!   lactic acid 10 %  q.s. to pH 5.2, about 1 %
//! ```
//! ```batch,bad
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   1.25 g of 12.50 g   lot GLY-07
//!              ^^^^^^ 1/10
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 231.1 g
//! ```
//!
//! ```batch,good
//! batch HG-001 of "hand-gel.formula" version 4
//!   made: 2026-03-14
//!   target: 250 g
//!
//! weighed
//!   water     232.50 g of 232.50 g
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::Actual;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "unit-slip",
    title: "A weight is ten times off, or a thousand",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("unit_slip.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (_, row) in w.rows() {
        let (Actual::Grams(actual), Some(planned)) = (row.actual, row.planned_g) else {
            continue;
        };
        if planned.is_zero() || actual.is_zero() {
            continue;
        }
        let (more, less) = (actual / planned, planned / actual);
        let slip = [10u32, 100, 1000].into_iter().find_map(|n| {
            let near = |x: Decimal| {
                let n = Decimal::from(n);
                (x - n).abs() <= n / Decimal::TEN
            };
            if near(more) {
                Some(format!("{n} times the plan"))
            } else if near(less) {
                Some(format!("1/{n} of the plan"))
            } else {
                None
            }
        });
        if let Some(slip) = slip {
            sink.say(Subject::Line(row.line), row.line, row.actual_span, slip)
                .help("Look at the unit and the point, and correct it with `was`");
        }
    }
}
