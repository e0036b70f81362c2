//! # It has parted, gone off or grown mould
//!
//! An observation says that the product has separated, turned rancid or grown mould.
//!
//! ## Why
//! What has parted is no longer preserved evenly; mould and rancid oil hurt.
//!
//! ## What to do
//! Put the batch on hold, and ask who has jars of it: `phasewright trace CODE`.
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
//!   glycerin   12.50 g of 12.50 g   lot GLY-07
//!   panthenol   2.50 g of 2.50 g   lot PAN-05
//!
//! log
//!   10:05  A 76 °C
//!   11:08  38 °C, add B
//!   11:40  25 °C, pH 5.3
//!   12:10  yield 243.1 g
//!
//! observations
//!   +14 d  oil on top
//!          ^^^^^^^^^^ oil on top
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
use crate::model::record::What;
pub static RULE: Rule = Rule {
    code: "separated",
    title: "It has parted, gone off or grown mould",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("separated.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        for event in &record.observations {
            let What::Words(words) = &event.what else {
                continue;
            };
            if let Some(what) = seen(words) {
                let message = format!("this batch was seen with: {what}");
                sink.say(Subject::Line(event.line), event.line, event.span, message)
                    .help(format!("Put it on hold; `phasewright trace {}` says who has jars of it", record.code()));
            }
        }
    }
}

/// What is wrong by these words. What one clause denies ("no mould") says nothing about the next ("oil on top").
fn seen(words: &str) -> Option<&'static str> {
    const BAD: [&str; 6] = ["oil on top", "water below", "separated", "rancid", "mould", "mold"];
    let lower = words.to_lowercase().replace(" but ", ",");
    let denies = |clause: &str| clause.split_whitespace().any(|w| ["no", "not", "without", "never"].contains(&w));
    let mut clauses = lower.split([',', ';', '.']).filter(|clause| !denies(clause));
    clauses.find_map(|clause| BAD.into_iter().find(|bad| clause.contains(bad)))
}

#[cfg(test)]
mod tests {
    use super::seen;

    #[test]
    fn a_denial_reaches_to_the_end_of_its_clause() {
        assert_eq!(seen("no separation, no mould"), None);
        assert_eq!(seen("no signs of mould"), None);
        assert_eq!(seen("no change of colour, mould on the lid"), Some("mould"));
        assert_eq!(seen("no smell but oil on top"), Some("oil on top"));
    }
}
