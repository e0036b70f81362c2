//! What is in a row, really: through blends, solutions and formulas made earlier, down to substances.

use super::formula::{Formula, Material, Row};
use crate::kb::schema::{Dissolves, Figure, Ingredient};
use crate::kb::{Id, Kb, Strength, StrengthBasis};
use rust_decimal::Decimal;

/// A substance in a row, in percent of the whole formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    pub id: Id,
    pub row: usize,
    /// The least: the low share of a natural constituent, nothing where none is published; else as `usual`.
    pub low: Decimal,
    pub usual: Decimal,
    /// The most: with the row's 'at most', and the high share of a natural constituent.
    pub high: Decimal,
    pub what: ShareOf,
    /// What brings it: the natural material of a constituent, the blend with a name of its own, else itself.
    pub by: Id,
    /// It stands in the label's list under its own name, not inside something that does.
    pub listed: bool,
    /// Of a constituent: only its highest share is known.
    pub top_only: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShareOf {
    /// The material itself, pure.
    Substance,
    /// A blend as a whole; its parts stand beside it.
    Blend,
    /// Inside a natural material: counted for law and label, never in a sum to 100.
    Constituent,
}

/// Blends may hold blends; a chain longer than this is a fault of the data.
const DEEPEST: u8 = 8;

/// All shares of one row. `false`: part of it is not known.
pub fn shares(kb: &Kb, row_number: usize, row: &Row, out: &mut Vec<Share>) -> bool {
    let Some(percent) = row.percent else {
        return false;
    };
    let most = row.most.unwrap_or(percent).max(percent);
    let mut walk = Walk {
        kb,
        row: row_number,
        out,
        complete: true,
        named: None,
    };
    match &row.material {
        Material::Known { id, strength } => walk.material(*id, *strength, percent, most, 0),
        Material::Nested(inner) => walk.nested(inner, percent, most),
        Material::Ambiguous(_) | Material::Unknown | Material::Unusable(_) => walk.complete = false,
    }
    walk.complete
}

struct Walk<'a> {
    kb: &'a Kb,
    row: usize,
    out: &'a mut Vec<Share>,
    complete: bool,
    /// The blend that the label's list names instead of its parts.
    named: Option<Id>,
}

impl Walk<'_> {
    fn material(
        &mut self,
        id: Id,
        strength: Option<Strength>,
        usual: Decimal,
        high: Decimal,
        depth: u8,
    ) {
        let Some(strength) = strength else {
            return self.pure(id, usual, high, depth);
        };
        let (share, carrier) = strength_by_weight(self.kb, id, strength);
        self.pure(id, usual * share, high * share, depth);
        let rest = Decimal::ONE - share;
        match carrier {
            Some(c) if !rest.is_zero() => self.pure(c, usual * rest, high * rest, depth),
            Some(_) => {}
            None => self.complete &= rest.is_zero(),
        }
    }

    fn pure(&mut self, id: Id, usual: Decimal, high: Decimal, depth: u8) {
        let one = self.kb.get(id);
        let what = if one.composition.is_empty() {
            ShareOf::Substance
        } else {
            ShareOf::Blend
        };
        let outer = self.named;
        self.out.push(Share {
            id,
            row: self.row,
            low: usual,
            usual,
            high,
            what,
            by: outer.unwrap_or(id),
            listed: outer.is_none() && has_label_name(one),
            top_only: false,
        });
        for c in &one.constituents {
            let Some(cid) = self.kb.by_id(&c.of) else {
                continue;
            };
            let high_share =
                c.high.or(c.usual).or(c.low).map_or(Decimal::ZERO, |n| n.0) / Decimal::ONE_HUNDRED;
            let usual_share = c
                .usual
                .map(|n| n.0)
                .or_else(|| c.low.zip(c.high).map(|(l, h)| (l.0 + h.0) / Decimal::TWO));
            let top_only = usual_share.is_none();
            let usual_share = usual_share.map_or(high_share, |n| n / Decimal::ONE_HUNDRED);
            self.out.push(Share {
                id: cid,
                row: self.row,
                low: usual * c.low.map_or(Decimal::ZERO, |n| n.0 / Decimal::ONE_HUNDRED),
                usual: usual * usual_share,
                high: high * high_share,
                what: ShareOf::Constituent,
                by: id,
                listed: false,
                top_only,
            });
        }
        if depth == DEEPEST {
            self.complete = false;
            return;
        }
        if outer.is_none() && has_label_name(one) {
            self.named = Some(id);
        }
        for p in &one.composition {
            let part = p.percent.0 / Decimal::ONE_HUNDRED;
            match self.kb.by_id(&p.of) {
                Some(pid) => {
                    let above = self.named;
                    if p.hidden && above.is_none() {
                        self.named = Some(id);
                    }
                    self.pure(pid, usual * part, high * part, depth + 1);
                    self.named = above;
                }
                None => self.complete = false,
            }
        }
        self.named = outer;
    }

    fn nested(&mut self, inner: &Formula, usual: Decimal, high: Decimal) {
        self.complete &= !inner.has_unknown;
        for s in &inner.shares {
            let part = s.usual / Decimal::ONE_HUNDRED;
            self.out.push(Share {
                row: self.row,
                low: usual * s.low / Decimal::ONE_HUNDRED,
                usual: usual * part,
                high: high * s.high / Decimal::ONE_HUNDRED,
                ..*s
            });
        }
    }
}

