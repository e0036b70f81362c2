//! What else the law of the market wants on the label: a list to tick off.

use super::parts::Parts;
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::kb::Market;
use crate::kb::law::{Law, Status};
use crate::kb::schema::ReviewStatus;
use crate::model::Formula;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct Also {
    pub text: String,
    /// Seen in a dated or second-hand text.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub recheck: bool,
    /// The place in the act.
    pub at: String,
    pub source: String,
}

pub fn list(law: &Law, parts: &Parts, kb: &Kb, today: Date) -> Vec<Also> {
    law.duty
        .iter()
        .filter(|d| d.kind == "label")
        .filter(|d| {
            d.substances.is_empty()
                || d.substances
                    .iter()
                    .any(|s| kb.by_id(s).is_some_and(|id| parts.of.contains_key(&id)))
        })
        .map(|d| {
            let from = Status::of(d, today)
                .from()
                .map_or(String::new(), |day| format!("From {day}: "));
            Also {
                text: format!("{from}{}", d.text),
                recheck: d.review == ReviewStatus::NeedsReview,
                at: super::at(kb, &d.source, d.at.as_deref()),
                source: super::source(kb, &d.source, d.at.as_deref()),
            }
        })
        .collect()
}

/// What no formula knows, in brackets, so that nobody prints it unseen. Article 19(1)(a), (c) and (f) of Regulation (EC)
/// No 1223/2009; 21 USC 362(b) and 364e; Consumer Packaging and Labelling Regulations, s. 13; Cosmetic Regulations, s. 20.
pub fn to_fill_in(market: Market, f: &Formula) -> Vec<String> {
    let mut out: Vec<&str> = Vec::new();
    if f.fields.product_kind.is_none() {
        out.push("[what the product is for, unless that is plain]");
    }
    // Cosmetic Regulations, s. 18: what the label must say stands in both languages, and the maker's word is in one.
    if market == Market::Canada && f.fields.product_word.is_some() {
        out.push("[what the product is, in the other of English and French]");
    }
    if matches!(market, Market::EuropeanUnion | Market::UnitedKingdom) && !f.fields.use_at_once {
        out.push("[best used before the end of: month and year; or the open jar: months]");
    }
    out.extend_from_slice(match market {
        Market::UnitedStates => &[
            "[name and place of business]",
            "[US address, US telephone number or electronic contact]",
        ],
        Market::Canada => &[
            "[name and principal place of business]",
            "[telephone number, e-mail, website or postal address for questions]",
        ],
        _ => {
            &["[name and address of the responsible person; country of origin where imported]"][..]
        }
    });
    out.into_iter().map(str::to_owned).collect()
}
