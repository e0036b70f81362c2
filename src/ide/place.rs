//! What a phase is for, and whether a material fits it.

use super::Snapshot;
use crate::kb::schema::{Ingredient, PhaseKind};
use crate::model::{Formula, system};
use crate::syntax::tree::Heat;
use rust_decimal::Decimal;

/// What a phase is: by its name, its heat, else by what is in it.
pub fn kind_of(s: &Snapshot, f: &Formula, phase: usize) -> Option<PhaseKind> {
    let p = &f.phases[phase];
    let name = p.name.as_deref().unwrap_or("").to_lowercase();
    let named = [
        ("cool", PhaseKind::CoolDown),
        ("surfactant", PhaseKind::Surfactant),
        ("powder", PhaseKind::Powder),
        ("oil", PhaseKind::Oil),
        ("fat", PhaseKind::Oil),
        ("wax", PhaseKind::Oil),
        ("water", PhaseKind::Water),
        ("aqueous", PhaseKind::Water),
    ];
    if let Some((_, kind)) = named.into_iter().find(|(word, _)| name.contains(word)) {
        return Some(kind);
    }
    if p.premix {
        return None;
    }
    if p.heat
        .as_ref()
        .is_some_and(|h| matches!(h.value, Heat::Below(_)))
    {
        return Some(PhaseKind::CoolDown);
    }
    if p.dry {
        return Some(PhaseKind::Powder);
    }
    by_content(s, f, phase)
}

fn by_content(s: &Snapshot, f: &Formula, phase: usize) -> Option<PhaseKind> {
    let (mut water, mut oil, mut all) = (Decimal::ZERO, Decimal::ZERO, Decimal::ZERO);
    for (_, row) in f.rows_of(phase) {
        let (Some(id), Some(percent)) = (row.id(), row.percent) else {
            continue;
        };
        let entry = s.kb.get(id);
        all += percent;
        if system::is_water(entry) {
            water += percent;
        } else if system::is_oily(entry) {
            oil += percent;
        }
    }
    match (water * Decimal::TWO > all, oil * Decimal::TWO > all) {
        (true, _) => Some(PhaseKind::Water),
        (_, true) => Some(PhaseKind::Oil),
        _ => None,
    }
}

/// How well a material fits a kind of phase: 0 best, 1 well, 2 not named there.
pub fn fit(one: &Ingredient, wanted: Option<PhaseKind>) -> u8 {
    let Some(wanted) = wanted else { return 0 };
    match one
        .phase
        .iter()
        .position(|p| *p == wanted || *p == PhaseKind::Any)
    {
        Some(0) => 0,
        Some(_) => 1,
        None if wanted == PhaseKind::CoolDown && one.add_below_c.is_some() => 1,
        None => 2,
    }
}
