//! The acids, bases and salts of a formula as a charge balance, and what of it is not known.
//!
//! Every substance with figures for it in the knowledge base counts (molar mass, pKa steps, the charge of its
//! strong ions), through blends, solutions and formulas made earlier. Salts without steps count as one ion of
//! either sign, only for the activity. Gums, polymers and surfactants of many chains count by their groups, each figure of
//! which is a range ([`bounds`]): they widen the prediction by what they can do and no more. Acids that dissolve only in oil
//! are left out: what reaches the water is not known. The rest that plainly bears on the pH is named in
//! [`Acidity::missing`] and widens the prediction by the most that a thing of its kind may bring ([`class`]).
//! Alcohol and glycols weaken acids; that is left out too (in a third of ethanol a carboxylic acid reads about one pH
//! weaker).
//!
//! An estimate: nothing here feeds a warning or an error.

mod bounds;
mod class;
mod prediction;

use super::component::ComponentKind;
use super::formula::{Formula, Material, Row};
use super::system::{has_role, is_water};
use crate::chem::acid_base::{Activity, System, mol_per_kg_water};
use crate::chem::{ChemError, float};
use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Ingredient};
use crate::kb::{Id, Kb, StrengthBasis};
use crate::syntax::tree::Amount;
use bounds::BoundedGroups;

/// With less water a pH says nothing.
pub const LEAST_WATER_PERCENT: f64 = 5.0;

/// The charge balance of a formula.
#[derive(Clone, Debug)]
pub struct Acidity {
    /// mol per kg of the water in the product.
    pub in_water: System,
    /// mol per kg of product, without the rows that are added to a pH: what is there before they go in.
    pub before_adjusting: System,
    /// Percent of water in the whole.
    pub water_percent: f64,
    /// Substances that count, in order of their ids.
    pub counted: Vec<Id>,
    /// Known only between bounds, in the order of the rows, each once.
    pub bounded: Vec<Id>,
    /// What bears on the pH and could not be counted, in the order of the rows.
    pub missing: Vec<Missing>,
    bounded_groups: Vec<BoundedGroups>,
    /// Names of the materials that the bounded groups belong to.
    bounded_names: Vec<String>,
}

/// What bears on the pH and could not be counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing {
    pub row: usize,
    /// As the base names it, or as it is written where the base does not know it.
    pub name: String,
    pub why: Why,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// Its strength as an acid or base is not in the base.
    NoFigures,
    /// It dissolves in oil; how much of it the water sees is not known.
    InOil,
    /// It is not known what it is.
    Unknown,
    /// It is added to a pH and no amount is written.
    NoAmount,
}

/// The reason, in words like [`Why::text`], for a material that is known only between bounds.
pub const BOUNDED: &str = "its strength as an acid or base is known only between bounds";

impl Why {
    pub fn text(self) -> &'static str {
        match self {
            Why::NoFigures => "its strength as an acid or base is not known",
            Why::InOil => "it dissolves in oil, and how much of it the water sees is not known",
            Why::Unknown => "what is in it is not known",
            Why::NoAmount => "it is added to a pH, and how much is not written",
        }
    }
}

/// A material as the charge balance sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Acid {
    /// Infinite where a neutral material has none.
    pub molar_mass_g_mol: f64,
    /// Ascending; empty for a strong acid or base and for what is neither.
    pub pka: Vec<f64>,
    pub protonated_charge: i32,
    /// Charge of the strong ions that come with one mole.
    pub strong_charge: i32,
    /// Molecules of the acid in one mole of the salt: 2 in calcium benzoate.
    pub molecules: f64,
}

impl Acid {
    /// None where the base lacks a figure. A neutral material (glycerin) is an acid without steps.
    pub fn of(one: &Ingredient) -> Option<Acid> {
        let charges = one.acid_base.as_ref()?;
        let pka: Vec<f64> = one.pka.iter().map(|p| float(p.value.decimal())).collect();
        let (protonated_charge, strong_charge) = (
            i32::from(charges.protonated_charge),
            i32::from(charges.strong_charge),
        );
        // What is neutral counts by nothing, and a mixture (PEG, an alkyl sulfate) has no one molar mass.
        let inert = pka.is_empty() && protonated_charge == 0 && strong_charge == 0;
        let molar_mass = one.molar_mass.as_deref().map(|m| float(m.value.decimal()));
        let molar_mass_g_mol = if inert {
            molar_mass.unwrap_or(f64::INFINITY)
        } else {
            molar_mass?
        };
        // More counter-ions than one molecule has places for: the salt holds several of them.
        let places = pka.len() as i32 - protonated_charge;
        let molecules = if strong_charge > places && places > 0 {
            f64::from(strong_charge) / f64::from(places)
        } else {
            1.0
        };
        Some(Acid {
            molar_mass_g_mol,
            pka,
            protonated_charge,
            strong_charge,
            molecules,
        })
    }

