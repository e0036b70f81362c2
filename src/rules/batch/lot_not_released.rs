//! # A lot was on hold or rejected
//!
//! The lot was on hold or rejected on the day of the batch. Where the settings say `release = true` under `[workshop]`, a lot without it counts as on hold.
//!
//! ## Why
//! Somebody decided that this lot must not go into a product.
//!
//! ## What to do
//! Stop, and ask who decided. A later release is written as `released` under the lot.
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
//! lot GLY-08 of glycerin
//!   received: 2026-03-01
//!   best before: 2028-01-31
//!   bought: 1 kg for 9.40 EUR
//!   on hold: 2026-03-01 by Ana, waits for its paper
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
//!   glycerin   12.50 g of 12.50 g   lot GLY-08
//!                                       ^^^^^^ on hold since 2026-03-01
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
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
use crate::model::record::{DecisionKind, decided};
pub static RULE: Rule = Rule {
    code: "lot-not-released",
    title: "A lot was on hold or rejected",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("lot_not_released.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (record, one) in w.uses() {
        let Some(lot) = w.shop.lot(&one.lot.value) else {
            continue;
        };
        let Some(d) = decided(&lot.decisions, record.made) else {
            let of_batch = lot.from.as_deref().and_then(|code| w.shop.batch(code));
            let made_here = of_batch.and_then(|b| decided(&b.decisions, record.made));
            let is_good = made_here.is_some_and(|d| d.kind == DecisionKind::Released);
            if ctx.settings.workshop.release && !is_good {
                let message = format!("nobody had released {} by then", lot.code);
                sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
                    .help("Have it released, and write under the lot `released:`, the day, `by` and the name");
            }
            continue;
        };
        if d.kind == DecisionKind::Released {
            continue;
        }
        let message = format!("{} is {} since {}", lot.code, d.kind.words(), d.decision.date);
        sink.say(Subject::Line(one.line), one.line, one.lot.span, message)
            .help("Use another lot, or have it released and write the day under the lot");
    }
}
