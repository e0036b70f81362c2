//! What protects the water: by itself (alcohol, glycol, pH, bound water), or by a preservative that is still free in it.
//!
//! Limits of the free level: a partition coefficient belongs to one oil and one temperature. Hydrocarbons are read as
//! mineral oil; vegetable oils, butters and esters as vegetable oil, or, where only the mineral one is known, by that, which
//! lies lower. Silicones, waxes and fatty alcohols are taken to hold none. Binding counts only where its constant is known.
//! So the estimate errs on the free side; it is good to a factor of two. Clay, gums and plastics are not in it.

use super::component::ComponentKind;
use super::formula::Formula;
use super::system::{self, PhAim, Preserving, has_role};
use crate::chem::partition;
use crate::chem::water_activity::{self, Bound, Solute};
use crate::kb::number::Number;
use crate::kb::role::Role;
use crate::kb::schema::{
    Binding, Charge, Dissolves, Effective, Ingredient, Partition, PreservativeKind, Shows, UseBasis,
};
use crate::kb::{Id, Kb};
use rust_decimal::Decimal;

/// Why a product with water needs no preservative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SelfPreservation {
    /// Percent of the product.
    Alcohol(Decimal),
    /// Percent of water and glycol together.
    PropyleneGlycol(Decimal),
    Ph(Decimal),
    /// Percent of the product.
    Peroxide(Decimal),
    WaterActivity {
        aw: f64,
        bound: Bound,
    },
}

/// What protects the formula without a preservative.
pub fn protects_itself(f: &Formula, kb: &Kb) -> Option<SelfPreservation> {
    let limit = |id: &str| kb.threshold(id).value.0;
    let ph = system::ph_allowed(f);
    let alcohol = alcohol_percent(f, kb);
    let acid = ph.is_some_and(|p| p.high <= Decimal::from(5));
    if alcohol >= limit("alcohol-protects-percent")
        || acid && alcohol >= limit("alcohol-protects-acid-percent")
    {
        return Some(SelfPreservation::Alcohol(alcohol));
    }
    let (water, glycol) = (f.water_percent, percent(f, kb, "propylene-glycol"));
    let together = water + glycol;
    // Divided first: a slip of the keyboard may write an amount that cannot be multiplied.
    let share = glycol
        .checked_div(together)
        .map(|share| share * Decimal::ONE_HUNDRED);
    if let Some(share) = share.filter(|s| *s >= limit("propylene-glycol-protects-percent")) {
        return Some(SelfPreservation::PropyleneGlycol(share));
    }
    let peroxide = percent(f, kb, "hydrogen-peroxide");
    if peroxide >= limit("peroxide-protects-percent") {
        return Some(SelfPreservation::Peroxide(peroxide));
    }
    if let Some(p) = ph {
        if p.high <= limit("ph-protects-below") {
            return Some(SelfPreservation::Ph(p.high));
        }
        if p.low >= limit("ph-protects-above") {
            return Some(SelfPreservation::Ph(p.low));
        }
    }
    let (aw, bound) = water_activity(f, kb)?;
    (aw <= Number(limit("water-activity-protects")).f64())
        .then_some(SelfPreservation::WaterActivity { aw, bound })
}

pub fn alcohol_percent(f: &Formula, kb: &Kb) -> Decimal {
    ["alcohol", "alcohol-denat", "isopropyl-alcohol"]
        .iter()
        .map(|id| percent(f, kb, id))
        .sum()
}

fn percent(f: &Formula, kb: &Kb, id: &str) -> Decimal {
    kb.by_id(id).map_or(Decimal::ZERO, |id| f.percent_of(id))
}

