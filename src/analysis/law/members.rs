//! Which rows hold a substance, and how much of it the law counts.

use crate::kb::role::Role;
use crate::kb::schema::{Constituent, Ingredient};
use crate::kb::{Id, Kb};
use crate::model::Formula;
use crate::model::component::{Component, ComponentKind};
use rust_decimal::Decimal;

/// A row that holds a substance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Member {
    pub id: Id,
    pub row: usize,
    pub percent: Decimal,
    pub counted: Decimal,
    /// The least and the most that the published contents of its natural material bring, as counted.
    pub lowest: Decimal,
    pub highest: Decimal,
}

/// The rows that hold a substance for a purpose, counted as the law counts.
pub(super) fn members(
    f: &Formula,
    kb: &Kb,
    id: Id,
    purpose: Option<&str>,
    r#as: Option<&str>,
) -> Vec<Member> {
    let entry = kb.get(id);
    let Some(factor) = factor(kb, entry, r#as) else {
        return Vec::new();
    };
    f.components_of(id)
        .iter()
        .filter(|s| purpose.is_none_or(|p| serves(f, kb, s, entry, p)))
        .map(|s| {
            // A natural constituent by its usual share; what the maker doses by the most that may go in.
            let (low, percent) = if s.kind == ComponentKind::Constituent {
                (s.min, s.typical)
            } else {
                (s.max, s.max)
            };
            Member {
                id,
                row: s.row,
                percent,
                counted: percent * factor,
                lowest: low * factor,
                highest: s.max * factor,
            }
        })
        .filter(|m| !m.percent.is_zero())
        .collect()
}

/// As `members`, and rows that are there in whatever amount it takes.
pub(super) fn members_or_enough(
    f: &Formula,
    kb: &Kb,
    id: Id,
    purpose: Option<&str>,
) -> Vec<Member> {
    let entry = kb.get(id);
    f.components_of(id)
        .iter()
        .filter(|s| {
            s.kind != ComponentKind::Constituent
                && purpose.is_none_or(|p| serves(f, kb, s, entry, p))
        })
        .map(|s| Member {
            id,
            row: s.row,
            percent: s.max,
            counted: s.max,
            lowest: s.max,
            highest: s.max,
        })
        .collect()
}

/// The record that says how much of a member is in the natural material of its row.
pub fn constituent<'a>(f: &Formula, kb: &'a Kb, member: &Member) -> Option<&'a Constituent> {
    let of = &kb.get(member.id).id;
    kb.get(f.rows[member.row].id()?)
        .constituents
        .iter()
        .find(|c| &c.of == of)
}

/// What one gram counts for, by molar mass; none where it cannot be counted so.
pub fn factor(kb: &Kb, entry: &Ingredient, r#as: Option<&str>) -> Option<Decimal> {
    let Some(target) = r#as.filter(|t| *t != entry.id) else {
        return Some(Decimal::ONE);
    };
    let moles = entry.counts_as.iter().find(|y| y.of == target)?.moles.0;
    let own = entry.molar_mass.as_deref()?.value.0;
    let other = kb.substance(target)?.1.molar_mass.as_deref()?.value.0;
    (moles * other).checked_div(own)
}

/// Whether a component serves a purpose: what the file says (`as preservative`), else the material's first role.
fn serves(f: &Formula, kb: &Kb, part: &Component, entry: &Ingredient, purpose: &str) -> bool {
    let row = &f.rows[part.row];
    if let Some(said) = &row.purpose {
        return said.value == purpose;
    }
    let by_role = |i: &Ingredient| i.roles.primary().is_some_and(|r| purpose_of(r) == purpose);
    // In a blend sold for one purpose every part that can serve it does.
    let in_blend = |blend: &Ingredient| {
        by_role(blend) && entry.roles.iter().any(|r| purpose_of(*r) == purpose)
    };
    if part.kind == ComponentKind::Constituent {
        let brings = kb.get(part.by);
        return if brings.roles.primary_is(Role::Preservative) {
            in_blend(brings)
        } else {
            purpose == "fragrance"
        };
    }
    let row_entry = row.id().map(|id| kb.get(id));
    by_role(entry) || row_entry.is_some_and(|r| !r.composition.is_empty() && in_blend(r))
}

/// The purpose that a role stands for in law.
pub fn purpose_of(role: Role) -> &'static str {
    match role {
        Role::Pigment | Role::Dye | Role::Pearl => "colourant",
        Role::Aroma | Role::EssentialOil => "fragrance",
        Role::Acid | Role::Base | Role::Buffer => "ph-adjuster",
        Role::Conditioner => "conditioning",
        other => other.as_str(),
    }
}
