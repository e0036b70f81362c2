//! What kind of product the formula is, worked out once: water, oil, emulsifiers, preservatives, pH.

use super::component::ComponentKind;
use super::fields::Type;
use super::formula::Formula;
use crate::chem;
use crate::kb::role::Role;
use crate::kb::schema::{Charge, Ingredient, PreservativeKind};
use crate::kb::{Id, Kb};
use crate::syntax::tree::Amount;
use rust_decimal::Decimal;

/// Roles whose materials make up an oil phase.
const OILY: &[Role] = &[
    Role::Oil,
    Role::Butter,
    Role::Ester,
    Role::Hydrocarbon,
    Role::Wax,
    Role::Silicone,
    Role::FattyAlcohol,
    Role::FattyAcid,
    Role::Emollient,
];

pub fn has_role(one: &Ingredient, role: Role) -> bool {
    one.roles.has(role)
}

/// Percent of what the test picks, over all substances (blends by their parts).
pub fn percent_where(f: &Formula, kb: &Kb, pick: impl Fn(&Ingredient) -> bool) -> Decimal {
    f.components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance && pick(kb.get(s.id)))
        .map(|s| s.typical)
        .sum()
}

pub fn is_water(one: &Ingredient) -> bool {
    has_role(one, Role::Water) || has_role(one, Role::Hydrosol)
}

pub fn is_oily(one: &Ingredient) -> bool {
    one.roles.primary_in(OILY)
}

/// Whether anything in it has a role, blends counted as a whole too.
pub fn any_with_role(f: &Formula, kb: &Kb, role: Role) -> bool {
    f.components
        .iter()
        .any(|s| s.kind != ComponentKind::Constituent && has_role(kb.get(s.id), role))
}

/// The pH that the file asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhAim {
    pub low: Decimal,
    pub high: Decimal,
    pub line: u32,
    /// From a `q.s. to pH` row; else from the `pH:` field.
    pub exact: bool,
}

/// The pH of `q.s. to pH`, else the range of `pH:`.
pub fn ph_aim(f: &Formula) -> Option<PhAim> {
    let exact = f.rows.iter().find_map(|r| match r.amount.value {
        Amount::Enough { ph: Some(ph), .. } => Some(PhAim {
            low: ph.value,
            high: ph.value,
            line: r.line,
            exact: true,
        }),
        _ => None,
    });
    exact.or_else(|| {
        f.fields.ph.as_ref().map(|p| PhAim {
            low: p.value.0,
            high: p.value.1,
            line: p.line,
            exact: false,
        })
    })
}

/// The whole range that the file allows: that of `pH:`, with the pH of `q.s. to pH` in it. What holds at the end that is
/// worst holds for every batch that the file lets pass.
pub fn ph_allowed(f: &Formula) -> Option<PhAim> {
    let aim = ph_aim(f)?;
    let Some(field) = &f.fields.ph else {
        return Some(aim);
    };
    let (low, high) = field.value;
    let inside = aim.low >= low && aim.high <= high;
    Some(PhAim {
        low: low.min(aim.low),
        high: high.max(aim.high),
        line: if inside { field.line } else { aim.line },
        exact: false,
    })
}

/// A preservative in the formula: which row, how much, of what kind.
#[derive(Clone, Copy, Debug)]
pub struct Preserving<'a> {
    pub id: Id,
    pub entry: &'a Ingredient,
    pub row: usize,
    pub percent: Decimal,
    pub kind: PreservativeKind,
    /// The row is this material alone, not a blend that holds it.
    pub alone_in_row: bool,
}