/// Water activity from what is dissolved and has a Norrish constant; the rest is left out, which reads too high.
pub fn water_activity(f: &Formula, kb: &Kb) -> Option<(f64, Bound)> {
    let water = Number(f.water_percent).f64();
    let solutes: Vec<Solute> = f
        .components
        .iter()
        .filter(|s| s.kind == ComponentKind::Substance)
        .filter_map(|s| {
            let one = kb.get(s.id);
            let k = one.norrish_k.as_deref()?.value.f64();
            Some(Solute {
                grams: Number(s.typical).f64(),
                molar_mass_g_mol: one.molar_mass.as_deref()?.value.f64(),
                norrish_k: Some(k),
                particles: 1,
            })
        })
        .collect();
    if solutes.is_empty() {
        return None;
    }
    let found = water_activity::of(water, &solutes).ok()?;
    Some((found.aw, found.bound))
}

/// A preservative shared out between oil, micelles and water.
#[derive(Clone, Debug)]
pub struct FreeConcentration<'a> {
    /// In its active form where `active` says so; percent (w/v) of the water.
    pub percent: f64,
    /// The lowest level that protects, as the same thing, and where it is from.
    pub needed: f64,
    pub needs: &'a Effective,
    /// Counted is the active form of the acid, as the acid.
    pub active: bool,
    /// What draws it out of the water, strongest first.
    pub oil: Option<&'a Partition>,
    pub micelles: Option<&'a Binding>,
    /// Percent of the formula.
    pub oil_percent: Decimal,
    pub nonionic_percent: Decimal,
    /// Of all that is weighed, the share that stays free in the water, 0 to 1.
    pub share: f64,
}

/// How a preservative is shared out in this formula, without regard to what level is needed.
#[derive(Clone, Debug)]
pub struct Partitioning<'a> {
    /// All of it that is free in the water, ions included; percent (w/v) of the water.
    pub free_percent: f64,
    pub active_share: f64,
    pub oil: Option<&'a Partition>,
    pub micelles: Option<&'a Binding>,
    pub oil_percent: Decimal,
    pub nonionic_percent: Decimal,
    pub share: f64,
}

/// Shares a preservative out. `binding`: whether micelles are counted. None where nothing is known of it, where there is no
/// water phase, or where the pH decides and the file does not say it.
pub fn spread<'a>(
    liquids: &PhaseVolumes,
    kb: &Kb,
    p: &Preserving<'a>,
    aim: Option<&PhAim>,
    binding: bool,
) -> Option<Partitioning<'a>> {
    let about = p.entry.preservative.as_ref()?;
    let active_share = match p.kind {
        PreservativeKind::WeakAcid => {
            system::active_share(p.entry.pka.first()?.value.f64(), Number(aim?.high).f64())
        }
        _ => 1.0,
    };
    let water_ml = liquids.water_ml(p.id);
    if water_ml <= 0.0 {
        return None;
    }
    // The oils that the coefficients name, looked for once instead of by name for every oil.
    let named: Vec<(Option<Id>, &Partition)> = about
        .partition
        .iter()
        .map(|k| (kb.by_id(&k.oil), k))
        .collect();
    let mut oils = Vec::with_capacity(liquids.oils.len());
    let mut strongest: Option<(&Partition, f64)> = None;
    let mut oil_percent = Decimal::ZERO;
    for oil in liquids.oils.iter().filter(|o| o.id != p.id) {
        let k = coefficient(&named, oil);
        oils.push((oil.ml, k.map_or(0.0, |k| k.k.f64() * active_share)));
        oil_percent += oil.percent;
        if let Some(k) = k
            && strongest.is_none_or(|(_, most)| k.k.f64() * oil.ml > most)
        {
            strongest = Some((k, k.k.f64() * oil.ml));
        }
    }
    let oil_ml: f64 = oils.iter().map(|(ml, _)| ml).sum();
    let k = if oils.is_empty() {
        0.0
    } else {
        partition::mean_coefficient(&oils).ok()?
    };
    let mut surfactants = Vec::new();
    let mut tightest: Option<(&Binding, f64)> = None;
    let mut nonionic_percent = Decimal::ZERO;
    for (id, percent) in liquids
        .nonionics
        .iter()
        .filter(|(id, _)| binding && *id != p.id)
    {
        let own = about
            .binding
            .iter()
            .find(|b| b.by == kb.get(*id).id)
            .or_else(|| about.binding.iter().find(|b| b.by == "nonionic"));
        let Some(own) = own else { continue };
        nonionic_percent += percent;
        let in_water = (Number(*percent).f64() * 100.0 / water_ml).min(100.0);
        surfactants.push((own.k.f64() * active_share, in_water));
        if tightest.is_none_or(|(_, most)| own.k.f64() * in_water > most) {
            tightest = Some((own, own.k.f64() * in_water));
        }
    }
    let factor = partition::binding_factor_of_all(&surfactants).ok()?;
    let whole_ml = water_ml + oil_ml;
    let whole = Number(p.percent).f64() * 100.0 / whole_ml;
    let dissolves = p
        .entry
        .solubility
        .iter()
        .filter(|s| s.r#in == "water" && s.at_c.is_none_or(|c| c.0 <= Decimal::from(30)))
        .map(|s| s.g_per_100g.f64())
        .reduce(f64::min);
    // The ions of an acid dissolve freely: its solubility says nothing here.
    let dissolves = dissolves.filter(|_| p.kind != PreservativeKind::WeakAcid);
    let found = partition::distribution(whole, oil_ml / water_ml, k, factor, dissolves).ok()?;
    let share =
        (found.free_percent * water_ml / (whole * whole_ml).max(f64::MIN_POSITIVE)).min(1.0);
    Some(Partitioning {
        free_percent: found.free_percent,
        active_share,
        oil: strongest.map(|(k, _)| k),
        micelles: tightest.map(|(b, _)| b),
        oil_percent,
        nonionic_percent,
        share,
    })
}

