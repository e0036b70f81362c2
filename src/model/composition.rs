//! What is in a row, really: through blends, solutions and formulas made earlier, down to substances.
//!
//! What an entry holds comes from [`Kb::contents`], what a formula holds is worked out only here. Sums, law, label and rules read the
//! result, [`Formula::components`].

use super::component::{Component, Gap, Unknown};
use super::formula::{Formula, Material, Row};
use crate::kb::schema::{Dissolves, Figure, Ingredient};
use crate::kb::{Id, Kb, Strength, StrengthBasis};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

/// All that one row holds. `false`: part of it is not known.
pub fn walk_row(
    kb: &Kb,
    row_number: usize,
    row: &Row,
    out: &mut Vec<Component>,
    gaps: &mut Vec<Gap>,
) -> bool {
    let Some(percent) = row.percent else {
        return false;
    };
    let most = row.most.unwrap_or(percent).max(percent);
    let mut walk = Walk {
        kb,
        row: row_number,
        colours: row.purpose.as_ref().is_some_and(|p| p.value == "colourant"),
        unmeasured: percent.is_zero() && matches!(row.amount.value, Amount::Enough { .. }),
        out,
        gaps,
        complete: true,
        bought: true,
    };
    match &row.material {
        Material::Known { id, strength } => walk.material(*id, *strength, percent, most),
        Material::Nested(inner) => walk.nested(inner, percent, most),
        Material::Ambiguous(_) => walk.gap(&row.name.value, percent, Unknown::Ambiguous),
        Material::Unknown => walk.gap(&row.name.value, percent, Unknown::Material),
        Material::Unusable(_) => walk.gap(&row.name.value, percent, Unknown::File),
    }
    walk.complete
}

struct Walk<'a> {
    kb: &'a Kb,
    row: usize,
    colours: bool,
    unmeasured: bool,
    out: &'a mut Vec<Component>,
    gaps: &'a mut Vec<Gap>,
    complete: bool,
    /// The next whole entry is the row's own material, not what it is made up with.
    bought: bool,
}

impl Walk<'_> {
    fn material(&mut self, id: Id, strength: Option<Strength>, typical: Decimal, max: Decimal) {
        let Some(strength) = strength else {
            return self.pure(id, typical, max);
        };
        let (share, carrier) = strength_by_weight(self.kb, id, strength);
        self.pure(id, typical * share, max * share);
        let rest = Decimal::ONE - share;
        match carrier {
            Some(c) if !rest.is_zero() => self.pure(c, typical * rest, max * rest),
            _ if rest.is_zero() => {}
            _ => {
                let name = format!("what dilutes {}", self.kb.name(id));
                self.gap(&name, typical * rest, Unknown::Carrier);
            }
        }
    }

    fn gap(&mut self, name: &str, percent: Decimal, why: Unknown) {
        self.complete = false;
        self.gaps.push(Gap {
            name: name.into(),
            row: self.row,
            percent,
            why,
            unmeasured: self.unmeasured,
        });
    }

    fn pure(&mut self, id: Id, typical: Decimal, max: Decimal) {
        let contents = self.kb.contents(id);
        for c in &contents.all {
            self.out.push(Component {
                id: c.id,
                row: self.row,
                min: typical * c.min,
                typical: typical * c.typical,
                max: max * c.max,
                kind: c.kind,
                by: c.by,
                open: c.open,
                listed: c.listed,
                hidden: c.hidden,
                bought: c.is_whole && std::mem::take(&mut self.bought),
                colours: self.colours,
                unmeasured: self.unmeasured,
                top_only: c.top_only,
            });
        }
        self.complete &= !contents.is_partial;
        for (name, share) in &contents.unknown {
            self.gap(name, typical * share, Unknown::Material);
        }
    }

    fn nested(&mut self, inner: &Formula, typical: Decimal, max: Decimal) {
        self.complete &= !inner.has_unknown;
        for s in &inner.components {
            let part = s.typical / Decimal::ONE_HUNDRED;
            self.out.push(Component {
                row: self.row,
                min: typical * s.min / Decimal::ONE_HUNDRED,
                typical: typical * part,
                max: max * s.max / Decimal::ONE_HUNDRED,
                ..*s
            });
        }
        self.gaps.extend(inner.gaps.iter().map(|g| Gap {
            name: g.name.clone(),
            row: self.row,
            percent: typical * g.percent / Decimal::ONE_HUNDRED,
            ..*g
        }));
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
