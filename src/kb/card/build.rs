//! Makes the card of an entry.

use super::sources::Sources;
use super::{
    Card, CardConstituent, CardLaw, CardPart, CardPh, CardPreservative, CardSolubility, CardUse,
    law,
};
use crate::kb::schema::*;
use crate::kb::{Id, Kb, Market};
use smol_str::SmolStr;
use std::collections::BTreeMap;

impl Card {
    /// The card of an entry, with the law of these markets.
    pub fn of(kb: &Kb, id: Id, markets: &[Market]) -> Card {
        let one = kb.get(id);
        let mut sources = Sources::default();
        let mut basis = BTreeMap::new();
        let mut figure = |key: &'static str, f: &Option<Box<Figure>>| {
            f.as_ref().map(|f| {
                basis.insert(key, sources.take(&f.source, f.at.as_deref()));
                f.value
            })
        };
        let add_below_c = figure("add_below_c", &one.add_below_c);
        let molar_mass = figure("molar_mass", &one.molar_mass);
        let hlb = figure("hlb", &one.hlb);
        let required_hlb = figure("required_hlb", &one.required_hlb);
        let density_g_ml = figure("density_g_ml", &one.density_g_ml);
        let active_percent = figure("active_percent", &one.active_percent);
        let shelf_life_months = figure("shelf_life_months", &one.shelf_life_months);
        let mut range = |key: &'static str, r: &Option<Box<Range>>| {
            r.as_ref().map(|r| {
                basis.insert(key, sources.take(&r.source, r.at.as_deref()));
                [r.low, r.high]
            })
        };
        let melts_c = range("melts_c", &one.melts_c);
        let iodine_value = range("iodine_value", &one.iodine_value);
        if let Some(b) = &one.bears_c {
            basis.insert("bears_c", sources.take(&b.source, b.at.as_deref()));
        }
        if let Some(first) = one.pka.first() {
            basis.insert("pka", sources.take(&first.source, first.at.as_deref()));
        }
        // What skin bears stands before what is customary.
        let mut r#use: Vec<CardUse> = one
            .skin_max
            .iter()
            .map(|m| skin_maximum(m, &mut sources))
            .collect();
        r#use.extend(one.phototoxic_max_percent.as_deref().map(|max| CardUse {
            product: "leave-on, in sunlight".into(),
            low: None,
            high: Some(max.value),
            of: "formula",
            safety: true,
            source: sources.take(&max.source, max.at.as_deref()),
        }));
        r#use.extend(one.r#use.iter().map(|u| use_level(u, &mut sources)));
        let ph = ph(&one.ph, &mut sources, &mut basis);
        let solubility = solubility(one, &mut sources);
        let preservative = one
            .preservative
            .as_ref()
            .map(|p| preservative(p, &mut sources, &mut basis));
        let constituents = one
            .constituents
            .iter()
            .map(|c| constituent(kb, c, &mut sources))
            .collect();
        let seen = law::Seen::of(kb, one, markets, &mut sources);
        Card {
            version: 1,
            id: one.id.clone(),
            name: kb.name(id).to_owned(),
            family: one.family.clone(),
            inci: one.inci.clone(),
            inci_us: one.inci_us.clone(),
            names: one.names.clone(),
            loose_names: one.ambiguous_names.clone(),
            cas: one.cas.clone(),
            ec: one.ec.clone(),
            ci: one.ci.clone(),
            roles: one.roles.clone(),
            phase: one.phase.iter().copied().map(phase_key).collect(),
            dissolves: one.dissolves.map(dissolves_key),
            solubility,
            add_below_c,
            bears_c: one.bears_c.as_deref().map(|b| b.value),
            bears_minutes: one.bears_c.as_deref().and_then(|b| b.minutes),
            melts_c,
            r#use,
            ph,
            pka: one.pka.iter().map(|p| p.value).collect(),
            molar_mass,
            hlb,
            required_hlb,
            iodine_value,
            density_g_ml,
            active_percent,
            sold_as_percent: one.sold_as_percent.clone(),
            charge: one.charge.map(charge_key),
            emulsion: one.emulsion.map(emulsion_key),
            shelf_life_months,
            preservative,
            composition: one.composition.iter().map(|p| part(kb, p)).collect(),
            constituents,
            law: kb
                .laws_of(markets)
                .map(|l| CardLaw {
                    market: l.market,
                    title: l.title.clone(),
                    as_of: l.as_of.to_string().into(),
                })
                .collect(),
            limits: seen.limits,
            limits_for_others: 0,
            banned_in: seen.banned_in,
            bans: seen.bans,
            colours: seen.colours,
            allergens: seen.allergens,
            warnings: seen.warnings,
            medicines: seen.medicines,
            cautions: one.cautions.clone(),
            standin: one
                .substitutes
                .iter()
                .filter_map(|s| Some(kb.name(kb.by_id(s)?).to_owned()))
                .collect(),
            note: one.note.clone(),
            basis,
            sources: sources.list(kb),
            own_file: kb.user_file(id).map(|p| p.display().to_string()),
        }
    }
}

