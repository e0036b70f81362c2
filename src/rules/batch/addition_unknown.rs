//! # An addition is not known
//!
//! The log says that something went in, and it is not known what, or how much it weighs; or a line reads as an addition and lacks the word `add`.
//!
//! ## Why
//! It is counted nowhere: not in what went in, not on the lot, not in a recall. From such a line on `dose` refuses to calculate.
//!
//! ## What to do
//! Write it as `add 1.50 g lactic acid 10 % lot LAC-03`, by weight and with its name as in the formula.
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
//! lot LAC-03 of lactic acid 10 %
//!   received: 2026-01-10
//!   best before: 2028-01-31
//!   bought: 100 g for 8 EUR
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
//!   11:40  25 °C, pH 6.4
//!   11:44  add 1.5 g lactik acid lot LAC-03
//!          ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ Did you mean lactic acid
//!   11:45  1.5 g lactic acid 10 %
//!          ^^^^^^^^^^^^^^^^^^^^^^ reads as an addition
//!   11:50  pH 5.3
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
//!   11:40  25 °C, pH 6.4
//!   11:44  add 1.5 g lactic acid 10 % lot LAC-03
//!   11:46  lost about 5 g
//!   11:50  pH 5.3
//!   12:10  yield 243.1 g
//! ```

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::chem::units::{Dimension, Unit};
use crate::kb::Lookup;
use crate::model::record::{Added, What};
use crate::model::shop::Plan;
use rust_decimal::Decimal;
use super::Workshop;
use crate::model::StockItem;
use crate::rules::{Edit, Fix};

pub static RULE: Rule = Rule {
    code: "addition-unknown",
    title: "An addition is not known",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("addition_unknown.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    for (n, record) in w.records().enumerate() {
        let plan = w.plan(n);
        let names_phase = |name: &str| {
            let label = name.trim();
            let label = ["phase ", "premix "].iter().find_map(|p| label.get(..p.len()).filter(|h| h.eq_ignore_ascii_case(p)).map(|h| &label[h.len()..])).unwrap_or(label);
            // Without a formula nobody knows its labels; they are short.
            plan.map_or(label.len() <= 3, |p| p.formula.phases.iter().any(|ph| ph.label.eq_ignore_ascii_case(label)))
        };
        for added in &record.added {
            let is_named = matches!(added.item, StockItem::Named(_));
            if is_named && !names_phase(&added.name) && !w.lot_is_of(added) {
                let near = ctx.kb.nearest(&added.name).into_iter().next().map(|(_, name)| name);
                let message = format!("\"{}\" is not known, so no dose can be worked out from these readings", added.name);
                let help = near.map_or("Write its name as the formula does".to_owned(), |n| format!("Did you mean {n}?"));
                sink.say(Subject::Line(added.line), added.line, added.span, message).help(help);
            } else if let Some(message) = plan.and_then(|plan| lot_of_phase(ctx, w, plan, added)) {
                sink.say(Subject::Line(added.line), added.line, added.span, message)
                    .help("Write the material instead of the phase, with its strength and its lot");
            } else if added.grams.is_none() {
                let message = format!("what {} weighs is not known, so it counts nowhere", added.name);
                sink.say(Subject::Line(added.line), added.line, added.span, message)
                    .help("Weigh it, and write the grams");
            }
        }
        for event in &record.log {
            let What::Words(words) = &event.what else {
                continue;
            };
            if let Some((amount, name)) = reads_as_addition(ctx, words) {
                let right = format!("add {amount} {name}");
                let message = format!("\"{words}\" reads as an addition, and it is not counted");
                sink.say(Subject::Line(event.line), event.line, event.span, message)
                    .help(format!("Write `{right}`, or put a remark behind #"))
                    .fix(Fix::new(format!("Change to {right}"), vec![Edit::replace(event.line, event.span, right)]));
            }
        }
    }
}

/// What is wrong with the lot of `add D 25.0 g lot LAC-03`, where a phase stands for its one material.
fn lot_of_phase(ctx: &Context, w: &Workshop, plan: &Plan, added: &Added) -> Option<String> {
    let lot = w.shop.lot(&added.lot.as_ref()?.value)?;
    let label = added.name.trim();
    let phase = plan.formula.phases.iter().find(|p| p.label.eq_ignore_ascii_case(label))?;
    let [row] = phase.rows[..] else {
        return Some(format!("{} holds several materials, and {} is a lot of one", phase.label, lot.code));
    };
    let item = StockItem::of_row(&plan.formula.rows[row], &plan.path);
    let is_whole = item.share_of(&lot.item, ctx.kb).is_none_or(|share| share == Decimal::ONE);
    (!is_whole).then(|| format!("{} is stronger than {}, so what it takes of the lot is not known from \"{label}\"", lot.code, plan.formula.rows[row].name.value))
}

/// A weight or a volume and, around it, nothing but a known material: `12 g lactic acid 10 %`, `put back 4.3 g water`, `water +4.3 g`.
fn reads_as_addition(ctx: &Context, words: &str) -> Option<(String, String)> {
    let lower = words.to_lowercase();
    let lead = ["put back ", "topped up with ", "top up with ", "topped up ", "plus ", "more "]
        .iter()
        .find(|lead| lower.starts_with(**lead))
        .map_or(0, |lead| lead.len());
    let words: Vec<&str> = words.get(lead..)?.split_whitespace().collect();
    (0..words.len()).find_map(|at| {
        let number = words[at].trim_start_matches('+');
        if !number.starts_with(|c: char| c.is_ascii_digit()) {
            return None;
        }
        let figure = number.trim_end_matches(char::is_alphabetic);
        let (unit, next) = match &number[figure.len()..] {
            "" => (*words.get(at + 1)?, at + 2),
            unit => (unit, at + 1),
        };
        let measures = Unit::parse(unit)?;
        if !matches!(measures.dimension(), Dimension::Mass | Dimension::Volume) {
            return None;
        }
        let before = words[..at].iter();
        let after = words[next..].iter().skip_while(|w| w.eq_ignore_ascii_case("of"));
        let name: Vec<&str> = before.chain(after).copied().filter(|w| *w != "+").collect();
        let end = name.iter().position(|w| w.eq_ignore_ascii_case("to") || w.eq_ignore_ascii_case("into")).unwrap_or(name.len());
        let name = name[..end].join(" ");
        let known = matches!(ctx.kb.lookup(&name), Lookup::Known { .. });
        known.then(|| (format!("{figure} {unit}"), name))
    })
}
