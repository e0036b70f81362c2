//! Words that the law of the market asks for, by what is in the product and what kind of product it is.

use super::parts::Parts;
use crate::chem::date::Date;
use crate::kb::law::{Law, Status};
use crate::kb::roles::any_of;
use crate::kb::schema::{Check, SourceKind, Warning};
use crate::kb::{Id, Kb};
use crate::model::Formula;
use crate::model::law::factor;
use crate::model::product::Fit;
use rust_decimal::Decimal;
use serde::Serialize;
use smol_str::SmolStr;

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct Words {
    pub text: String,
    /// What decides and cannot be read from the formula.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conditions: Option<String>,
    /// What asks for them; empty where the kind of product does.
    pub because_of: Vec<String>,
    /// Seen in a dated or second-hand text.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub recheck: bool,
    /// The place in the act.
    pub at: String,
    pub source: String,
}

#[derive(Default)]
pub struct Found {
    pub now: Vec<Words>,
    pub notes: Vec<String>,
}

pub fn find(law: &Law, f: &Formula, parts: &Parts, kb: &Kb, today: Date) -> Found {
    let mut out = Found::default();
    let mut unsaid = false;
    for one in law.warning.iter() {
        let fit = f.product.fits(&one.scope, &one.not_scope);
        let held = match one.substances.is_empty() {
            true => Vec::new(),
            false => match held(one, parts, kb) {
                held if held.is_empty() => continue,
                held => held,
            },
        };
        let because_of: Vec<String> = held.iter().map(|id| kb.name(*id).to_owned()).collect();
        let words = || Words {
            text: one.text.to_string(),
            conditions: one.conditions.as_ref().map(SmolStr::to_string),
            because_of: because_of.clone(),
            recheck: one.check == Check::Recheck,
            at: super::at(kb, &one.source, one.at.as_deref()),
            source: super::source(kb, &one.source, one.at.as_deref()),
        };
        match fit {
            Fit::No => continue,
            // Every kind of product has its words; nobody wants to read them all.
            Fit::Unsaid(_) if held.is_empty() => {
                unsaid |= !f.product.is_said();
                continue;
            }
            Fit::Unsaid(axis) => {
                let field = if f.product.is_said() {
                    axis.field()
                } else {
                    "product"
                };
                out.notes.push(format!(
                    "if the product is for {}, {} also asks for the words \"{}\" ({}); write \"{field}:\" to settle it",
                    one.scope.join(", ").replace('|', " or "),
                    because_of.join(", "),
                    one.text,
                    words().at
                ));
                continue;
            }
            Fit::Yes => {}
        }
        let status = Status::of(one, today);
        if let Some(day) = status.from() {
            out.notes.push(format!(
                "from {day} the label also says \"{}\" ({})",
                one.text,
                words().at
            ));
            continue;
        }
        if let Some(day) = status.sell_through() {
            let older = one
                .superseded
                .as_ref()
                .map_or("without it".to_owned(), |s| {
                    format!("with the older rule ({s})")
                });
            out.notes.push(format!(
                "\"{}\": labels {older} may be sold until {day}",
                one.text
            ));
        }
        out.now.push(words());
    }
    if unsaid {
        out.notes.push(
            "the file does not say what product it is, so words that the kind of product asks for are not worked out; write \"product:\""
                .into(),
        );
    }
    out
}

/// The substances that ask for the words, where together they are above the row's share. Traces inside natural materials
/// count only where the law states a share.
fn held(one: &Warning, parts: &Parts, kb: &Kb) -> Vec<Id> {
    let mut sum = Decimal::ZERO;
    let mut out = Vec::new();
    for id in one.substances.iter().filter_map(|s| kb.by_id(s)) {
        let own = parts.of.get(&id).map(|p| p.percent);
        let brought: Decimal = match one.above_percent {
            Some(_) => parts
                .brought
                .iter()
                .filter(|b| b.of == id)
                .map(|b| b.usual * b.content.high / Decimal::ONE_HUNDRED)
                .sum(),
            None => Decimal::ZERO,
        };
        if own.is_some() || !brought.is_zero() {
            let counts = factor(kb, kb.get(id), one.r#as.as_deref()).unwrap_or(Decimal::ONE);
            sum += (own.unwrap_or_default() + brought) * counts;
            out.push(id);
        }
    }
    // What no law asks for is advice on acids that work, not on the drop that sets the pH.
    let advice = kb
        .source(&one.source)
        .is_none_or(|s| s.kind != SourceKind::Law);
    let acids = out.iter().all(|id| {
        kb.get(*id)
            .roles
            .chiefly_any(const { &any_of(&["acid", "exfoliant", "buffer"]) })
    });
    match one.above_percent {
        Some(limit) if sum <= limit.0 => Vec::new(),
        None if advice && acids && sum < kb.threshold("hydroxy-acid-counts-percent").value.0 => {
            Vec::new()
        }
        _ => out,
    }
}