    /// Whether it takes part at all.
    pub fn is_neutral(&self) -> bool {
        self.pka.is_empty() && self.strong_charge == 0 && self.protonated_charge == 0
    }

    fn add_to(&self, system: &mut System, mol_per_kg: f64) {
        system.add(
            mol_per_kg * self.molecules,
            &self.pka,
            self.protonated_charge,
            0,
        );
        system.add(mol_per_kg, &[], 0, self.strong_charge);
    }
}

/// The charge balance of a formula.
pub fn of(f: &Formula, kb: &Kb) -> Acidity {
    let substances = || {
        f.components
            .iter()
            .filter(|s| s.kind == ComponentKind::Substance)
    };
    let water: f64 = substances()
        .filter(|s| is_water(kb.get(s.id)))
        .map(|s| float(s.typical))
        .sum();
    let mut out = Acidity {
        in_water: System::new(),
        before_adjusting: System::new(),
        water_percent: water,
        counted: Vec::new(),
        bounded: Vec::new(),
        missing: Vec::new(),
        bounded_groups: Vec::new(),
        bounded_names: Vec::new(),
    };
    let has_base = substances().any(|s| has_role(kb.get(s.id), Role::Base));
    for share in substances().filter(|s| !s.typical.is_zero()) {
        let one = kb.get(share.id);
        let percent = float(share.typical);
        let acid = Acid::of(one);
        let in_oil = matches!(one.dissolves, Some(Dissolves::Oil | Dissolves::Insoluble));
        match acid {
            Some(acid) if acid.is_neutral() => {
                if has_role(one, Role::Salt) && acid.molar_mass_g_mol.is_finite() {
                    out.in_water = std::mem::take(&mut out.in_water)
                        .salt(1000.0 * percent / acid.molar_mass_g_mol / water.max(1.0));
                }
            }
            Some(acid) if !in_oil => {
                // With less water no prediction is made anyway.
                let mol = mol_per_kg_water(
                    percent,
                    acid.molar_mass_g_mol,
                    water.max(LEAST_WATER_PERCENT),
                )
                .unwrap_or(0.0);
                acid.add_to(&mut out.in_water, mol);
                if ph_row(&f.rows[share.row]).is_none() {
                    acid.add_to(
                        &mut out.before_adjusting,
                        10.0 * percent / acid.molar_mass_g_mol,
                    );
                }
                if out.counted.last() != Some(&share.id) {
                    out.counted.push(share.id);
                }
            }
            Some(_) => out.miss(share.row, kb.name(share.id), Why::InOil),
            None => {
                let strength = pure_share(&f.rows[share.row], share.id, one)
                    .map(|part| 10.0 * percent * part * 100.0 / water.max(LEAST_WATER_PERCENT));
                let of = out.bounded_names.len();
                if one.groups.is_empty() {
                    let Some(groups) = class::bounds(one, of, strength[1], has_base) else {
                        continue;
                    };
                    out.bounded_groups.push(groups);
                    out.miss(share.row, kb.name(share.id), Why::NoFigures);
                } else {
                    out.bounded_groups.extend(
                        one.groups
                            .iter()
                            .map(|g| BoundedGroups::of(g, of, strength)),
                    );
                    if !out.bounded.contains(&share.id) {
                        out.bounded.push(share.id);
                    }
                }
                out.bounded_names.push(kb.name(share.id).to_owned());
            }
        }
    }
    for (n, row) in f.rows.iter().enumerate() {
        let why = match &row.material {
            Material::Known { .. } if ph_row(row).is_some_and(|about| !about) => Why::NoAmount,
            Material::Nested(inner) if inner.has_unknown => Why::Unknown,
            Material::Known { .. } | Material::Nested(_) => continue,
            Material::Ambiguous(_) | Material::Unknown | Material::Unusable(_) => Why::Unknown,
        };
        out.miss(n, &row.name.value, why);
    }
    out.missing
        .sort_by(|a, b| a.row.cmp(&b.row).then_with(|| a.name.cmp(&b.name)));
    out.missing.dedup();
    out
}

