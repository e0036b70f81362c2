//! The HLB that the oils of a formula ask for, and that its emulsifiers have together; and whether the two may be compared.
//!
//! Only for nonionic emulsifiers ([`crate::chem::hlb`]): self-emulsifying bases, charged emulsifiers, polymers, glyceryl stearate
//! and emulsifying waxes hold in other ways. Oils whose figure is not known are left out and counted.

use super::component::ComponentKind;
use super::fields::Type;
use super::formula::Formula;
use super::system::{self, Continuous, System, has_role, is_oily};
use crate::chem::{decimal, float, hlb};
use crate::kb::role::Role;
use crate::kb::schema::{Charge, Figure, Ingredient};
use crate::kb::{Id, Kb};
use rust_decimal::Decimal;

/// A material that plays a part here: which row, how much of the formula.
#[derive(Clone, Copy, Debug)]
pub struct EmulsifierPart<'a> {
    pub entry: &'a Ingredient,
    pub row: usize,
    pub percent: Decimal,
}

/// What holds the emulsion, row by row. A blend sold as an emulsifier counts as a whole, any other row by its parts.
pub fn emulsifiers<'a>(f: &Formula, kb: &'a Kb) -> Vec<EmulsifierPart<'a>> {
    // Fatty alcohols and acids that help along are counted among the oils.
    let is = |one: &Ingredient| {
        (has_role(one, Role::Emulsifier) || has_role(one, Role::CoEmulsifier)) && !is_oily(one)
    };
    let whole: Vec<Option<Id>> = f
        .rows
        .iter()
        .map(|r| r.id().filter(|id| is(kb.get(*id))))
        .collect();
    let mut out: Vec<EmulsifierPart> = f
        .components
        .iter()
        .filter(|s| s.kind != ComponentKind::Constituent && !s.typical.is_zero())
        .filter(|s| match whole[s.row] {
            Some(id) => s.id == id,
            None => s.kind == ComponentKind::Substance && is(kb.get(s.id)),
        })
        .map(|s| EmulsifierPart {
            entry: kb.get(s.id),
            row: s.row,
            percent: s.typical,
        })
        .collect();
    out.sort_by_key(|p| p.row);
    out
}

/// Emulsions that hold by something else than an emulsifier with a level of its own: soap formed in place, lanolin, lecithin,
/// surfactants and swelling polymers.
pub fn held_otherwise(f: &Formula, kb: &Kb) -> bool {
    system::any_with_role(f, kb, Role::Surfactant) || held_by_little(f, kb)
}

/// What holds an emulsion at a share far below that of an emulsifier, or by itself.
pub fn held_by_little(f: &Formula, kb: &Kb) -> bool {
    let polymer = f.components.iter().any(|s| {
        let one = kb.get(s.id);
        s.kind != ComponentKind::Constituent
            && (has_role(one, Role::Soap)
                || has_role(one, Role::Polymer) && one.charge == Some(Charge::Anionic))
    });
    soap_in_place(f, kb) || holds_by_itself(f, kb) || polymer
}

/// Percent of all that emulsifies, surfactants and solubilizers too.
pub fn emulsifying_percent(f: &Formula, kb: &Kb) -> Decimal {
    const EMULSIFY: [Role; 4] = [
        Role::Emulsifier,
        Role::CoEmulsifier,
        Role::Solubilizer,
        Role::Surfactant,
    ];
    let whole = |row: usize| {
        let id = f.rows[row].id();
        id.is_some_and(|id| kb.get(id).roles.has_any(&EMULSIFY))
    };
    let rows = (0..f.rows.len())
        .filter(|row| whole(*row))
        .filter_map(|row| f.rows[row].percent);
    let parts = f
        .components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance && !whole(s.row))
        .filter(|s| kb.get(s.id).roles.has_any(&EMULSIFY))
        .map(|s| s.typical);
    rows.chain(parts).sum()
}

/// A fatty acid, or beeswax, with a base: the soap forms in the beaker.
pub fn soap_in_place(f: &Formula, kb: &Kb) -> bool {
    let acid = system::any_with_role(f, kb, Role::FattyAcid) || has(f, kb, "beeswax");
    acid && (system::any_with_role(f, kb, Role::Base) || has(f, kb, "sodium-borate"))
}

pub fn holds_by_itself(f: &Formula, kb: &Kb) -> bool {
    wax_holds(f, kb)
        || [
            "lanolin",
            "lanolin-alcohol",
            "lecithin",
            "hydrogenated-lecithin",
        ]
        .iter()
        .any(|id| has(f, kb, id))
}

/// The old cerates: beeswax alone holds water in oil once it has set, stirred cold.
fn wax_holds(f: &Formula, kb: &Kb) -> bool {
    let water_in_oil = f
        .fields
        .type_
        .as_ref()
        .is_some_and(|t| t.value == Type::WaterInOil);
    let least = kb.threshold("beeswax-holds-percent").value.0;
    let times = kb.threshold("beeswax-holds-water-times").value.0;
    let wax = beeswax_percent(f, kb);
    water_in_oil && wax >= least && f.water_percent <= wax * times
}

pub fn beeswax_percent(f: &Formula, kb: &Kb) -> Decimal {
    kb.by_id("beeswax")
        .map_or(Decimal::ZERO, |id| f.percent_of(id))
}

fn has(f: &Formula, kb: &Kb, id: &str) -> bool {
    kb.by_id(id)
        .is_some_and(|id| !f.components_of(id).is_empty())
}

