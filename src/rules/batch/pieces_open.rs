//! # Jars and labels do not add up
//!
//! More jars were filled than containers or labels were used, or the other way round, after what was spoilt. Where the settings say `jars = true` under `[workshop]`, a batch that is done and packs nothing is told too.
//!
//! ## Why
//! A label too many may stand on the wrong jar, a label too few on none.
//!
//! ## What to do
//! Count again, and write what was torn or broken.
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
//! ```batch,bad
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
//!   jar 50 mL  9 pieces
//!   ^^^^^^^^^ 4 jars were filled
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
//!
//! packed
//!   4 x 50 g, 1 kept
//!   jar 50 mL  5 pieces, 1 broken
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::Actual;
use rust_decimal::Decimal;
pub static RULE: Rule = Rule {
    code: "pieces-open",
    title: "Jars and labels do not add up",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("pieces_open.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        let filled: u32 = record.packs.iter().map(|p| p.count).sum();
        if filled == 0 {
            let asked = ctx.settings.workshop.jars && record.yield_g.is_some() && !record.void;
            // What becomes a lot of its own is packed nowhere.
            if asked && w.shop.lots_made_in(record.code()).next().is_none() {
                let (line, span) = w.heading(ctx, record);
                sink.say(Subject::Line(line), line, span, "it is done, and nothing stands under `packed`")
                    .help("Write how many jars were filled, kept and spoilt, and their labels");
            }
            continue;
        }
        for row in &record.packaging {
            let (Actual::Pieces(used), true) = (row.pieces, record.packs.len() == 1) else {
                continue;
            };
            let good = used - Decimal::from(row.spoilt);
            let spoilt: u32 = record.packs.iter().map(|p| p.spoilt).sum();
            // What was spoilt may have had its label already, or not.
            let (least, most) = (Decimal::from(filled - spoilt.min(filled)), Decimal::from(filled + spoilt));
            if (least..=most).contains(&good) {
                continue;
            }
            let message = format!("{} of {}, and {filled} jars were filled", good.normalize(), row.name.value);
            sink.say(Subject::Line(row.line), row.line, row.name.span, message)
                .help("Count again, and write behind a comma what was torn or broken");
        }
    }
}
