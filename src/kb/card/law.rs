//! What the law of some markets says of an ingredient: of itself, of the parts of a blend, of what it naturally holds.

use super::sources::Sources;
use crate::kb::law::Law;
use crate::kb::schema::{
    Allergen, Ban, Colour, Ingredient, Limit, Medicine, ReviewStatus, Warning,
};
use crate::kb::{ComponentKind, Kb, Market};
use rust_decimal::Decimal;
use serde::Serialize;
use smol_str::SmolStr;

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardLimit {
    pub market: Market,
    /// Id of what is limited, where it is a part of this material.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substance: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substance_name: Option<String>,
    /// Words of the products that it applies to; empty: to all.
    pub scope: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_scope: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<SmolStr>,
    /// Exact, as a decimal string.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_percent: Option<String>,
    /// Id of the substance that it is counted as.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub r#as: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_name: Option<String>,
    /// How much of this very material that allows, where it is not the same.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of_this_percent: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph_min: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ph_max: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conditions: Option<SmolStr>,
    /// First day on which a new product must follow it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<SmolStr>,
    /// The text has to be seen again.
    pub recheck: bool,
    pub source: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SmolStr>,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardBan {
    pub market: Market,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substance: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substance_name: Option<String>,
    /// Not in these products; with `only_scope` empty too: in none.
    pub in_scope: Vec<SmolStr>,
    /// Only in these products.
    pub only_scope: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub purpose: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trace_percent: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conditions: Option<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<SmolStr>,
    pub recheck: bool,
    pub source: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SmolStr>,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardColour {
    pub market: Market,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub eye: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lip: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub external: Option<bool>,
    pub rinse_off_only: bool,
    pub certified: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_percent: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conditions: Option<SmolStr>,
    pub recheck: bool,
    pub source: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SmolStr>,
}

/// A fragrance allergen that the label may have to name.
#[derive(Serialize, Clone, Debug, PartialEq)]
pub struct CardAllergen {
    pub name: SmolStr,
    /// Share of this material: the usual one, else the middle of what is known.
    pub percent: f64,
    pub markets: Vec<Market>,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardWarning {
    pub market: Market,
    pub text: SmolStr,
    pub scope: Vec<SmolStr>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above_percent: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conditions: Option<SmolStr>,
    pub recheck: bool,
    pub source: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SmolStr>,
}

#[derive(Serialize, Clone, Debug, PartialEq, Eq)]
pub struct CardMedicine {
    pub market: Market,
    pub text: SmolStr,
    pub recheck: bool,
    pub source: SmolStr,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<SmolStr>,
}

#[derive(Default)]
pub(super) struct Seen {
    pub limits: Vec<CardLimit>,
    pub banned_in: Vec<Market>,
    pub bans: Vec<CardBan>,
    pub colours: Vec<CardColour>,
    pub allergens: Vec<CardAllergen>,
    pub warnings: Vec<CardWarning>,
    pub medicines: Vec<CardMedicine>,
}

/// A substance of the material with its share, 0 to 1.
struct Held<'a> {
    one: &'a Ingredient,
    share: Decimal,
    /// The material itself.
    own: bool,
    /// It occurs by nature, its share is an estimate.
    natural: bool,
}

/// What the material holds, as the composition of a formula counts it.
fn held<'a>(kb: &'a Kb, one: &Ingredient) -> Vec<Held<'a>> {
    let contents = kb.by_id(&one.id).map(|id| kb.contents(id));
    let all = contents.unwrap_or_default().all.into_iter();
    all.map(|c| Held {
        one: kb.get(c.id),
        share: c.typical,
        own: c.is_whole,
        natural: c.kind == ComponentKind::Constituent,
    })
    .filter(|h| !(h.natural && h.share.is_zero()))
    .collect()
}

impl Seen {
    pub(super) fn of(kb: &Kb, one: &Ingredient, markets: &[Market], sources: &mut Sources) -> Seen {
        let mut out = Seen::default();
        for h in &held(kb, one) {
            let Some(id) = kb.by_id(&h.one.id) else {
                continue;
            };
            for law in kb.laws_of(markets) {
                let part = (!h.own).then(|| kb.name(id).to_owned());
                law.limit
                    .naming(id)
                    .for_each(|row| out.limit(kb, law, row, h, part.clone(), sources));
                law.ban
                    .naming(id)
                    .for_each(|row| out.ban(law, row, h, part.clone(), sources));
                law.allergen
                    .naming(id)
                    .for_each(|row| out.allergen(law, row, h, sources));
                if !h.natural {
                    law.colour
                        .naming(id)
                        .for_each(|row| out.colour(law, row, sources));
                    law.warning
                        .naming(id)
                        .for_each(|row| out.warning(law, row, sources));
                }
                // A claim together with the substance is what makes the medicine; the substance alone does not.
                if h.own {
                    law.medicine
                        .naming(id)
                        .filter(|m| m.claims.is_empty())
                        .for_each(|row| out.medicine(law, row, sources));
                }
            }
        }
        out.banned_in.dedup();
        out.allergens.sort_by(|a, b| {
            b.percent
                .total_cmp(&a.percent)
                .then_with(|| a.name.cmp(&b.name))
        });
        out
    }

    fn colour(&mut self, law: &Law, c: &Colour, sources: &mut Sources) {
        self.colours.push(CardColour {
            market: law.market,
            eye: c.eye,
            lip: c.lip,
            external: c.external,
            rinse_off_only: c.rinse_off_only,
            certified: c.certified,
            max_percent: c.max_percent.map(|m| m.to_string()),
            conditions: c.conditions.clone(),
            recheck: c.review == ReviewStatus::NeedsReview,
            source: sources.take(&c.source, None),
            at: c.at.clone(),
        });
    }

