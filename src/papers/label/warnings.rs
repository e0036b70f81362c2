//! Words that the law of the market asks for, by what is in the product and what kind of product it is.

use crate::analysis::law::{Hits, WarningHit};
use crate::kb::law::Law;
use crate::kb::schema::{Check, Warning};
use crate::kb::{Kb, Market};
use crate::model::Formula;
use crate::model::product::Applies;
use serde::Serialize;
use smol_str::SmolStr;

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct Words {
    /// In English.
    pub text: String,
    /// In the other languages of the label, as the law's own text in that language has it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub in_languages: Vec<InLanguage>,
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

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct InLanguage {
    /// Its code in ISO 639-1.
    pub language: String,
    pub text: String,
}

#[derive(Default)]
pub struct Found {
    pub now: Vec<Words>,
    pub notes: Vec<String>,
}

/// The words of one market.
pub fn find(law: &Law, hits: &Hits<WarningHit>, f: &Formula, kb: &Kb) -> Found {
    let mut out = Found::default();
    let mut unsaid = false;
    let languages = languages(law, f);
    let here = hits.in_force_or_announced().iter();
    for hit in here.filter(|h| h.market == law.market) {
        let one = hit.warning;
        let because_of: Vec<String> = hit
            .because_of
            .iter()
            .map(|id| kb.name(*id).to_owned())
            .collect();
        let words = || Words {
            text: one.text.to_string(),
            in_languages: in_languages(one, &languages),
            conditions: one.conditions.as_ref().map(SmolStr::to_string),
            because_of: because_of.clone(),
            recheck: one.check == Check::Recheck,
            at: super::at(kb, &one.source, one.at.as_deref()),
            source: super::source(kb, &one.source, one.at.as_deref()),
        };
        match hit.applies {
            Applies::No => continue,
            // Every kind of product has its words; nobody wants to read them all.
            Applies::Unknown(_) if because_of.is_empty() => {
                unsaid |= !f.product.is_said();
                continue;
            }
            Applies::Unknown(axis) => {
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
            Applies::Yes => {}
        }
        if let Some(day) = hit.status.from() {
            out.notes.push(format!(
                "from {day} the label also says \"{}\" ({})",
                one.text,
                words().at
            ));
            continue;
        }
        if let Some(day) = hit.status.sell_through() {
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
        let missing: Vec<&str> = languages
            .iter()
            .copied()
            .filter(|l| !one.text_in.contains_key(*l))
            .collect();
        if !missing.is_empty() {
            out.notes.push(format!(
                "\"{}\" is not known here in the language {}: copy it from the official text in that language ({})",
                one.text,
                missing.join(", "),
                words().at
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

/// The languages next to English that the label is in: those of `sold in: EU (de, fr)`, in Canada French.
fn languages<'a>(law: &Law, f: &'a Formula) -> Vec<&'a str> {
    match law.market {
        Market::EuropeanUnion => f
            .fields
            .languages
            .iter()
            .map(SmolStr::as_str)
            .filter(|l| *l != "en")
            .collect(),
        Market::Canada => vec!["fr"],
        _ => Vec::new(),
    }
}

fn in_languages(one: &Warning, languages: &[&str]) -> Vec<InLanguage> {
    let known = languages
        .iter()
        .filter_map(|l| Some((l, one.text_in.get(*l)?)));
    known
        .map(|(l, text)| InLanguage {
            language: (*l).to_owned(),
            text: text.to_string(),
        })
        .collect()
}
