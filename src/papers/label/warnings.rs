//! Words that the law of the market asks for, by what is in the product and what kind of product it is.

use crate::analysis::law::{Hits, WarningHit};
use crate::kb::law::Law;
use crate::kb::schema::{ReviewStatus, Warning};
use crate::kb::{Kb, Market};
use crate::model::Formula;
use crate::model::product::Applies;
use serde::Serialize;
use smol_str::SmolStr;

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct WarningWords {
    /// In English.
    pub text: String,
    /// In the other languages of the label, as the law's own text in that language has it; where that is not known here, in
    /// brackets, where to take it from.
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
    /// The text only says where the wording is to be taken from.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub missing: bool,
}

#[derive(Default)]
pub struct WarningsFound {
    pub now: Vec<WarningWords>,
    pub notes: Vec<String>,
}

/// The words of one market.
pub fn find(law: &Law, hits: &Hits<WarningHit>, f: &Formula, kb: &Kb) -> WarningsFound {
    let mut out = WarningsFound::default();
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
        let words = || WarningWords {
            text: one.text.to_string(),
            in_languages: in_languages(one, &languages, kb),
            conditions: one.conditions.as_ref().map(SmolStr::to_string),
            because_of: because_of.clone(),
            recheck: one.review == ReviewStatus::NeedsReview,
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

fn in_languages(one: &Warning, languages: &[&str], kb: &Kb) -> Vec<InLanguage> {
    let of = |language: &&str| {
        let known = one.text_in.get(*language);
        let text = known.map_or_else(
            || {
                format!(
                    "[wording in {}: take it from {}]",
                    name(language),
                    super::at(kb, &one.source, one.at.as_deref())
                )
            },
            SmolStr::to_string,
        );
        InLanguage {
            language: (*language).to_owned(),
            text,
            missing: known.is_none(),
        }
    };
    languages.iter().map(of).collect()
}

/// The official languages of the European Union by their codes, in English; another one by its code.
fn name(language: &str) -> &str {
    const NAMES: [(&str, &str); 23] = [
        ("bg", "Bulgarian"),
        ("cs", "Czech"),
        ("da", "Danish"),
        ("de", "German"),
        ("el", "Greek"),
        ("es", "Spanish"),
        ("et", "Estonian"),
        ("fi", "Finnish"),
        ("fr", "French"),
        ("ga", "Irish"),
        ("hr", "Croatian"),
        ("hu", "Hungarian"),
        ("it", "Italian"),
        ("lt", "Lithuanian"),
        ("lv", "Latvian"),
        ("mt", "Maltese"),
        ("nl", "Dutch"),
        ("pl", "Polish"),
        ("pt", "Portuguese"),
        ("ro", "Romanian"),
        ("sk", "Slovak"),
        ("sl", "Slovenian"),
        ("sv", "Swedish"),
    ];
    let found = NAMES.iter().find(|(code, _)| *code == language);
    found.map_or(language, |(_, name)| name)
}