/// All that is there to preserve, by substance, each on its largest row. Alcohol protects by its share of the whole
/// ([`super::preservation::protects_itself`]); less of it is a solvent and is not counted here.
pub fn preservatives<'a>(f: &Formula, kb: &'a Kb) -> Vec<Preserving<'a>> {
    let mut out: Vec<Preserving<'a>> = Vec::new();
    for s in &f.components {
        if s.kind == ComponentKind::Constituent {
            continue;
        }
        let entry = kb.get(s.id);
        let Some(p) = entry
            .preservative
            .as_ref()
            .filter(|_| !entry.roles.primary_is(Role::Solvent))
        else {
            continue;
        };
        if s.kind == ComponentKind::Blend
            && entry.composition.iter().any(|c| {
                kb.substance(&c.of)
                    .is_some_and(|(_, e)| e.preservative.is_some())
            })
        {
            // Its parts are counted.
            continue;
        }
        match out.iter_mut().find(|x| x.id == s.id) {
            Some(x) => x.percent += s.typical,
            None => out.push(Preserving {
                id: s.id,
                entry,
                row: s.row,
                percent: s.typical,
                kind: p.kind,
                alone_in_row: f.rows[s.row].id() == Some(s.id),
            }),
        }
    }
    out
}

/// Share of the undissociated form of a weak acid at a pH, 0 to 1 (Henderson-Hasselbalch, first step).
pub fn active_share(pka: f64, ph: f64) -> f64 {
    1.0 / (1.0 + chem::ten_to(ph - pka))
}

/// Whether the product is a solid in which no water phase lies: a bar, a powder, a bath bomb.
pub fn is_solid(f: &Formula) -> bool {
    let typed = matches!(&f.fields.type_, Some(t) if matches!(t.value, Type::Bar | Type::Powder));
    typed
        || ["bar", "powder", "bath bomb", "bath salts"]
            .iter()
            .any(|w| f.product.has(w))
}

/// Whether it is soap made here from fat and lye: what is weighed in is not what the product holds.
pub fn is_soap_from_lye(f: &Formula, kb: &Kb) -> bool {
    let said = f.fields.type_.as_ref();
    if said.is_some_and(|t| !matches!(t.value, Type::Soap | Type::Bar)) {
        return false;
    }
    let lye: Decimal = ["sodium-hydroxide", "potassium-hydroxide"]
        .iter()
        .filter_map(|id| kb.by_id(id))
        .map(|id| f.percent_of(id))
        .sum();
    lye >= kb.threshold("soap-lye-percent").value.0
        && f.oil_percent >= kb.threshold("soap-fat-percent").value.0
}

/// The kind of system, as declared or as the formula shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum System {
    Emulsion(Continuous),
    Anhydrous,
    Watery,
    Surfactant,
    /// Bar, powder, two-phase, suspension, soap.
    Other,
    /// Parts are not known, so nothing is claimed.
    Unknown,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Continuous {
    Water,
    Oil,
    Unsaid,
}

/// Below this share (percent) water or oil is incidental: a dilution, a solubilized drop.
pub fn system(f: &Formula, kb: &Kb) -> System {
    if let Some(t) = &f.fields.type_ {
        return match t.value {
            Type::OilInWater => System::Emulsion(Continuous::Water),
            Type::WaterInOil => System::Emulsion(Continuous::Oil),
            Type::Anhydrous => System::Anhydrous,
            Type::Gel | Type::Solution => System::Watery,
            Type::Surfactant => System::Surfactant,
            Type::Powder | Type::Bar | Type::TwoPhase | Type::Suspension | Type::Soap => {
                System::Other
            }
        };
    }
    let incidental = kb.threshold("incidental-share-percent").value.0;
    let (water, oil) = (f.water_percent, f.oil_percent);
    let surfactant = percent_where(f, kb, |i| {
        has_role(i, Role::Surfactant)
            && matches!(
                i.charge,
                Some(Charge::Anionic | Charge::Amphoteric | Charge::Nonionic)
            )
    });
    if f.has_unknown && f.rows.iter().any(|r| r.percent.is_none()) {
        return System::Unknown;
    }
    if surfactant >= incidental && surfactant > oil {
        System::Surfactant
    } else if water < incidental {
        System::Anhydrous
    } else if oil >= incidental {
        System::Emulsion(Continuous::Unsaid)
    } else {
        System::Watery
    }
}
