//! What the base knows and where it got it from: counts, the share of each kind of source, gaps with the worst first.

use super::read::Base;
use super::role::Role;
use super::schema::*;
use serde::Serialize;
use smol_str::SmolStr;
use std::collections::{BTreeMap, HashMap};
use std::fmt;

/// How many figures come from each kind of source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Kinds {
    pub law: usize,
    pub published: usize,
    pub practice: usize,
    pub memory: usize,
}

impl Kinds {
    pub fn total(&self) -> usize {
        self.law + self.published + self.practice + self.memory
    }

    /// Share of figures from memory, in percent.
    pub fn memory_percent(&self) -> f64 {
        percent(self.memory, self.total())
    }

    fn add(&mut self, kind: SourceKind) {
        match kind {
            SourceKind::Law => self.law += 1,
            SourceKind::Published => self.published += 1,
            SourceKind::Practice => self.practice += 1,
            SourceKind::Memory => self.memory += 1,
        }
    }
}

fn percent(part: usize, whole: usize) -> f64 {
    if whole == 0 {
        0.0
    } else {
        100.0 * part as f64 / whole as f64
    }
}

/// One field: how many ingredients (or rows) have it, and where its figures come from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Field {
    pub name: &'static str,
    pub entries: usize,
    pub kinds: Kinds,
}

/// Something that should be known of each of `of` materials and is missing in `missing` of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Gap {
    pub what: &'static str,
    pub missing: Vec<String>,
    pub of: usize,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Report {
    pub ingredients: usize,
    pub names: usize,
    /// Substances that only the long lists of what is prohibited name.
    pub prohibited: usize,
    /// Family and number of its ingredients.
    pub families: Vec<(String, usize)>,
    pub fields: Vec<Field>,
    /// Market, date of the text, rows.
    pub laws: Vec<(String, String, usize)>,
    /// What of each market's law is in and what is not.
    pub coverage: Vec<Coverage>,
    pub products: usize,
    pub pairs: usize,
    pub sources: usize,
    pub all: Kinds,
    pub law: Kinds,
    /// All figures of materials that preserve.
    pub preservatives: Kinds,
    pub gaps: Vec<Gap>,
}

/// What of a market's law is in the base, by act and annex, and what is not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Coverage {
    pub market: String,
    pub covers: Vec<String>,
    pub not_covered: Vec<String>,
}

impl Coverage {
    fn of(law: &LawFile) -> Coverage {
        let owned = |all: &[SmolStr]| all.iter().map(SmolStr::to_string).collect();
        Coverage {
            market: law.market.to_string(),
            covers: owned(&law.covers),
            not_covered: owned(&law.not_covered),
        }
    }
}

