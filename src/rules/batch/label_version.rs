//! # A label of another version
//!
//! The lot of a label says which formula and version it was made for, and the batch is of another one.
//!
//! ## Why
//! The list of ingredients on it may be wrong: somebody who is allergic reads what is not in the jar.
//!
//! ## What to do
//! Take the label of this version, or compare the two lists (`phasewright compare`) and write why it fits.
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
//! lot LBL-03 of label hand gel
//!   bought: 100 pieces for 9 EUR
//!   for: "hand-gel.formula" version 3
//!
//! lot LBL-04 of label hand gel
//!   bought: 100 pieces for 9 EUR
//!   for: "hand-gel.formula" version 4
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
//!   label hand gel  4 pieces   lot LBL-03
//!                                  ^^^^^^ version 3
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
//!   label hand gel  4 pieces   lot LBL-04
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::file_loader::resolve_relative;

pub static RULE: Rule = Rule {
    code: "label-version",
    title: "A label of another version",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("label_version.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for record in w.records() {
        for row in &record.packaging {
            let Some(code) = &row.lot else {
                continue;
            };
            let Some(lot) = w.shop.lot(&code.value) else {
                continue;
            };
            let Some((file, version)) = lot.label_for.as_deref().and_then(label_for) else {
                continue;
            };
            let made_for = resolve_relative(&lot.path, file);
            let own = record.formula.as_ref().map(|f| resolve_relative(&record.path, &f.value));
            if own.as_ref().is_some_and(|own| *own != made_for) {
                let message = format!("{} is the label of {file}, and this batch is of another formula", lot.code);
                sink.say(Subject::Line(row.line), row.line, code.span, message).help("Take the label of this formula");
                continue;
            }
            let (Some(label), Some(batch)) = (version, record.version.as_ref()) else {
                continue;
            };
            if label != batch.value.trim() {
                let message = format!("this label was made for version {label}, and the batch is version {}", batch.value);
                sink.say(Subject::Line(row.line), row.line, code.span, message)
                    .help("Compare the two lists of ingredients, and write why it fits, or print new labels");
            }
        }
    }
}

/// `"gardeners-hand-cream.formula" version 4`: the file, and the version where one stands there.
fn label_for(text: &str) -> Option<(&str, Option<&str>)> {
    let (file, rest) = match text.strip_prefix('"') {
        Some(open) => open.split_once('"')?,
        None => text.split_once(char::is_whitespace).unwrap_or((text, "")),
    };
    let version = rest.trim().strip_prefix("version").map(str::trim).filter(|v| !v.is_empty());
    (!file.is_empty()).then_some((file, version))
}