    fn allergen(&mut self, law: &Law, a: &Allergen, h: &Held, sources: &mut Sources) {
        sources.take(&a.source, None);
        let percent = percent_of(h.share);
        match self.allergens.iter_mut().find(|x| x.name == a.name) {
            Some(x) if x.markets.contains(&law.market) => x.percent += percent,
            Some(x) => x.markets.push(law.market),
            None => self.allergens.push(CardAllergen {
                name: a.name.clone(),
                percent,
                markets: vec![law.market],
            }),
        }
    }

    fn warning(&mut self, law: &Law, w: &Warning, sources: &mut Sources) {
        self.warnings.push(CardWarning {
            market: law.market,
            text: w.text.clone(),
            scope: w.scope.clone(),
            above_percent: w.above_percent.map(|p| p.to_string()),
            conditions: w.conditions.clone(),
            recheck: w.review == ReviewStatus::NeedsReview,
            source: sources.take(&w.source, None),
            at: w.at.clone(),
        });
    }

    fn medicine(&mut self, law: &Law, m: &Medicine, sources: &mut Sources) {
        self.medicines.push(CardMedicine {
            market: law.market,
            text: m.text.clone(),
            recheck: m.review == ReviewStatus::NeedsReview,
            source: sources.take(&m.source, None),
            at: m.at.clone(),
        });
    }

    fn limit(
        &mut self,
        kb: &Kb,
        law: &Law,
        x: &Limit,
        h: &Held,
        substance_name: Option<String>,
        sources: &mut Sources,
    ) {
        // What occurs by nature serves no other purpose than scent.
        if h.natural && x.purpose.as_deref().is_some_and(|p| p != "fragrance") {
            return;
        }
        let factor = factor(kb, h.one, x.r#as.as_deref());
        let of_this = x
            .max_percent
            .zip(factor)
            .and_then(|(max, factor)| max.0.checked_div(factor.checked_mul(h.share)?));
        let of_this_percent = of_this
            .filter(|p| Some(*p) != x.max_percent.map(|m| m.0) && *p < Decimal::ONE_HUNDRED)
            .map(|p| floor(p).to_string());
        // A constituent whose limit even the pure material cannot reach is no news.
        if h.natural && of_this.is_none_or(|p| p >= Decimal::ONE_HUNDRED) {
            return;
        }
        let counted_as = x.r#as.as_ref().filter(|a| **a != h.one.id);
        self.limits.push(CardLimit {
            market: law.market,
            substance: (!h.own).then(|| h.one.id.clone()),
            substance_name,
            scope: x.scope.clone(),
            not_scope: x.not_scope.clone(),
            purpose: x.purpose.clone(),
            max_percent: x.max_percent.map(|m| m.to_string()),
            r#as: counted_as.cloned(),
            as_name: counted_as
                .map(|a| kb.by_id(a).map_or(a.as_str(), |id| kb.name(id)).to_owned()),
            of_this_percent,
            ph_min: x.ph_min.map(|p| p.to_string()),
            ph_max: x.ph_max.map(|p| p.to_string()),
            conditions: x.conditions.clone(),
            from: x.from.clone(),
            recheck: x.review == ReviewStatus::NeedsReview,
            source: sources.take(&x.source, None),
            at: x.at.clone(),
        });
    }

    fn ban(
        &mut self,
        law: &Law,
        b: &Ban,
        h: &Held,
        substance_name: Option<String>,
        sources: &mut Sources,
    ) {
        // Traces inside a natural material count only where the law states the trace.
        if h.natural
            && b.trace_percent
                .is_none_or(|t| percent_of(h.share) <= t.f64())
        {
            return;
        }
        let outright =
            b.in_scope.is_empty() && b.only_scope.is_empty() && b.purpose.is_none() && !h.natural;
        if outright && !self.banned_in.contains(&law.market) {
            self.banned_in.push(law.market);
        }
        self.bans.push(CardBan {
            market: law.market,
            substance: (!h.own).then(|| h.one.id.clone()),
            substance_name,
            in_scope: b.in_scope.clone(),
            only_scope: b.only_scope.clone(),
            purpose: b.purpose.clone(),
            trace_percent: b.trace_percent.map(|t| t.to_string()),
            conditions: b.conditions.clone(),
            from: b.from.clone(),
            recheck: b.review == ReviewStatus::NeedsReview,
            source: sources.take(&b.source, None),
            at: b.at.clone(),
        });
    }
}

/// What one gram counts for, by molar mass; none where it cannot be counted so.
fn factor(kb: &Kb, one: &Ingredient, r#as: Option<&str>) -> Option<Decimal> {
    let Some(target) = r#as.filter(|t| *t != one.id) else {
        return Some(Decimal::ONE);
    };
    let moles = one.counts_as.iter().find(|y| y.of == target)?.moles.0;
    let other = kb.substance(target)?.1.molar_mass.as_deref()?.value.0;
    (moles * other).checked_div(one.molar_mass.as_deref()?.value.0)
}

/// Downward, so that it is still allowed.
fn floor(n: Decimal) -> Decimal {
    n.round_dp_with_strategy(3, rust_decimal::RoundingStrategy::ToZero)
        .normalize()
}

fn percent_of(share: Decimal) -> f64 {
    crate::chem::float((share * Decimal::ONE_HUNDRED).round_dp(6).normalize())
}
