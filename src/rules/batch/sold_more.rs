//! # More jars went out than there were
//!
//! The ledger sold, gave or threw away more jars of a batch than were filled, less those kept and spoilt.
//!
//! ## Why
//! A code or a number is wrong. In a recall jars would be sought where they never went.
//!
//! ## What to do
//! Look at the lines of this batch again.
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
//! ```batch
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
//!
//! packed
//!   4 x 50 g, 1 kept
//! ```
//! ```stock,bad
//! ledger
//!   2026-04-01  sold 9 x 50 g HG-001 to the corner pharmacy
//!                             ^^^^^^ 6 more jars
//! ```
//!
//! ```stock,good
//! ledger
//!   2026-04-01  sold 3 x 50 g HG-001 to the corner pharmacy
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::{LedgerAmount, LedgerVerb};
pub static RULE: Rule = Rule {
    code: "sold-more",
    title: "More jars went out than there were",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("sold_more.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for entry in &w.facts.ledger {
        let LedgerAmount::Packs { each, .. } = &entry.line.amount else {
            continue;
        };
        if !matches!(entry.line.verb.value, LedgerVerb::Sold | LedgerVerb::Gave | LedgerVerb::ThrewAway) {
            continue;
        }
        let code = &entry.line.code;
        let Some(batch) = w.shop.batch(&code.value) else {
            continue;
        };
        // Said once, on the last line of the batch.
        let is_last = w.shop.entries(&code.value).last().is_some_and(|e| e.path == entry.path && e.at == entry.at);
        let here = w.shop.jars_of(batch, each, None).here;
        if is_last && here < 0 {
            let message = format!("{} more jars of {} went out than there were", -here, code.value);
            sink.say(Subject::Line(entry.at), entry.at, code.span, message)
                .help("Is a code or a number wrong?");
        }
    }
}
