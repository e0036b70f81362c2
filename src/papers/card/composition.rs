//! What the formula is made of: by phase, by kind, by row.

use crate::kb::role::Role;
use crate::kb::schema::Ingredient;
use crate::model::component::ComponentKind;
use crate::model::system::{self, Continuous, System};
use crate::model::{Material, Row};
use crate::papers::FormulaContext;
use rust_decimal::Decimal;
use serde::Serialize;

#[derive(Clone, Debug, Serialize)]
pub struct PhaseShare {
    pub label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    pub percent: Decimal,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Share {
    pub name: String,
    pub percent: Decimal,
}

/// So many rows stand by themselves.
const MAX_ITEMS: usize = 10;

pub(super) fn phases(work: &FormulaContext) -> Vec<PhaseShare> {
    let f = work.formula;
    let sum = |rows: &mut dyn Iterator<Item = &Row>| {
        rows.filter_map(|r| r.percent)
            .sum::<Decimal>()
            .round_dp(4)
            .normalize()
    };
    let mut out: Vec<PhaseShare> = f
        .phases
        .iter()
        .map(|p| PhaseShare {
            label: p.label.to_string(),
            name: p.name.as_deref().map(str::to_owned),
            percent: sum(&mut p.rows.iter().map(|r| &f.rows[*r])),
        })
        .collect();
    if f.rows.iter().any(|r| r.phase.is_none()) {
        let percent = sum(&mut f.rows.iter().filter(|r| r.phase.is_none()));
        out.push(PhaseShare {
            label: String::new(),
            name: None,
            percent,
        });
    }
    out
}

/// By what the materials are there for, blends by their parts; together the whole.
pub(super) fn kinds(work: &FormulaContext, total: Decimal) -> Vec<Share> {
    let mut out: Vec<Share> = KINDS
        .iter()
        .map(|(name, _)| Share {
            name: (*name).to_owned(),
            percent: Decimal::ZERO,
        })
        .collect();
    let mut counted = Decimal::ZERO;
    for s in work
        .formula
        .components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance)
    {
        counted += s.typical;
        out[kind(work.kb.get(s.id))].percent += s.typical;
    }
    let rest = (total - counted).round_dp(6);
    if rest > Decimal::ZERO {
        out.push(Share {
            name: "not known".to_owned(),
            percent: rest,
        });
    }
    out.retain(|s| !s.percent.is_zero());
    for s in &mut out {
        s.percent = s.percent.round_dp(6).normalize();
    }
    out
}

const KINDS: [(&str, &[Role]); 11] = [
    ("water", &[]),
    ("oils, butters, waxes", &[]),
    (
        "emulsifiers",
        &[Role::Emulsifier, Role::CoEmulsifier, Role::Solubilizer],
    ),
    (
        "surfactants and conditioners",
        &[
            Role::Surfactant,
            Role::FoamBooster,
            Role::Conditioner,
            Role::Soap,
        ],
    ),
    (
        "humectants and solvents",
        &[Role::Humectant, Role::Solvent, Role::Sugar],
    ),
    (
        "thickeners and films",
        &[
            Role::Thickener,
            Role::Gum,
            Role::Polymer,
            Role::FilmFormer,
            Role::Stabilizer,
            Role::Starch,
        ],
    ),
    ("preservatives", &[Role::Preservative, Role::Booster]),
    (
        "acids, bases, salts, chelators",
        &[
            Role::Acid,
            Role::Base,
            Role::Buffer,
            Role::Salt,
            Role::Chelator,
        ],
    ),
    (
        "scent and taste",
        &[
            Role::EssentialOil,
            Role::Aroma,
            Role::Fragrance,
            Role::Flavour,
            Role::Sweetener,
        ],
    ),
    (
        "powders and colours",
        &[
            Role::Clay,
            Role::Powder,
            Role::Abrasive,
            Role::Pigment,
            Role::Dye,
            Role::Colourant,
            Role::Pearl,
            Role::Opacifier,
        ],
    ),
    ("actives and others", &[]),
];

fn kind(one: &Ingredient) -> usize {
    if system::is_water(one) {
        return 0;
    }
    if system::is_oily(one) {
        return 1;
    }
    KINDS
        .iter()
        .position(|(_, roles)| one.roles.primary_in(roles))
        .unwrap_or(KINDS.len() - 1)
}

/// The largest rows, the same material together, and the rest.
pub(super) fn largest(work: &FormulaContext) -> Vec<Share> {
    let mut out: Vec<Share> = Vec::new();
    for row in &work.formula.rows {
        let percent = row.percent.unwrap_or_default();
        match out.iter_mut().find(|s| s.name == row.name.value) {
            Some(s) => s.percent += percent,
            None => out.push(Share {
                name: row.name.value.to_string(),
                percent,
            }),
        }
    }
    out.retain(|s| !s.percent.is_zero());
    out.sort_by_key(|s| std::cmp::Reverse(s.percent));
    if out.len() > MAX_ITEMS + 1 {
        let rest = out.split_off(MAX_ITEMS);
        out.push(Share {
            name: format!("{} others", rest.len()),
            percent: rest.iter().map(|s| s.percent).sum(),
        });
    }
    for s in &mut out {
        s.percent = s.percent.round_dp(6).normalize();
    }
    out
}

pub(super) fn unknown(work: &FormulaContext) -> Vec<String> {
    let f = work.formula;
    let not = |r: &Row| match &r.material {
        Material::Known { .. } => false,
        Material::Nested(inner) => inner.has_unknown,
        Material::Ambiguous(_) | Material::Unknown | Material::Unusable(_) => true,
    };
    f.rows
        .iter()
        .filter(|r| not(r))
        .map(|r| r.name.value.to_string())
        .collect()
}

pub(super) fn system_words(system: System) -> &'static str {
    match system {
        System::Emulsion(Continuous::Water) => "emulsion of oil in water",
        System::Emulsion(Continuous::Oil) => "emulsion of water in oil",
        System::Emulsion(Continuous::Unsaid) => {
            "water and oil, in which order the file does not say"
        }
        System::Anhydrous => "without water",
        System::Watery => "water-based, with hardly any oil",
        System::Surfactant => "water-based, with surfactants",
        System::Other => "of its own kind",
        System::Unknown => "not known",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::system::has_role;

    #[test]
    fn every_role_of_a_kind_is_in_one_kind_alone() {
        let mut seen: Vec<Role> = KINDS
            .iter()
            .flat_map(|(_, roles)| roles.iter().copied())
            .collect();
        let all = seen.len();
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), all);
        let water = Ingredient {
            roles: vec![Role::Hydrosol].into(),
            ..Ingredient::default()
        };
        let sodium_salt = Ingredient {
            roles: vec![Role::Preservative, Role::Salt].into(),
            ..Ingredient::default()
        };
        assert!(has_role(&sodium_salt, Role::Salt));
        assert_eq!(
            (kind(&water), KINDS[kind(&sodium_salt)].0),
            (0, "preservatives")
        );
    }
}