/// The free level against the lowest effective one. None where either is not known.
pub fn free<'a>(
    liquids: &PhaseVolumes,
    kb: &Kb,
    p: &Preserving<'a>,
    aim: Option<&PhAim>,
    binding: bool,
) -> Option<FreeConcentration<'a>> {
    let s = spread(liquids, kb, p, aim, binding)?;
    let (needs, active) = needed(p)?;
    let percent = if active {
        s.free_percent * s.active_share * as_acid(kb, p.entry)
    } else {
        s.free_percent
    };
    Some(FreeConcentration {
        percent,
        needed: needs.percent.f64(),
        needs,
        active,
        oil: s.oil,
        micelles: s.micelles,
        oil_percent: s.oil_percent,
        nonionic_percent: s.nonionic_percent,
        share: s.share,
    })
}

/// The level that must be free, and whether it counts the active form. Of what stops growth, the highest of the figures for the
/// groups of microbes that this one is counted on for; else the lowest that protected a product, with or without partners: with less it
/// protects nothing.
fn needed<'a>(p: &Preserving<'a>) -> Option<(&'a Effective, bool)> {
    let about = p.entry.preservative.as_ref()?;
    let levels = || {
        about
            .effective
            .iter()
            .filter(|e| e.of != UseBasis::OilPhase && e.shows != Shows::Slows)
    };
    // A level of the active form says more about an acid than a level of the whole at some pH.
    let active = levels().filter(|e| e.active_form && p.kind == PreservativeKind::WeakAcid);
    if let Some(e) = active.min_by_key(|e| e.percent) {
        return Some((e, true));
    }
    let counted_on = |group: &str| {
        about.spectrum.as_ref().is_some_and(|s| {
            let reach = match group {
                "gram-positive" => s.gram_positive,
                "gram-negative" => s.gram_negative,
                "yeast" => s.yeast,
                _ => s.mould,
            };
            reach >= FAIR
        })
    };
    let least_against = |group: &&str| {
        levels()
            .filter(|e| !e.active_form && e.shows == Shows::Inhibits)
            .filter(|e| e.against.iter().any(|g| g == group))
            .min_by_key(|e| e.percent)
    };
    let stops = ["gram-positive", "gram-negative", "yeast", "mould"]
        .iter()
        .filter(|g| counted_on(g))
        .filter_map(least_against)
        .max_by_key(|e| e.percent);
    let protects = || {
        levels()
            .filter(|e| !e.active_form && e.shows == Shows::Protects)
            .min_by_key(|e| e.percent)
    };
    stops.or_else(protects).map(|e| (e, false))
}

