//! Fragrance allergens that the label names: from all that brings them, against the threshold of the product.
//! (EU) 2023/1545: above 0.001 % in what stays on the skin, above 0.01 % in what is rinsed off, whatever brings them.

use super::order::{Listed, Place};
use super::parts::Parts;
use crate::chem::allergens::{self, Range, Source, Verdict};
use crate::kb::law::Law;
use crate::kb::schema::Allergen;
use crate::kb::{Id, Kb};
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
pub struct Found {
    pub now: Vec<Declaration>,
    /// First day, name: in the product, not yet asked for.
    pub later: Vec<(String, String)>,
    /// Last day of sale of products that were there before, where one of `now` is younger than they are.
    pub sell_through: Option<String>,
    /// Ingredients of the list that the law names in other words: theirs, its.
    pub renamed: Vec<(String, String)>,
}

/// `leave_on`: by the stricter threshold.
pub fn find(
    law: &Law,
    parts: &Parts,
    list: &[Listed],
    kb: &Kb,
    leave_on: bool,
    today: &str,
) -> Found {
    let mut out = Found {
        now: Vec::new(),
        later: Vec::new(),
        sell_through: None,
        renamed: Vec::new(),
    };
    for one in law.allergen.iter() {
        let Some(found) = declaration(one, parts, list, kb, leave_on) else {
            continue;
        };
        if let Some(day) = one.from.as_deref().filter(|day| *day > today) {
            out.later.push((day.to_owned(), one.name.to_string()));
            continue;
        }
        if let Some(day) = one.sell_through.as_deref().filter(|day| *day >= today) {
            out.sell_through = out.sell_through.max(Some(day.to_owned()));
        }
        if !found.listed {
            let own = own(one, parts, kb).filter_map(|(_, id)| kb.get(id).inci.clone());
            out.renamed
                .extend(own.map(|name| (name.into(), one.name.to_string())));
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

fn ids<'a>(one: &'a Allergen, kb: &'a Kb) -> impl Iterator<Item = Id> + 'a {
    one.substances.iter().filter_map(|s| kb.by_id(s))
}

/// What is in the formula as an ingredient of its own: percent and substance.
fn own<'a>(
    one: &'a Allergen,
    parts: &'a Parts,
    kb: &'a Kb,
) -> impl Iterator<Item = (Decimal, Id)> + 'a {
    ids(one, kb)
        .filter_map(|id| Some((parts.of.get(&id)?.percent, id)))
        .filter(|(p, _)| !p.is_zero())
}

fn declaration(
    one: &Allergen,
    parts: &Parts,
    list: &[Listed],
    kb: &Kb,
    leave_on: bool,
) -> Option<Declaration> {
    let threshold = if leave_on {
        one.leave_on_percent.0
    } else {
        one.rinse_off_percent.0
    };
    let whole = Range {
        low: Decimal::ONE_HUNDRED,
        usual: Decimal::ONE_HUNDRED,
        high: Decimal::ONE_HUNDRED,
    };
    let pure: Vec<Source> = own(one, parts, kb)
        .map(|(percent, _)| Source {
            percent,
            content: whole,
        })
        .collect();
    let wanted: Vec<Id> = ids(one, kb).collect();
    let brought: Vec<_> = parts
        .brought
        .iter()
        .filter(|b| wanted.contains(&b.of))
        .collect();
    let sum = |most: bool| {
        let natural = brought.iter().map(|b| Source {
            percent: if most { b.most } else { b.usual },
            content: b.content,
        });
        allergens::total(&pure.iter().copied().chain(natural).collect::<Vec<_>>()).ok()
    };
    let total = Range {
        high: sum(true)?.high,
        ..sum(false)?
    };
    let declared = match allergens::verdict(total, threshold) {
        Verdict::Declare => Declared::Yes,
        Verdict::Likely => Declared::Likely,
        Verdict::Possible => Declared::Possible,
        Verdict::Below => return None,
    };
    let mut from: Vec<String> = own(one, parts, kb)
        .map(|(_, id)| kb.name(id).to_owned())
        .collect();
    from.extend(brought.iter().map(|b| kb.name(b.by).to_owned()));
    from.sort();
    from.dedup();
    let usual = if pure.is_empty() && brought.iter().all(|b| b.top_only) {
        total.high
    } else {
        total.usual
    };
    Some(Declaration {
        listed: list.iter().any(|l| l.name.eq_ignore_ascii_case(&one.name)),
        name: one.name.to_string(),
        percent: estimate(usual),
        low_percent: estimate(total.low),
        high_percent: estimate(total.high),
        declared,
        from,
        at: super::at(kb, &one.source, one.at.as_deref()),
        source: super::source(kb, &one.source, one.at.as_deref()),
    })
}

/// Three figures are more than an analysis of an oil is good for.
fn estimate(n: Decimal) -> f64 {
    n.round_sf(3).unwrap_or(n).to_f64().unwrap_or_default()
}
