//! What should be known of materials and is not.

use super::Gap;
use crate::kb::role::Role;
use crate::kb::schema::*;

/// A gap that is looked for: what, of which materials, and whether one lacks it.
type Sought = (
    &'static str,
    fn(&Ingredient) -> bool,
    fn(&Ingredient) -> bool,
);

fn first_role(i: &Ingredient, role: Role) -> bool {
    i.roles.primary_is(role)
}

fn in_family(i: &Ingredient, families: &[&str]) -> bool {
    families.contains(&i.family.as_str())
}

/// Materials that a maker puts into a formula, unlike elements, constituents and what is banned.
fn used(i: &Ingredient) -> bool {
    !in_family(
        i,
        &[
            "banned",
            "elements",
            "medicine",
            "hair-dyes",
            "hair-waving",
            "colourants",
        ],
    ) && !first_role(i, Role::Constituent)
}

/// One substance, not a blend or an extract.
fn substance(i: &Ingredient) -> bool {
    i.composition.is_empty() && !in_family(i, &["extracts", "waters", "kitchen", "bases"])
}

const SOUGHT: &[Sought] = &[
    (
        "preservatives without a lowest effective level",
        |i| first_role(i, Role::Preservative) && used(i) && i.composition.is_empty(),
        |i| {
            i.preservative
                .as_ref()
                .is_none_or(|p| p.effective.is_empty())
        },
    ),
    (
        "preservatives without a spectrum",
        |i| first_role(i, Role::Preservative) && used(i),
        |i| i.preservative.as_ref().is_none_or(|p| p.spectrum.is_none()),
    ),
    (
        "preservatives without the pH in which they work",
        |i| first_role(i, Role::Preservative) && used(i),
        |i| i.ph.works.is_none() && i.pka.is_empty(),
    ),
    (
        "preservatives without oil-water partition",
        |i| {
            first_role(i, Role::Preservative)
                && matches!(i.dissolves, Some(Dissolves::Both | Dissolves::Oil))
        },
        |i| {
            i.preservative
                .as_ref()
                .is_none_or(|p| p.partition.is_empty())
        },
    ),
    (
        "nonionic emulsifiers without HLB",
        |i| first_role(i, Role::Emulsifier) && i.charge == Some(Charge::Nonionic),
        |i| i.hlb.is_none(),
    ),
    (
        "emulsifiers without charge",
        |i| first_role(i, Role::Emulsifier),
        |i| i.charge.is_none(),
    ),
    (
        "emulsifiers without o/w or w/o",
        |i| first_role(i, Role::Emulsifier),
        |i| i.emulsion.is_none(),
    ),
    (
        "oils, esters and hydrocarbons without required HLB",
        |i| in_family(i, &["oils", "esters", "hydrocarbons"]),
        |i| i.required_hlb.is_none(),
    ),
    (
        "solids of the oil phase without melting range",
        |i| in_family(i, &["waxes", "butters", "fatty-alcohols", "fatty-acids"]),
        |i| i.melts_c.is_none(),
    ),
    (
        "oils and butters without iodine value",
        |i| in_family(i, &["oils", "butters"]),
        |i| i.iodine_value.is_none(),
    ),
    (
        "oils and butters without saponification value",
        |i| in_family(i, &["oils", "butters"]),
        |i| i.saponification_value.is_none(),
    ),
    (
        "oils and solvents without density",
        |i| in_family(i, &["oils", "esters", "solvents", "hydrocarbons"]),
        |i| i.density_g_ml.is_none(),
    ),
    ("ingredients without use level", used, |i| {
        i.r#use.is_empty()
    }),
    ("ingredients without a phase", used, |i| i.phase.is_empty()),
    ("ingredients without what they dissolve in", used, |i| {
        i.dissolves.is_none()
    }),
    (
        "ingredients without a role",
        |_| true,
        |i| i.roles.is_empty(),
    ),
    ("substances without CAS number", substance, |i| {
        i.cas.is_empty()
    }),
    (
        "cool-down materials without the temperature to add them below",
        |i| i.phase.first() == Some(&PhaseKind::CoolDown),
        |i| i.add_below_c.is_none() && i.bears_c.is_none(),
    ),
    (
        "acids and bases without pKa",
        |i| first_role(i, Role::Acid) || first_role(i, Role::Base),
        |i| i.pka.is_empty() && i.acid_base.is_none() && i.groups.is_empty(),
    ),
    (
        "acids, bases and buffers without molar mass",
        |i| in_family(i, &["acids-bases"]) && i.composition.is_empty(),
        |i| i.molar_mass.is_none(),
    ),
    (
        "surfactants without charge",
        |i| first_role(i, Role::Surfactant),
        |i| i.charge.is_none(),
    ),
    (
        "surfactants without active share",
        |i| first_role(i, Role::Surfactant),
        |i| i.active_percent.is_none(),
    ),
    (
        "gums and polymers without charge",
        |i| used(i) && (first_role(i, Role::Gum) || first_role(i, Role::Polymer)),
        |i| i.charge.is_none(),
    ),
    (
        "gums and polymers without the pH that they bear",
        |i| used(i) && (first_role(i, Role::Gum) || first_role(i, Role::Polymer)),
        |i| i.ph.bears.is_none(),
    ),
    (
        "essential oils without constituents",
        |i| first_role(i, Role::EssentialOil),
        |i| i.constituents.is_empty(),
    ),
    (
        "ingredients without an everyday name",
        |_| true,
        |i| i.names.is_empty(),
    ),
];

pub(super) fn gaps(ingredients: &[&Ingredient]) -> Vec<Gap> {
    let mut out: Vec<Gap> = SOUGHT
        .iter()
        .filter_map(|(what, of, lacks)| {
            let meant: Vec<&Ingredient> = ingredients.iter().copied().filter(|i| of(i)).collect();
            let missing: Vec<String> = meant
                .iter()
                .filter(|i| lacks(i))
                .map(|i| i.id.to_string())
                .collect();
            (!missing.is_empty()).then_some(Gap {
                what,
                missing,
                of: meant.len(),
            })
        })
        .collect();
    out.sort_by(|a, b| {
        (b.missing.len() * a.of)
            .cmp(&(a.missing.len() * b.of))
            .then(a.what.cmp(b.what))
    });
    out
}
