//! What a material without any figure may do to a pH, bounded by what kind of thing it is.
//!
//! Assumptions of this project, on the wide side; none is a property of a certain material, and what is bounded so stays on the
//! list of what is not known. A carboxyl group in a polymer weighs no less than 72 g (acrylic acid), in a gum 176 g (uronic acid),
//! under a fatty chain some 200 g. A strong acid or base that could be anything: one in 100 g.

use super::bounds::{BoundedGroups, MAX_MOL_KG};
use crate::chem::float;
use crate::kb::role::Role;
use crate::kb::schema::{Charge, Dissolves, Ingredient};
use crate::model::system::{has_role, is_water};
use smol_str::SmolStr;

/// Groups per gram, pKa and share neutralised, from and to.
struct Bounds {
    mol_g: f64,
    pka: [f64; 2],
    neutralised: [f64; 2],
}

const EITHER: [f64; 2] = [0.0, 1.0];
/// Carboxylic acids and protonated amines; nothing in a plant or a protein that counts lies outside.
const WEAK: [f64; 2] = [2.5, 10.5];

/// Bounds for a material without figures. Returns `None` if it is plainly neutral.
pub(super) fn bounds(
    one: &Ingredient,
    of: usize,
    grams_per_kg: f64,
    has_base: bool,
) -> Option<BoundedGroups> {
    let b = of_class(one, has_base)?;
    Some(BoundedGroups {
        of,
        mol: [0.0, (b.mol_g * grams_per_kg).min(MAX_MOL_KG)],
        pka: b.pka,
        neutralised: b.neutralised,
        figures: false,
    })
}

fn of_class(one: &Ingredient, has_base: bool) -> Option<Bounds> {
    let is = |roles: &[Role]| one.roles.has_any(roles);
    let in_oil = matches!(one.dissolves, Some(Dissolves::Oil | Dissolves::Insoluble));
    let (sour, sharp) = leans(one);
    let form = if sour {
        [0.0, 0.0]
    } else if sharp {
        [1.0, 1.0]
    } else {
        EITHER
    };
    let bounds = |grams: f64, pka: [f64; 2], neutralised: [f64; 2]| {
        Some(Bounds {
            mol_g: 1.0 / grams,
            pka,
            neutralised,
        })
    };
    if one.id == "water" {
        return None;
    }
    if in_oil && !is(&[Role::Base, Role::Clay]) {
        // Fatty acids stay in the oil until a base takes them out.
        return (has_base && is(&[Role::FattyAcid])).then_some(Bounds {
            mol_g: 1.0 / 200.0,
            pka: [4.5, 10.0],
            neutralised: [0.0, 0.0],
        });
    }
    if is_water(one) {
        return bounds(1e6, WEAK, EITHER);
    }
    if is(&[Role::Soap]) {
        return bounds(200.0, [4.5, 10.0], [0.9, 1.0]);
    }
    if is(&[Role::Gum]) && one.charge == Some(Charge::Anionic) {
        return bounds(176.0, [2.0, 5.0], form);
    }
    if is(&[Role::Acid, Role::Base, Role::Buffer, Role::Chelator]) {
        return bounds(100.0, [-1.0, 14.0], form);
    }
    match one.charge {
        Some(Charge::Anionic) if is(&[Role::Polymer, Role::Thickener]) => {
            return bounds(72.0, [2.0, 7.5], form);
        }
        // Of a detergent that is named as the salt of an acid at least half is one.
        Some(Charge::Anionic) if surface_active(one) => {
            return bounds(
                200.0,
                [2.0, 7.5],
                if is_salt(one) { [0.5, 1.0] } else { EITHER },
            );
        }
        Some(Charge::Cationic | Charge::Amphoteric)
            if surface_active(one) || is(&[Role::Polymer, Role::Gum, Role::Protein]) =>
        {
            return bounds(200.0, [1.5, 10.5], EITHER);
        }
        // A gum or an emulsifier without charge has traces at most; one that is sold sharp is caught above 8.
        Some(Charge::Nonionic) if one.ph.gives.is_some() => {
            return bounds(if sharp { 1000.0 } else { 20000.0 }, [3.0, 14.0], form);
        }
        _ => {}
    }
    if sour || sharp || is_blend_of_salts(one) {
        return bounds(100.0, [-1.0, 14.0], form);
    }
    let lively = is(&[
        Role::Protein,
        Role::AminoAcid,
        Role::Peptide,
        Role::Enzyme,
        Role::Extract,
        Role::Ferment,
        Role::Honey,
        Role::Kitchen,
        Role::Clay,
        Role::Salt,
    ]) || one.ph.gives.is_some()
        || !one.pka.is_empty()
        || one.acid_base.is_some()
        || one.charge.is_some_and(|c| c != Charge::Nonionic)
        || is_named_as_one(one);
    if lively {
        bounds(
            if is_named_as_one(one) { 100.0 } else { 1000.0 },
            WEAK,
            EITHER,
        )
    } else {
        None
    }
}

fn surface_active(one: &Ingredient) -> bool {
    one.roles.has_any(&[
        Role::Surfactant,
        Role::Emulsifier,
        Role::Conditioner,
        Role::FoamBooster,
        Role::Solubilizer,
    ])
}

/// By the pH that it gives and by its roles.
fn leans(one: &Ingredient) -> (bool, bool) {
    let gives = one.ph.gives.as_deref();
    let sour = gives
        .and_then(|g| g.high)
        .is_some_and(|h| float(h.decimal()) < 6.0)
        || has_role(one, Role::Acid);
    let sharp = gives
        .and_then(|g| g.low)
        .is_some_and(|l| float(l.decimal()) > 8.0)
        || has_role(one, Role::Base)
        || has_role(one, Role::Soap);
    (sour && !sharp, sharp && !sour)
}

const METALS: [&str; 9] = [
    "sodium",
    "potassium",
    "ammonium",
    "magnesium",
    "calcium",
    "zinc",
    "copper",
    "aluminum",
    "tea-",
];

fn is_salt(one: &Ingredient) -> bool {
    let first = one
        .inci
        .as_ref()
        .map(|n| n.to_lowercase())
        .unwrap_or_default();
    let first = first.split(' ').next().unwrap_or_default();
    METALS.iter().any(|m| first.contains(m))
}

/// A solution whose parts are named and their shares not known ("sodium levulinate (and) sodium anisate").
fn is_blend_of_salts(one: &Ingredient) -> bool {
    let named = |n: &SmolStr| {
        n.contains(" (and) ") && (METALS.iter().any(|m| n.contains(m)) || n.contains(" acid"))
    };
    one.inci.is_none() && one.names.iter().any(named)
}

/// A salt or an acid by its INCI name.
fn is_named_as_one(one: &Ingredient) -> bool {
    let name = one
        .inci
        .as_ref()
        .map(|n| n.to_lowercase())
        .unwrap_or_default();
    is_salt(one) || name.ends_with(" acid") || name.ends_with(" hcl")
}