/// Each figure of an ingredient: its field and the id of its source.
pub fn figures(i: &Ingredient) -> Vec<(&'static str, &str)> {
    let mut out: Vec<(&'static str, &str)> = Vec::new();
    let single = [
        ("molar_mass", &i.molar_mass),
        ("add_below_c", &i.add_below_c),
        ("density_g_ml", &i.density_g_ml),
        ("hlb", &i.hlb),
        ("required_hlb", &i.required_hlb),
        ("active_percent", &i.active_percent),
        ("bears_salt_percent", &i.bears_salt_percent),
        ("norrish_k", &i.norrish_k),
        ("shelf_life_months", &i.shelf_life_months),
        ("bulk_density_g_ml", &i.bulk_density_g_ml),
        ("phototoxic_max_percent", &i.phototoxic_max_percent),
    ];
    out.extend(i.skin_max.iter().map(|m| ("skin_max", m.source.as_str())));
    out.extend(
        single
            .into_iter()
            .filter_map(|(name, f)| f.as_ref().map(|f| (name, f.source.as_str()))),
    );
    let ranges = [
        ("melts_c", &i.melts_c),
        ("iodine_value", &i.iodine_value),
        ("saponification_value", &i.saponification_value),
        ("polyunsaturated_percent", &i.polyunsaturated_percent),
        ("ph.gives", &i.ph.gives),
        ("ph.bears", &i.ph.bears),
        ("ph.works", &i.ph.works),
    ];
    out.extend(
        ranges
            .into_iter()
            .filter_map(|(name, r)| r.as_ref().map(|r| (name, r.source.as_str()))),
    );
    out.extend(i.bears_c.iter().map(|b| ("bears_c", b.source.as_str())));
    out.extend(i.pka.iter().map(|f| ("pka", f.source.as_str())));
    out.extend(
        i.groups
            .iter()
            .flat_map(|g| [&g.mmol_g, &g.pka, &g.neutralised])
            .map(|r| ("groups", r.source.as_str())),
    );
    out.extend(
        i.solubility
            .iter()
            .map(|s| ("solubility", s.source.as_str())),
    );
    out.extend(
        i.constituents
            .iter()
            .map(|c| ("constituents", c.source.as_str())),
    );
    out.extend(i.r#use.iter().map(|u| ("use", u.source.as_str())));
    if let Some(p) = &i.preservative {
        out.extend(
            p.spectrum
                .iter()
                .map(|s| ("preservative.spectrum", s.source.as_str())),
        );
        out.extend(
            p.effective
                .iter()
                .map(|e| ("preservative.effective", e.source.as_str())),
        );
        out.extend(
            p.partition
                .iter()
                .map(|k| ("preservative.partition", k.source.as_str())),
        );
        out.extend(
            p.binding
                .iter()
                .map(|b| ("preservative.binding", b.source.as_str())),
        );
    }
    out
}

/// Each row of a law: its field and its source.
fn law_rows(law: &LawFile) -> Vec<(&'static str, &str)> {
    let mut out: Vec<(&'static str, &str)> = Vec::new();
    out.extend(law.limit.iter().map(|r| ("law.limit", r.source.as_str())));
    out.extend(law.ban.iter().map(|r| ("law.ban", r.source.as_str())));
    out.extend(
        law.allergen
            .iter()
            .map(|r| ("law.allergen", r.source.as_str())),
    );
    out.extend(law.colour.iter().map(|r| ("law.colour", r.source.as_str())));
    out.extend(
        law.warning
            .iter()
            .map(|r| ("law.warning", r.source.as_str())),
    );
    out.extend(
        law.medicine
            .iter()
            .map(|r| ("law.medicine", r.source.as_str())),
    );
    out.extend(law.duty.iter().map(|r| ("law.duty", r.source.as_str())));
    out
}

fn preserves(i: &Ingredient) -> bool {
    i.preservative.is_some() || i.roles.has(Role::Preservative)
}

pub fn report(base: &Base) -> Report {
    let kind: HashMap<&str, SourceKind> = base
        .sources
        .iter()
        .map(|s| (s.id.as_str(), s.kind))
        .collect();
    let (mut all, mut law, mut preservatives) =
        (Kinds::default(), Kinds::default(), Kinds::default());
    let mut fields: BTreeMap<&'static str, (usize, Kinds)> = BTreeMap::new();
    let mut families: BTreeMap<&str, usize> = BTreeMap::new();

    let mut count = |rows: Vec<(&'static str, &str)>, part: Option<&mut Kinds>| {
        let mut part = part;
        let mut seen = Vec::new();
        for (name, source) in rows {
            let Some(kind) = kind.get(source) else {
                continue;
            };
            all.add(*kind);
            if let Some(part) = part.as_deref_mut() {
                part.add(*kind);
            }
            let field = fields.entry(name).or_default();
            field.1.add(*kind);
            if !seen.contains(&name) {
                seen.push(name);
                field.0 += 1;
            }
        }
    };
    let (prohibited, ingredients): (Vec<&Ingredient>, Vec<&Ingredient>) = base
        .ingredients
        .iter()
        .partition(|i| i.family == PROHIBITED);
    for i in &ingredients {
        *families.entry(&i.family).or_default() += 1;
        count(figures(i), preserves(i).then_some(&mut preservatives));
    }
    for one in &base.laws {
        for row in law_rows(one) {
            count(vec![row], Some(&mut law));
        }
    }
    for p in &base.pairs {
        count(vec![("pairs", &p.source)], None);
    }
    for p in &base.products {
        count(
            p.exposure
                .iter()
                .map(|e| ("products.exposure", e.source.as_str()))
                .collect(),
            None,
        );
        count(
            p.usual_ph
                .iter()
                .map(|r| ("products.usual_ph", r.source.as_str()))
                .collect(),
            None,
        );
    }
    for t in &base.thresholds {
        count(vec![("thresholds", &t.source)], None);
    }

    let mut fields: Vec<Field> = fields
        .into_iter()
        .map(|(name, (entries, kinds))| Field {
            name,
            entries,
            kinds,
        })
        .collect();
    fields.sort_by(|a, b| {
        b.kinds
            .total()
            .cmp(&a.kinds.total())
            .then(a.name.cmp(b.name))
    });
    let mut families: Vec<(String, usize)> = families
        .into_iter()
        .map(|(f, n)| (f.to_owned(), n))
        .collect();
    families.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    Report {
        ingredients: ingredients.len(),
        prohibited: prohibited.len(),
        names: ingredients
            .iter()
            .map(|i| {
                i.names.len() + usize::from(i.inci.is_some()) + usize::from(i.inci_us.is_some())
            })
            .sum(),
        families,
        fields,
        laws: base
            .laws
            .iter()
            .map(|l| (l.market.to_string(), l.as_of.to_string(), law_rows(l).len()))
            .collect(),
        coverage: base.laws.iter().map(Coverage::of).collect(),
        products: base.products.len(),
        pairs: base.pairs.len(),
        sources: base.sources.len(),
        all,
        law,
        preservatives,
        gaps: gaps(&ingredients),
    }
}

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

fn gaps(ingredients: &[&Ingredient]) -> Vec<Gap> {
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

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} ingredients with {} names; {} kinds of product, {} pairs, {} sources",
            self.ingredients, self.names, self.products, self.pairs, self.sources
        )?;
        writeln!(
            f,
            "{} more substances stand in lists of what is prohibited",
            self.prohibited
        )?;
        for (market, day, rows) in &self.laws {
            writeln!(f, "  law {market}, text of {day}: {rows} rows")?;
        }
        writeln!(f, "\nWhat of the law is in, and what is not")?;
        for one in &self.coverage {
            writeln!(
                f,
                "  {}: {} in, {} not or not whole",
                one.market,
                one.covers.len(),
                one.not_covered.len()
            )?;
            for (sign, text) in one
                .covers
                .iter()
                .map(|t| ('+', t))
                .chain(one.not_covered.iter().map(|t| ('-', t)))
            {
                writeln!(f, "    {sign} {text}")?;
            }
        }
        writeln!(f, "\nBy family")?;
        for (family, n) in &self.families {
            writeln!(f, "  {n:>5}  {family}")?;
        }
        writeln!(
            f,
            "\nBy field{:21}have   figures    law  published  practice  memory",
            ""
        )?;
        for one in &self.fields {
            write!(f, "  {:26} {:>5} ", one.name, one.entries)?;
            kinds(f, &one.kinds)?;
        }
        writeln!(
            f,
            "\nShare of each kind of source{:5}figures    law  published  practice  memory",
            ""
        )?;
        for (name, k) in [
            ("all figures", &self.all),
            ("law", &self.law),
            ("preservatives", &self.preservatives),
        ] {
            write!(f, "  {name:32} ")?;
            kinds(f, k)?;
        }
        writeln!(f, "\nGaps, worst first")?;
        for g in &self.gaps {
            let named: Vec<&str> = g.missing.iter().take(5).map(String::as_str).collect();
            let more = if g.missing.len() > named.len() {
                ", ..."
            } else {
                ""
            };
            writeln!(
                f,
                "  {:>3.0} %  {} of {} {}: {}{more}",
                percent(g.missing.len(), g.of),
                g.missing.len(),
                g.of,
                g.what,
                named.join(", ")
            )?;
        }
        Ok(())
    }
}

fn kinds(f: &mut fmt::Formatter<'_>, k: &Kinds) -> fmt::Result {
    let all = k.total();
    writeln!(
        f,
        "{all:>8} {:>4.0} %  {:>7.0} %  {:>6.0} %  {:>4.1} %",
        percent(k.law, all),
        percent(k.published, all),
        percent(k.practice, all),
        k.memory_percent()
    )
}
