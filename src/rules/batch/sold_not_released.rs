//! # A jar was sold of a batch that is on hold or rejected
//!
//! The ledger sells or gives jars of a batch that was on hold or rejected on that day. Where the settings say `release = true` under `[workshop]`, a batch that nobody released counts as on hold.
//!
//! ## Why
//! Somebody decided that it must not go out.
//!
//! ## What to do
//! Call the buyer: `phasewright trace CODE --letter`.
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
//!   on hold: 2026-03-20 by Ana, smells of wax
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
//!   2026-04-01  sold 1 x 50 g HG-001 to the corner pharmacy
//!                             ^^^^^^ on hold since 2026-03-20
//! ```
//!
//! ```stock,good
//! ledger
//!   2026-03-18  sold 1 x 50 g HG-001 to the corner pharmacy
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::{DecisionKind, decided};
use crate::syntax::tree::LedgerVerb;
pub static RULE: Rule = Rule {
    code: "sold-not-released",
    title: "A jar was sold of a batch that is on hold or rejected",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("sold_not_released.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for entry in &w.facts.ledger {
        if !matches!(entry.line.verb.value, LedgerVerb::Sold | LedgerVerb::Gave) {
            continue;
        }
        let code = &entry.line.code;
        let Some(batch) = w.shop.batch(&code.value) else {
            continue;
        };
        let Some(d) = decided(&batch.decisions, Some(entry.line.date.value)) else {
            if ctx.settings.workshop.release {
                let message = format!("nobody had released {} by then", code.value);
                sink.say(Subject::Line(entry.at), entry.at, code.span, message)
                    .help("Have it released before it goes out, or call the buyer");
            }
            continue;
        };
        if d.kind != DecisionKind::Released {
            let message = format!("{} is {} since {}", code.value, d.kind.words(), d.decision.date);
            sink.say(Subject::Line(entry.at), entry.at, code.span, message)
                .help(format!("Call the buyer; `phasewright trace {} --letter` writes the letters", code.value));
        }
    }
}