/// The mean of one side by weight.
#[derive(Clone, Debug)]
pub struct Side<'a> {
    pub hlb: Decimal,
    /// Percent of the formula with the figure of each.
    pub parts: Vec<(Decimal, &'a Figure)>,
    /// Percent of the formula whose figure is not known.
    pub unknown: Decimal,
}

impl Side<'_> {
    fn of(parts: Vec<(Decimal, &Figure)>, unknown: Decimal) -> Option<Side<'_>> {
        let all: Vec<hlb::HlbPart> = parts
            .iter()
            .map(|(w, figure)| hlb::HlbPart {
                weight: float(*w),
                hlb: float(figure.value.decimal()),
            })
            .collect();
        Some(Side {
            hlb: decimal(hlb::mean(&all).ok()?, 12)?,
            parts,
            unknown,
        })
    }
}

/// What the oils of some rows ask for, as oil in water.
pub fn asked<'a>(f: &Formula, kb: &'a Kb, of: impl Fn(usize) -> bool) -> Option<Side<'a>> {
    let (mut parts, mut unknown) = (Vec::new(), Decimal::ZERO);
    for s in f
        .components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance && !s.typical.is_zero() && of(s.row))
    {
        let one = kb.get(s.id);
        if !is_oily(one) {
            continue;
        }
        match one.required_hlb.as_deref() {
            Some(figure) => parts.push((s.typical, figure)),
            None => unknown += s.typical,
        }
    }
    Side::of(parts, unknown)
}

/// What the nonionic emulsifiers of some rows have together.
pub fn given<'a>(f: &Formula, kb: &'a Kb, of: impl Fn(usize) -> bool) -> Option<Side<'a>> {
    together(emulsifiers(f, kb).iter().filter(|p| of(p.row)))
}

fn together<'a, 'p>(all: impl Iterator<Item = &'p EmulsifierPart<'a>>) -> Option<Side<'a>>
where
    'a: 'p,
{
    let (mut parts, mut unknown) = (Vec::new(), Decimal::ZERO);
    for p in all {
        match p
            .entry
            .hlb
            .as_deref()
            .filter(|_| p.entry.charge == Some(Charge::Nonionic))
        {
            Some(figure) => parts.push((p.percent, figure)),
            None => unknown += p.percent,
        }
    }
    Side::of(parts, unknown)
}

/// Why the two sides say nothing about each other here.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Silent {
    NotOilInWater,
    /// Some row is not known.
    Unknown,
    /// [`held_otherwise`].
    HeldOtherwise,
    NoEmulsifier,
    /// Glyceryl stearate and its like build layers that hold by themselves.
    Layers,
    /// So does an emulsifier with as much fatty alcohol: an emulsifying wax made in the beaker.
    Wax,
    /// Charged, or without a figure.
    NoFigure,
    OilsUnknown,
}

impl Silent {
    pub fn text(self) -> &'static str {
        match self {
            Silent::NotOilInWater => "the HLB is a guide for emulsions of oil in water",
            Silent::Unknown => "part of the formula is not known",
            Silent::HeldOtherwise => {
                "soap, lanolin, lecithin, a surfactant or a polymer holds this emulsion, and the HLB says nothing about those"
            }
            Silent::NoEmulsifier => "no emulsifier is in it",
            Silent::Layers => {
                "an emulsifier in it builds layers that hold by themselves, whatever its HLB"
            }
            Silent::Wax => {
                "with so much fatty alcohol the emulsifier builds layers that hold by themselves, whatever its HLB"
            }
            Silent::NoFigure => "an emulsifier in it is charged or has no known HLB",
            Silent::OilsUnknown => "the required HLB of too much of the oil is not known",
        }
    }
}

/// Both sides, where they may be compared.
#[derive(Clone, Debug)]
pub struct Balance<'a> {
    pub asked: Side<'a>,
    pub given: Side<'a>,
}

pub fn balance<'a>(f: &Formula, kb: &'a Kb) -> Result<Balance<'a>, Silent> {
    if system::system(f, kb) != System::Emulsion(Continuous::Water) {
        return Err(Silent::NotOilInWater);
    }
    if f.has_unknown {
        return Err(Silent::Unknown);
    }
    if held_otherwise(f, kb) {
        return Err(Silent::HeldOtherwise);
    }
    let all = emulsifiers(f, kb);
    if all
        .iter()
        .any(|p| p.entry.roles.primary_is(Role::CoEmulsifier))
    {
        return Err(Silent::Layers);
    }
    if all.is_empty() {
        return Err(Silent::NoEmulsifier);
    }
    let given = together(all.iter())
        .filter(|g| g.unknown.is_zero())
        .ok_or(Silent::NoFigure)?;
    let emulsifier: Decimal = given.parts.iter().map(|(w, _)| *w).sum();
    if system::percent_where(f, kb, |one| one.roles.primary_is(Role::FattyAlcohol)) >= emulsifier {
        return Err(Silent::Wax);
    }
    let asked = asked(f, kb, |_| true).ok_or(Silent::OilsUnknown)?;
    let known: Decimal = asked.parts.iter().map(|(w, _)| *w).sum();
    if asked.unknown > known * kb.threshold("hlb-unknown-share").value.0 {
        return Err(Silent::OilsUnknown);
    }
    Ok(Balance { asked, given })
}