fn skin_maximum(m: &SkinMaximum, sources: &mut Sources) -> CardUse {
    let scope: Vec<String> = m.scope.iter().map(|w| w.replace('|', " or ")).collect();
    CardUse {
        product: if scope.is_empty() {
            "any".into()
        } else {
            scope.join(", ").into()
        },
        low: None,
        high: Some(m.percent),
        of: "formula",
        safety: true,
        source: sources.take(&m.source, m.at.as_deref()),
    }
}

fn use_level(u: &UseLevel, sources: &mut Sources) -> CardUse {
    CardUse {
        product: u.product.clone(),
        low: u.low,
        high: u.high,
        of: match u.of {
            UseBasis::Formula => "formula",
            UseBasis::OilPhase => "oil-phase",
            UseBasis::WaterPhase => "water-phase",
        },
        safety: u.safety,
        source: sources.take(&u.source, u.at.as_deref()),
    }
}

fn ph(
    ph: &Ph,
    sources: &mut Sources,
    basis: &mut BTreeMap<&'static str, SmolStr>,
) -> Option<CardPh> {
    let mut out = CardPh::default();
    let mut take = |key: &'static str, r: &Option<Box<Range>>| {
        r.as_ref().map(|r| {
            basis.insert(key, sources.take(&r.source, r.at.as_deref()));
            [r.low, r.high]
        })
    };
    out.gives = take("ph.gives", &ph.gives);
    out.bears = take("ph.bears", &ph.bears);
    out.works = take("ph.works", &ph.works);
    let told = ph
        .works
        .as_ref()
        .or(ph.bears.as_ref())
        .or(ph.gives.as_ref())?;
    out.why = told.why.clone();
    out.source.clone_from(&told.source);
    Some(out)
}

fn solubility(one: &Ingredient, sources: &mut Sources) -> Vec<CardSolubility> {
    one.solubility
        .iter()
        .map(|s| CardSolubility {
            r#in: s.r#in.clone(),
            g_per_100g: s.g_per_100g,
            at_c: s.at_c,
            source: sources.take(&s.source, s.at.as_deref()),
        })
        .collect()
}

fn preservative(
    p: &Preservative,
    sources: &mut Sources,
    basis: &mut BTreeMap<&'static str, SmolStr>,
) -> CardPreservative {
    let reach = |n: u8| ["none", "weak", "fair", "strong"][usize::from(n.min(3))];
    let spectrum = p.spectrum.as_ref().map(|s| {
        basis.insert("spectrum", sources.take(&s.source, s.at.as_deref()));
        BTreeMap::from([
            ("gram_positive", reach(s.gram_positive)),
            ("gram_negative", reach(s.gram_negative)),
            ("yeast", reach(s.yeast)),
            ("mould", reach(s.mould)),
        ])
    });
    let kind = match p.kind {
        PreservativeKind::WeakAcid => "weak-acid",
        PreservativeKind::Window => "window",
        PreservativeKind::Booster => "booster",
    };
    CardPreservative {
        kind,
        spectrum,
        needs: p.needs.clone(),
    }
}

fn part(kb: &Kb, p: &Part) -> CardPart {
    let inci = kb
        .substance(&p.of)
        .map_or(p.of.as_str(), |(id, one)| {
            one.inci.as_deref().unwrap_or_else(|| kb.name(id))
        })
        .to_owned();
    CardPart {
        id: p.of.clone(),
        inci,
        percent: p.percent.to_string(),
    }
}

fn constituent(kb: &Kb, c: &Constituent, sources: &mut Sources) -> CardConstituent {
    let name = kb
        .by_id(&c.of)
        .map_or(c.of.as_str(), |id| kb.name(id))
        .to_owned();
    CardConstituent {
        id: c.of.clone(),
        name,
        low: c.low,
        usual: c.usual,
        high: c.high,
        source: sources.take(&c.source, c.at.as_deref()),
    }
}

fn phase_key(p: PhaseKind) -> &'static str {
    match p {
        PhaseKind::Water => "water",
        PhaseKind::Oil => "oil",
        PhaseKind::CoolDown => "cool-down",
        PhaseKind::Surfactant => "surfactant",
        PhaseKind::Powder => "powder",
        PhaseKind::Any => "any",
    }
}

fn dissolves_key(d: Dissolves) -> &'static str {
    match d {
        Dissolves::Water => "water",
        Dissolves::Oil => "oil",
        Dissolves::Both => "both",
        Dissolves::Alcohol => "alcohol",
        Dissolves::Disperses => "disperses",
        Dissolves::Insoluble => "insoluble",
    }
}

fn charge_key(c: Charge) -> &'static str {
    match c {
        Charge::Anionic => "anionic",
        Charge::Cationic => "cationic",
        Charge::Nonionic => "nonionic",
        Charge::Amphoteric => "amphoteric",
    }
}

fn emulsion_key(e: EmulsionKind) -> &'static str {
    match e {
        EmulsionKind::OilInWater => "o/w",
        EmulsionKind::WaterInOil => "w/o",
        EmulsionKind::Both => "both",
    }
}
