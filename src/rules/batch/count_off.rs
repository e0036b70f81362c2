//! # A count is not what should be there
//!
//! A count in the ledger found less or more than what was bought or made, less all that was written as taken: for jars any difference, for lots more than 2 % of the lot and two steps of the scale.
//!
//! ## Why
//! Something went out or in that no line tells: a batch without a lot, a jar that was given away, a weight with a wrong point.
//!
//! ## What to do
//! Look for the line that is missing, and write it; or write why it differs. The count stands from that day on.
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
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//!
//! ledger
//!   2026-04-30  counted 40 g MEN-01
//!                            ^^^^^^ 10 g less
//! ```
//!
//! ```stock,good
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//!
//! ledger
//!   2026-04-29  used 10 g MEN-01, trial of version 5
//!   2026-04-30  counted 40 g MEN-01
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::shop::{Count, Held};
use crate::syntax::tree::{LedgerAmount, LedgerVerb};
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "count-off",
    title: "A count is not what should be there",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("count_off.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let threshold = ctx.kb.threshold("count-off-percent");
    let step = w.scale_step(ctx);
    for entry in w.facts.ledger.iter().filter(|e| e.line.verb.value == LedgerVerb::Counted) {
        let code = &entry.line.code;
        let is_here = |c: &Count| c.path == entry.path && c.line == entry.at;
        let (count, unit, allowed) = if let Some(lot) = w.shop.lot(&code.value) {
            let (unit, allowed) = match w.shop.held(lot) {
                Held::Grams(held) => ("g", (held * threshold.value.0 / Decimal::ONE_HUNDRED).max(step * Decimal::TWO)),
                _ => ("pieces", Decimal::ZERO),
            };
            (w.shop.counts(lot, ctx.kb).into_iter().find(is_here), unit, allowed)
        } else if let (Some(batch), LedgerAmount::Packs { each, .. }) = (w.shop.batch(&code.value), &entry.line.amount) {
            (w.shop.jar_counts(batch, each).into_iter().find(is_here), "jars", Decimal::ZERO)
        } else {
            continue;
        };
        let Some(count) = count else {
            continue;
        };
        let off = count.found - count.expected;
        if off.abs() <= allowed {
            continue;
        }
        let way = if off < Decimal::ZERO { "less" } else { "more" };
        let message = format!(
            "{} {unit} {way} than the {} {unit} that should be there",
            off.abs().normalize(),
            count.expected.normalize()
        );
        sink.say(Subject::Line(entry.at), entry.at, code.span, message)
            .help("Look for a line that is missing, or write why; the count stands")
            .rests_on(threshold);
    }
}