/// A reach that is counted on: fair or strong.
const FAIR: u8 = 2;

/// Grams of acid in a gram of its salt.
fn as_acid(kb: &Kb, entry: &Ingredient) -> f64 {
    let factor = || {
        let own = entry.molar_mass.as_deref()?.value.f64();
        let y = entry.counts_as.first()?;
        let acid = kb.substance(&y.of)?.1.molar_mass.as_deref()?.value.f64();
        (own > 0.0).then(|| y.moles.f64() * acid / own)
    };
    factor().unwrap_or(1.0)
}

/// Liquids of a formula that a preservative can be in, each of them it may be itself. Solids, silicones, waxes and fatty alcohols
/// hold none. Volumes in millilitres in 100 g of the product.
#[derive(Debug, Default)]
pub struct PhaseVolumes {
    waters: Vec<(Id, f64)>,
    oils: Vec<Oil>,
    /// Nonionics that form micelles: substance and percent of the formula.
    nonionics: Vec<(Id, Decimal)>,
}

#[derive(Debug)]
struct Oil {
    id: Id,
    percent: Decimal,
    ml: f64,
    hydrocarbon: bool,
}

impl PhaseVolumes {
    pub fn of(f: &Formula, kb: &Kb) -> PhaseVolumes {
        let mut out = PhaseVolumes::default();
        let micelles_from = kb.threshold("micelle-hlb").value;
        let plain_density = kb.threshold("oil-density-g-ml").value.f64();
        for s in f
            .components
            .iter()
            .filter(|s| s.kind == ComponentKind::Substance && !s.typical.is_zero())
        {
            let one = kb.get(s.id);
            let grams = || Number(s.typical).f64();
            let density = || {
                one.density_g_ml
                    .as_deref()
                    .map(|d| d.value.f64())
                    .filter(|d| *d > 0.0)
            };
            if holds_preservative(one) {
                let ml = grams() / density().unwrap_or(plain_density);
                out.oils.push(Oil {
                    id: s.id,
                    percent: s.typical,
                    ml,
                    hydrocarbon: one.roles.has(Role::Hydrocarbon),
                });
            } else if is_micellar(one, micelles_from) {
                out.nonionics.push((s.id, s.typical));
            } else if system::is_water(one)
                || one.dissolves == Some(Dissolves::Water)
                    && one.charge.is_none()
                    && density().is_some()
            {
                out.waters.push((s.id, grams() / density().unwrap_or(1.0)));
            }
        }
        out
    }

    pub fn has_micelles(&self) -> bool {
        !self.nonionics.is_empty()
    }

    /// The water phase without the preservative in question.
    fn water_ml(&self, but: Id) -> f64 {
        self.waters
            .iter()
            .filter(|(id, _)| *id != but)
            .map(|(_, ml)| ml)
            .sum()
    }
}

fn holds_preservative(one: &Ingredient) -> bool {
    one.roles
        .primary_in(&[Role::Oil, Role::Butter, Role::Ester, Role::Hydrocarbon])
}

fn is_micellar(one: &Ingredient, from: Number) -> bool {
    one.charge == Some(Charge::Nonionic)
        && one
            .roles
            .has_any(&[Role::Emulsifier, Role::Solubilizer, Role::Surfactant])
        && one
            .hlb
            .as_deref()
            .map_or(has_role(one, Role::Solubilizer), |h| h.value >= from)
}

/// The coefficient for an oil: its own, else that of its kind.
fn coefficient<'a>(all: &[(Option<Id>, &'a Partition)], oil: &Oil) -> Option<&'a Partition> {
    let of = |kind: &str| all.iter().map(|(_, p)| *p).find(|p| p.oil == kind);
    let own = all
        .iter()
        .find(|(id, _)| *id == Some(oil.id))
        .map(|(_, p)| *p);
    let kind = if oil.hydrocarbon {
        None
    } else {
        of("vegetable")
    };
    own.or(kind).or_else(|| of("mineral"))
}
