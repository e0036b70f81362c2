//! The acids, bases and salts of a formula as a charge balance, and what of it is not known.
//!
//! Every substance with figures for it in the knowledge base counts (molar mass, pKa steps, the charge of its
//! strong ions), through blends, solutions and formulas made earlier. Salts without steps count as one ion of
//! either sign, for the activity alone. Acids that dissolve in oil alone are left out: what reaches the water is
//! not known. The rest that plainly bears on the pH is named in [`Acidity::missing`] and widens the prediction
//! by the acid or base that it may bring at most ([`most_per_g`]). Alcohol and glycols weaken acids; that is
//! left out too (in a third of ethanol a carboxylic acid reads about one pH weaker).
//!
//! An estimate: nothing here feeds a warning or an error.

use super::composition::ShareOf;
use super::formula::{Formula, Material, Row};
use super::system::{has_role, is_water};
use crate::chem::acid_base::{Activity, Prediction, System, mol_per_kg_water};
use crate::chem::{Refusal, float};
use crate::kb::schema::{Charge, Dissolves, Ingredient};
use crate::kb::{Id, Kb, StrengthBasis};
use crate::syntax::tree::Amount;

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
    /// What bears on the pH and could not be counted, in the order of the rows.
    pub missing: Vec<Missing>,
    /// The most acid and base that the missing may bring, mol per kg of water.
    most_acid: f64,
    most_base: f64,
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
        let molar_mass_g_mol = one.molar_mass.as_ref().map(|m| float(m.value.decimal()))?;
        let pka: Vec<f64> = one.pka.iter().map(|p| float(p.value.decimal())).collect();
        let (protonated_charge, strong_charge) = (i32::from(charges.protonated_charge), i32::from(charges.strong_charge));
        // More counter-ions than one molecule has places for: the salt holds several of them.
        let places = pka.len() as i32 - protonated_charge;
        let molecules = if strong_charge > places && places > 0 { f64::from(strong_charge) / f64::from(places) } else { 1.0 };
        Some(Acid { molar_mass_g_mol, pka, protonated_charge, strong_charge, molecules })
    }

    /// Whether it takes part at all.
    pub fn is_neutral(&self) -> bool {
        self.pka.is_empty() && self.strong_charge == 0 && self.protonated_charge == 0
    }

    fn add_to(&self, system: &mut System, mol_per_kg: f64) {
        system.add(mol_per_kg * self.molecules, &self.pka, self.protonated_charge, 0);
        system.add(mol_per_kg, &[], 0, self.strong_charge);
    }
}

