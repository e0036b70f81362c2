//! # A line of the log is not understood
//!
//! An event begins with a word that means something here (`pH`, `add`, `yield`, `sample`, `tare`, `gross`, `combined`), and what follows is not read as one.
//!
//! ## Why
//! It would stand in the record as a remark, and be missing in the dose, the yield and the recall.
//!
//! ## What to do
//! Write it as the language reads it; a remark stands behind a comma: `pH 5.4, still too high`.
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
//!   11:50  pH 5.4 too high
//!          ^^^^^^^^^^^^^^^ not understood
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
use crate::model::record::What;
use crate::syntax::tree::{Node, SectionKind};
pub static RULE: Rule = Rule {
    code: "log-not-understood",
    title: "A line of the log is not understood",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("log_not_understood.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    const OURS: [&str; 9] = ["ph", "add", "added", "yield", "yielded", "sample", "tare", "gross", "combined"];
    // What was filled and kept is no event of the log.
    const PACKED: [&str; 6] = ["fill", "filled", "keep", "kept", "retain", "retained"];
    for (n, record) in w.records().enumerate() {
        for at in w.lines(ctx, record) {
            let Some(line) = ctx.tree.line(at as usize) else {
                continue;
            };
            let is_note = line.section == SectionKind::Observations && matches!(line.node, Node::Note);
            let text = line.text_of(line.body_span());
            if is_note && text.to_lowercase().starts_with("complaint") {
                sink.say(Subject::Line(at), at, line.body_span(), "a complaint is read under its own heading alone")
                    .help("Write it under `complaints`, its day first: 2026-05-02  order 1043, 50 g, rash, not serious");
            }
        }
        for event in &record.log {
            let What::Words(words) = &event.what else {
                continue;
            };
            let count = words.split_whitespace().any(|w| w == "x" || w.starts_with("jar"));
            let word = words.split_whitespace().next().unwrap_or_default();
            let is_packed = PACKED.iter().any(|p| word.eq_ignore_ascii_case(p));
            if is_packed && count && words.chars().any(|c| c.is_ascii_digit()) {
                let message = format!("\"{words}\" is a remark here, and counts no jar");
                sink.say(Subject::Line(event.line), event.line, event.span, message)
                    .help("Write it under `packed`: 48 x 50 g, 2 kept, 1 spoilt");
                continue;
            }
            let names_phase = w.plan(n).is_some_and(|p| p.formula.phases.iter().any(|ph| ph.label.eq_ignore_ascii_case(word)));
            let reads = words.split_whitespace().nth(1).is_some_and(|w| w.starts_with(|c: char| c.is_ascii_digit()));
            if names_phase && reads && !record.unread.contains(&event.line) {
                let message = format!("\"{words}\" is not read as of phase {word}");
                sink.say(Subject::Line(event.line), event.line, event.span, message)
                    .help(format!("Write `phase {words}`"));
                continue;
            }
            let first: String = words.chars().take_while(|c| c.is_alphabetic()).collect();
            let ours = OURS.iter().any(|o| first.eq_ignore_ascii_case(o));
            if ours && words.chars().any(|c| c.is_ascii_digit()) {
                let message = format!("\"{words}\" is not understood as {first}");
                sink.say(Subject::Line(event.line), event.line, event.span, message)
                    .help("Write it as `pH 5.4`, `add 1.5 g lactic acid 10 % lot LAC-03`, `yield 243 g`; a remark stands behind a comma");
            }
        }
    }
}
