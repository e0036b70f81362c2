//! What the base knows and where it got it from: counts, the share of each kind of source, gaps with the worst first.

mod figures;
mod gaps;
mod show;

pub use figures::figures;

use super::read::KbSource;
use super::role::Role;
use super::schema::*;
use serde::Serialize;
use smol_str::SmolStr;
use std::collections::{BTreeMap, HashMap};

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
            SourceKind::Unsourced => self.memory += 1,
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

fn preserves(i: &Ingredient) -> bool {
    i.preservative.is_some() || i.roles.has(Role::Preservative)
}

pub fn report(base: &KbSource) -> Report {
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
        for row in figures::law_rows(one) {
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
            .map(|l| {
                (
                    l.market.to_string(),
                    l.as_of.to_string(),
                    figures::law_rows(l).len(),
                )
            })
            .collect(),
        coverage: base.laws.iter().map(Coverage::of).collect(),
        products: base.products.len(),
        pairs: base.pairs.len(),
        sources: base.sources.len(),
        all,
        law,
        preservatives,
        gaps: gaps::gaps(&ingredients),
    }
}