/// The charge balance of a formula.
pub fn of(f: &Formula, kb: &Kb) -> Acidity {
    let substances = || f.shares.iter().filter(|s| s.what == ShareOf::Substance);
    let water: f64 = substances().filter(|s| is_water(kb.get(s.id))).map(|s| float(s.usual)).sum();
    let mut out = Acidity {
        in_water: System::new(),
        before_adjusting: System::new(),
        water_percent: water,
        counted: Vec::new(),
        missing: Vec::new(),
        most_acid: 0.0,
        most_base: 0.0,
    };
    let has_base = substances().any(|s| has_role(kb.get(s.id), "base"));
    for share in substances().filter(|s| !s.usual.is_zero()) {
        let one = kb.get(share.id);
        let percent = float(share.usual);
        let acid = Acid::of(one);
        let in_oil = matches!(one.dissolves, Some(Dissolves::Oil | Dissolves::Insoluble));
        match acid {
            Some(acid) if acid.is_neutral() => {
                if has_role(one, "salt") {
                    out.in_water = std::mem::take(&mut out.in_water).salt(1000.0 * percent / acid.molar_mass_g_mol / water.max(1.0));
                }
            }
            Some(acid) if !in_oil => {
                // Below 5 % of water no prediction is made anyway.
                let mol = mol_per_kg_water(percent, acid.molar_mass_g_mol, water.max(5.0)).unwrap_or(0.0);
                acid.add_to(&mut out.in_water, mol);
                if ph_row(&f.rows[share.row]).is_none() {
                    acid.add_to(&mut out.before_adjusting, 10.0 * percent / acid.molar_mass_g_mol);
                }
                if out.counted.last() != Some(&share.id) {
                    out.counted.push(share.id);
                }
            }
            Some(_) => out.miss(share.row, kb.name(share.id), Why::InOil),
            None => {
                let Some(most) = most_per_g(one, has_base) else { continue };
                let mol = 1000.0 * percent * most.mol_per_g / water.max(5.0);
                out.most_acid += if most.acid { mol } else { 0.0 };
                out.most_base += if most.base { mol } else { 0.0 };
                out.miss(share.row, kb.name(share.id), Why::NoFigures);
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
    out.missing.sort_by(|a, b| a.row.cmp(&b.row).then_with(|| a.name.cmp(&b.name)));
    out.missing.dedup();
    out
}

impl Acidity {
    /// The pH as it may be shown: [`System::prediction`], never narrower than ±0.5, wider by what the missing may do.
    pub fn prediction(&self) -> Result<Prediction, Refusal> {
        if self.water_percent < 5.0 {
            return Err(Refusal::new("there is hardly any water in it: a pH says nothing here"));
        }
        let mut said = self.in_water.prediction()?;
        let shifted = |mol: f64, charge: i32| self.in_water.clone().ion(mol, charge).ph(Activity::Davies).map(|s| s.ph);
        if self.most_acid > 0.0 {
            said.low = said.low.min(shifted(self.most_acid, -1)?);
        }
        if self.most_base > 0.0 {
            said.high = said.high.max(shifted(self.most_base, 1)?);
        }
        Ok(said)
    }

    /// How much of a row `q.s. to pH` without 'about' it takes, in percent of the whole, as weighed in (a 10 % solution counts
    /// as the solution). None for other rows.
    pub fn estimate_percent(&self, row: &Row, kb: &Kb) -> Option<Result<f64, Refusal>> {
        let Amount::Enough { ph: Some(target), about: None, .. } = row.amount.value else { return None };
        let Material::Known { id, strength } = row.material else {
            return Some(Err(Refusal::new("what goes in is not known")));
        };
        Some(self.reach(kb, id, strength.map_or(100.0, |s| float(s.percent)), strength.map(|s| s.basis), float(target.value)))
    }

    fn reach(&self, kb: &Kb, id: Id, percent: f64, basis: Option<StrengthBasis>, ph: f64) -> Result<f64, Refusal> {
        if basis.is_some_and(|b| b != StrengthBasis::ByWeight) {
            return Err(Refusal::new("the strength of what goes in is not by weight"));
        }
        if self.water_percent < 5.0 {
            return Err(Refusal::new("there is hardly any water in it: a pH says nothing here"));
        }
        let acid = Acid::of(kb.get(id)).filter(|a| !a.is_neutral()).ok_or_else(|| Refusal::new(Why::NoFigures.text()))?;
        let mol = self.in_water.dose_to_reach(ph, &acid.pka, acid.protonated_charge, acid.strong_charge, Activity::Davies)?;
        let pure = mol * acid.molar_mass_g_mol * self.water_percent / 1000.0;
        Ok(pure * 100.0 / percent)
    }

    fn miss(&mut self, row: usize, name: &str, why: Why) {
        self.missing.push(Missing { row, name: name.to_owned(), why });
    }
}

/// Of a row that is added to a pH: whether an amount is written.
fn ph_row(row: &Row) -> Option<bool> {
    match row.amount.value {
        Amount::Enough { ph: Some(_), about, .. } => Some(about.is_some()),
        _ => None,
    }
}

/// The most that a gram may bring, and on which side.
struct Most {
    mol_per_g: f64,
    acid: bool,
    base: bool,
}

/// What a material without figures may bring at most, by what it is; none where it plainly is neutral. Assumptions, on the wide side:
/// one charge in 100 g of an acid, base, chelator, soap or charged polymer (a carboxyl group in a polymer weighs 72 g), in 1 kg
/// of a protein, an extract, a salt of an active, in 2 kg of a detergent or quaternary that is sold neutral, in 1 ton of a
/// plant's distillate.
fn most_per_g(one: &Ingredient, has_base: bool) -> Option<Most> {
    let any = |roles: &[&str]| roles.iter().any(|r| has_role(one, r));
    let charged = one.charge.is_some_and(|c| c != Charge::Nonionic);
    let in_oil = matches!(one.dissolves, Some(Dissolves::Oil | Dissolves::Insoluble));
    let grams = if one.id == "water" {
        return None;
    } else if in_oil && !any(&["base", "clay"]) {
        // Fatty acids stay in the oil until a base takes them out.
        if !(has_base && any(&["fatty-acid"])) {
            return None;
        }
        250.0
    } else if any(&["acid", "base", "buffer", "chelator", "soap"]) || any(&["polymer", "thickener"]) && one.charge == Some(Charge::Anionic)
    {
        100.0
    } else if is_water(one) {
        1e6
    } else if any(&["surfactant", "emulsifier", "conditioner", "foam-booster", "polymer"]) && charged || one.ph.gives.is_some() {
        2000.0
    } else if any(&["protein", "amino-acid", "peptide", "enzyme", "extract", "ferment", "honey", "kitchen", "clay", "salt"])
        || !one.pka.is_empty()
        || one.acid_base.is_some()
        || charged
        || is_named_as_one(one)
    {
        1000.0
    } else {
        return None;
    };
    let gives = one.ph.gives.as_ref();
    let sour = gives.and_then(|g| g.high).is_some_and(|h| float(h.decimal()) < 6.0) || has_role(one, "acid");
    let sharp = gives.and_then(|g| g.low).is_some_and(|l| float(l.decimal()) > 8.0) || has_role(one, "base") || has_role(one, "soap");
    Some(Most { mol_per_g: 1.0 / grams, acid: sour || !sharp, base: sharp || !sour })
}

/// A salt or an acid by its INCI name.
fn is_named_as_one(one: &Ingredient) -> bool {
    const METALS: [&str; 9] = ["sodium", "potassium", "ammonium", "magnesium", "calcium", "zinc", "copper", "aluminum", "tea-"];
    let Some(inci) = &one.inci else { return false };
    let name = inci.to_lowercase();
    let first = name.split(' ').next().unwrap_or_default();
    METALS.iter().any(|m| first.contains(m)) || name.ends_with(" acid") || name.ends_with(" hcl")
}
