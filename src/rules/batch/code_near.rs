//! # Two codes are nearly one
//!
//! Two lots or batches have codes that differ in hyphens, points or leading zeros alone, as GLY-07 and GLY7 do.
//!
//! ## Why
//! A hand writes one for the other, and a recall then asks for the wrong drum.
//!
//! ## What to do
//! Give one of them another number.
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
//! ```stock,bad
//! lot MEN-01 of menthol
//! ^^^^^^^^^^^^^^^^^^^^^ MEN-1
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//!
//! lot MEN-1 of menthol
//! ^^^^^^^^^^^^^^^^^^^^ MEN-01
//!   received: 2026-02-10
//!   best before: 2028-02-28
//!   bought: 50 g for 6 EUR
//! ```
//!
//! ```stock,good
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//!
//! lot MEN-10 of menthol
//!   received: 2026-02-10
//!   best before: 2028-02-28
//!   bought: 50 g for 6 EUR
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "code-near",
    title: "Two codes are nearly one",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("code_near.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let lots = w.facts.lots.iter().map(|l| (l.code.as_str(), l.line));
    let batches = w.records().filter(|r| r.code.is_some()).map(|r| (r.code(), r.line));
    for (code, line) in lots.chain(batches) {
        if let Some(other) = w.shop.near_codes(code).first() {
            let message = format!("{code} and {other} are nearly one code");
            sink.say(Subject::Line(line), line, ctx.text_span(line), message)
                .help("Give one of them another number");
        }
    }
}
