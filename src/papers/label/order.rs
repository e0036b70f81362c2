//! The list of ingredients in the order of the law: descending by weight; then those in a small share, which the law
//! leaves in any order and which stay in descending order here; then the fragrance allergens; colourants at the end.
//! Article 19(1)(g) of Regulation (EC) No 1223/2009, 21 CFR 701.3(f), s. 21.4 of the Canadian Cosmetic Regulations.

use super::parts::Parts;
use super::spelling;
use crate::kb::Kb;
use crate::kb::law::Law;
use rust_decimal::Decimal;
use serde::Serialize;

/// Where in the list, and why there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// Descending by weight.
    ByWeight,
    /// The share from which the law leaves the order free, or less.
    AnyOrder,
    Allergen,
    Colourant,
}

impl Place {
    pub fn name(self) -> &'static str {
        match self {
            Place::ByWeight => "by-weight",
            Place::AnyOrder => "any-order",
            Place::Allergen => "allergen",
            Place::Colourant => "colourant",
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Place::ByWeight => "by weight",
            Place::AnyOrder => "any order",
            Place::Allergen => "allergen",
            Place::Colourant => "colourant",
        }
    }
}

/// A name of the list.
#[derive(Clone, Debug, Serialize, PartialEq)]
pub struct Listed {
    pub name: String,
    /// Of the whole; none where it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent: Option<Decimal>,
    pub place: Place,
    /// From 1: the rows that it comes from.
    pub lines: Vec<u32>,
    /// The name is not known; a placeholder stands here.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub missing: bool,
}

pub fn list(law: &Law, parts: &Parts, kb: &Kb) -> Vec<Listed> {
    let free = |p: Decimal| {
        p < law.free_order_percent.0 || law.free_order_inclusive && p == law.free_order_percent.0
    };
    let place = |p: Decimal| {
        if free(p) {
            Place::AnyOrder
        } else {
            Place::ByWeight
        }
    };
    let mut all: Vec<Listed> = Vec::new();
    for (id, part) in &parts.of {
        let one = kb.get(*id);
        let name = spelling::name(law.market, one, part);
        let listed = Listed {
            missing: name.is_none(),
            name: name.unwrap_or_else(|| placeholder(kb.name(*id))),
            percent: (!part.unmeasured).then(|| part.percent.normalize()),
            place: if spelling::colours(one, part) {
                Place::Colourant
            } else {
                place(part.percent)
            },
            lines: part.lines.iter().map(|l| l + 1).collect(),
        };
        // Two materials may share a name in one market; the label prints it once.
        match all.iter_mut().find(|l| {
            l.name == listed.name && l.place != Place::Colourant && listed.place != Place::Colourant
        }) {
            Some(same) => {
                let sum = same.percent.unwrap_or_default() + listed.percent.unwrap_or_default();
                same.percent = (same.percent.is_some() || listed.percent.is_some()).then_some(sum);
                same.place = place(sum);
                same.lines.extend(listed.lines);
            }
            None => all.push(listed),
        }
    }
    for gap in &parts.gaps {
        let known = !gap.percent.is_zero();
        all.push(Listed {
            name: placeholder(&gap.name),
            percent: known.then(|| gap.percent.normalize()),
            place: place(gap.percent),
            lines: vec![gap.line + 1],
            missing: true,
        });
    }
    for l in &mut all {
        l.lines.sort_unstable();
        l.lines.dedup();
    }
    sort(&mut all);
    all
}

/// By place, then by weight, equal ones by name; what has no known share at the end of its place.
pub fn sort(all: &mut [Listed]) {
    all.sort_by(|a, b| {
        a.place
            .cmp(&b.place)
            .then_with(|| b.percent.cmp(&a.percent))
            .then_with(|| a.name.cmp(&b.name))
    });
}

/// Brackets, so that nobody prints it unseen.
fn placeholder(name: &str) -> String {
    format!("[{name}: name to be filled in]")
}