impl Acidity {
    /// How much of a row `q.s. to pH` without 'about' it takes, in percent of the whole, as weighed in (a 10 % solution counts
    /// as the solution). None for other rows.
    pub fn estimate_percent(&self, row: &Row, kb: &Kb) -> Option<Result<f64, ChemError>> {
        let Amount::Enough {
            ph: Some(target),
            about: None,
            ..
        } = row.amount.value
        else {
            return None;
        };
        let Material::Known { id, strength } = row.material else {
            return Some(Err(ChemError::new("what goes in is not known")));
        };
        Some(self.reach(
            kb,
            id,
            strength.map_or(100.0, |s| float(s.percent)),
            strength.map(|s| s.basis),
            float(target.value),
        ))
    }

    /// How much more of a row `q.s. to pH` with 'about' it takes than is written. None for other rows.
    pub fn estimate_more(&self, row: &Row, kb: &Kb) -> Option<Result<f64, ChemError>> {
        let Amount::Enough {
            ph: Some(target),
            about: Some(_),
            ..
        } = row.amount.value
        else {
            return None;
        };
        let Material::Known { id, strength } = row.material else {
            return Some(Err(ChemError::new("what goes in is not known")));
        };
        Some(self.reach(
            kb,
            id,
            strength.map_or(100.0, |s| float(s.percent)),
            strength.map(|s| s.basis),
            float(target.value),
        ))
    }

    fn reach(
        &self,
        kb: &Kb,
        id: Id,
        percent: f64,
        basis: Option<StrengthBasis>,
        ph: f64,
    ) -> Result<f64, ChemError> {
        if basis.is_some_and(|b| b != StrengthBasis::ByWeight) {
            return Err(ChemError::new(
                "the strength of what goes in is not by weight",
            ));
        }
        if self.water_percent < LEAST_WATER_PERCENT {
            return Err(ChemError::new(
                "there is hardly any water in it: a pH says nothing here",
            ));
        }
        let acid = Acid::of(kb.get(id))
            .filter(|a| !a.is_neutral())
            .ok_or_else(|| ChemError::new(Why::NoFigures.text()))?;
        let mol = self.likely().dose_to_reach(
            ph,
            &acid.pka,
            acid.protonated_charge,
            acid.strong_charge,
            Activity::Davies,
        )?;
        let pure = mol * acid.molar_mass_g_mol * self.water_percent / 1000.0;
        Ok(pure * 100.0 / percent)
    }

    fn miss(&mut self, row: usize, name: &str, why: Why) {
        self.missing.push(Missing {
            row,
            name: name.to_owned(),
            why,
        });
    }
}

/// Of a row that is added to a pH: whether an amount is written.
fn ph_row(row: &Row) -> Option<bool> {
    match row.amount.value {
        Amount::Enough {
            ph: Some(_), about, ..
        } => Some(about.is_some()),
        _ => None,
    }
}

/// The share of the pure material in what is weighed in, at least and at most. A surfactant without a strength in its name is
/// taken as it is sold; what is sold pure and in solution may be either, and so may a part of a blend.
fn pure_share(row: &Row, id: Id, one: &Ingredient) -> [f64; 2] {
    let sold: Vec<f64> = one
        .sold_as_percent
        .iter()
        .map(|n| float(n.decimal()) / 100.0)
        .collect();
    let active = one
        .active_percent
        .as_deref()
        .map(|a| float(a.value.decimal()) / 100.0);
    let all = || sold.iter().copied().chain(active);
    let low = all().fold(1.0, f64::min);
    match row.material {
        Material::Known {
            id: of,
            strength: Some(_),
        } if of == id => [1.0, 1.0],
        Material::Known {
            id: of,
            strength: None,
        } if of == id && active.is_some() => [low, all().fold(0.0, f64::max)],
        _ => [low, 1.0],
    }
}