/// Grams in a millilitre of a row's material as a spoon or cup takes it: of a powder, with the air in it.
pub fn measured_density(kb: &Kb, material: &Material) -> Option<Decimal> {
    bulk_density(kb, material)
        .map(|d| d.value.0)
        .or_else(|| row_density(kb, material))
}

/// The bulk density of a row's material, where it is a powder with a known one.
pub fn bulk_density<'a>(kb: &'a Kb, material: &Material) -> Option<&'a Figure> {
    match material {
        Material::Known { id, strength: None } => kb.get(*id).bulk_density_g_ml.as_deref(),
        _ => None,
    }
}

/// Whether the label's list has a name for it: a blend with one stands under that, one without is its parts.
pub fn has_label_name(one: &Ingredient) -> bool {
    one.inci.is_some() || one.inci_us.is_some() || one.ci.is_some()
}

/// Density of a row's material in g/mL, where it is known; of a solution from its two sides, volumes taken as additive.
pub fn row_density(kb: &Kb, material: &Material) -> Option<Decimal> {
    let Material::Known { id, strength } = material else {
        return None;
    };
    let one = kb.get(*id);
    let own = one.density_g_ml.as_deref()?.value.0;
    let Some(strength) = strength else {
        return Some(own);
    };
    let other = kb.get(carrier(kb, one)?).density_g_ml.as_ref()?.value.0;
    let share = by_weight(one, Some(kb.get(carrier(kb, one)?)), *strength);
    Decimal::ONE.checked_div(share / own + (Decimal::ONE - share) / other)
}

/// Grams of the material itself in a gram of what a name with this strength means, and what it is made up with.
pub fn strength_by_weight(kb: &Kb, id: Id, strength: Strength) -> (Decimal, Option<Id>) {
    let one = kb.get(id);
    let carrier = carrier(kb, one);
    (
        by_weight(one, carrier.map(|c| kb.get(c)), strength),
        carrier,
    )
}

/// What a strength is made up with: the entry's carrier, else water for what dissolves in water.
fn carrier(kb: &Kb, one: &Ingredient) -> Option<Id> {
    match &one.carrier {
        Some(c) => kb.by_id(c),
        None if matches!(one.dissolves, Some(Dissolves::Water | Dissolves::Both)) => {
            kb.by_id("water")
        }
        None => None,
    }
}

/// A strength as a share by weight. By volume goes through the densities (volumes taken as additive: for ethanol in water
/// this reads up to 2 percentage points high); weight in volume through the density of the carrier.
fn by_weight(one: &Ingredient, carrier: Option<&Ingredient>, strength: Strength) -> Decimal {
    let share = strength.percent / Decimal::ONE_HUNDRED;
    let density = |i: &Ingredient| {
        i.density_g_ml
            .as_deref()
            .map_or(Decimal::ONE, |d| d.value.0)
    };
    let of_carrier = carrier.map_or(Decimal::ONE, density);
    match strength.basis {
        StrengthBasis::ByWeight => share,
        StrengthBasis::ByVolume => {
            let active = share * density(one);
            let rest = (Decimal::ONE - share) * of_carrier;
            if (active + rest).is_zero() {
                share
            } else {
                active / (active + rest)
            }
        }
        // `share` grams in each mL, filled up with the carrier around the active's own volume.
        StrengthBasis::WeightInVolume => {
            let own_volume = share / density(one).max(Decimal::new(1, 1));
            let rest = (Decimal::ONE - own_volume).max(Decimal::ZERO) * of_carrier;
            if (share + rest).is_zero() {
                share
            } else {
                share / (share + rest)
            }
        }
    }
}
