//! # Jars and labels do not add up
//!
//! More jars were filled than containers or labels were used, or the other way round, after what was spoilt.
//!
//! ## Why
//! A label too many may stand on the wrong jar, a label too few on none.
//!
//! ## What to do
//! Count again, and write what was torn or broken.

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
