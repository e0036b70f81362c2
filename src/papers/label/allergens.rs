//! Fragrance allergens that the label names: from all that brings them, against the threshold of the product.
//! (EU) 2023/1545: above 0.001 % in what stays on the skin, above 0.01 % in what is rinsed off, whatever brings them.

use super::order::{Listed, Place};
use crate::analysis::law::{AllergenHit, Hits};
use crate::chem::allergens::Verdict;
use crate::kb::Kb;
use crate::kb::law::Law;
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

/// How sure it is that the label has to name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Declared {
    /// Even the lowest known share is above the threshold.
    Yes,
    /// The usual share is.
    Likely,
    /// Only the highest known share is: the analysis of the lot decides.
    Possible,
}

impl Declared {
    pub fn name(self) -> &'static str {
        match self {
            Declared::Yes => "yes",
            Declared::Likely => "likely",
            Declared::Possible => "possible",
        }
    }
}

#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct Declaration {
    /// As the label prints it.
    pub name: String,
    /// Of the product, usual; the highest where nothing else is known.
    pub percent: f64,
    pub low_percent: f64,
    pub high_percent: f64,
    pub declared: Declared,
    /// The list holds it anyway, as an ingredient of its own.
    pub listed: bool,
    /// What brings it.
    pub from: Vec<String>,
    /// The place in the act.
    pub at: String,
    pub source: String,
}

/// What the law of one market makes of the product.
pub struct AllergensFound {
    pub now: Vec<Declaration>,
    /// First day, name: in the product, not yet asked for.
    pub later: Vec<(String, String)>,
    /// Last day of sale of products that were there before, where one of `now` is younger than they are.
    pub sell_through: Option<String>,
    /// Ingredients of the list that the law names in other words: theirs, its.
    pub renamed: Vec<(String, String)>,
}

/// The hits of one market.
pub fn find(law: &Law, hits: &Hits<AllergenHit>, list: &[Listed], kb: &Kb) -> AllergensFound {
    let here = |h: &&AllergenHit| h.market == law.market;
    let mut out = AllergensFound {
        now: Vec::new(),
        later: Vec::new(),
        sell_through: None,
        renamed: Vec::new(),
    };
    for hit in hits.announced().filter(here) {
        let day = hit
            .status
            .from()
            .map_or_else(String::new, |d| d.to_string());
        out.later.push((day, hit.allergen.name.to_string()));
    }
    for hit in hits.in_force().filter(here) {
        out.sell_through = out
            .sell_through
            .max(hit.status.sell_through().map(|d| d.to_string()));
        let found = declaration(hit, list, kb);
        if !found.listed {
            let own = hit.own.iter().filter_map(|id| kb.get(*id).inci.clone());
            out.renamed
                .extend(own.map(|name| (name.into(), hit.allergen.name.to_string())));
        }
        out.now.push(found);
    }
    out.now.sort_by(|a, b| a.name.cmp(&b.name));
    out
}

/// The names that go into the list, with the place where they stand.
pub fn names(found: &[Declaration]) -> impl Iterator<Item = Listed> + '_ {
    found.iter().filter(|d| !d.listed).map(|d| Listed {
        name: d.name.clone(),
        percent: None,
        place: Place::Allergen,
        lines: Vec::new(),
        missing: false,
    })
}

fn declaration(hit: &AllergenHit, list: &[Listed], kb: &Kb) -> Declaration {
    let one = hit.allergen;
    let declared = match hit.verdict {
        Verdict::Declare => Declared::Yes,
        Verdict::Likely => Declared::Likely,
        Verdict::Possible | Verdict::Below => Declared::Possible,
    };
    let mut from: Vec<String> = hit.by.iter().map(|id| kb.name(*id).to_owned()).collect();
    from.sort();
    from.dedup();
    let usual = if hit.top_only {
        hit.total.high
    } else {
        hit.total.usual
    };
    Declaration {
        listed: list.iter().any(|l| l.name.eq_ignore_ascii_case(&one.name)),
        name: one.name.to_string(),
        percent: estimate(usual),
        low_percent: estimate(hit.total.low),
        high_percent: estimate(hit.total.high),
        declared,
        from,
        at: super::at(kb, &one.source, one.at.as_deref()),
        source: super::source(kb, &one.source, one.at.as_deref()),
    }
}

/// Three figures are more than an analysis of an oil is good for.
fn estimate(n: Decimal) -> f64 {
    n.round_sf(3).unwrap_or(n).to_f64().unwrap_or_default()
}
