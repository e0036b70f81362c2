//! # A code is used twice
//!
//! Two batches, two lots, or a batch and a lot have one code, in any file of the folder. Small and capital letters and blanks make no difference.
//!
//! ## Why
//! A recall and the ledger go by the code: with two of one name jars are sought in the wrong batch.
//!
//! ## What to do
//! Give one of them another code. A file copied for a new batch keeps the old code until it is changed.
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
//! ^^^^^^^^^^^^^^^^^^^^^ used twice
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//!
//! lot men-01 of menthol
//! ^^^^^^^^^^^^^^^^^^^^^ used twice
//!   best before: 2028-03-31
//!   bought: 50 g for 6 EUR
//! ```
//!
//! ```stock,good
//! lot MEN-01 of menthol
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 50 g for 6 EUR
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "code-twice",
    title: "A code is used twice",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("code_twice.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let mut own: Vec<(&str, u32)> = Vec::new();
    own.extend(w.facts.lots.iter().map(|l| (l.code.as_str(), l.line)));
    own.extend(w.records().filter_map(|r| r.code.as_ref().map(|c| (c.value.as_str(), r.line))));
    for (code, line) in own {
        let places = w.shop.places_of_code(code);
        let other = places.iter().find(|(path, at)| path != w.path || *at != line);
        if let Some((path, at)) = other {
            let message = format!("the code {code} is used twice");
            let name = path.file_name().and_then(|n| n.to_str()).unwrap_or_default();
            sink.say(Subject::Line(line), line, ctx.text_span(line), message)
                .help(format!("The other stands in {name} line {}: give one of them a new code", at + 1));
        }
    }
}
