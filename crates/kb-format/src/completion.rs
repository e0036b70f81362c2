//! All names of all materials, for completion at every keystroke: what is searched, what ranks it, what is shown next to it.

use crate::names::{self, key};
use crate::number::Number;
use crate::role::Role;
use crate::schema::{Common, Ingredient, PhaseKind, UseBasis};
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::borrow::Cow;
use std::collections::HashMap;

#[derive(Serialize, Deserialize, Debug, Default)]
pub struct CompletionIndex<'a> {
    /// In the order of the entries.
    #[serde(borrow)]
    pub names: Vec<NameRecord<'a>>,
    /// The [`bigram_mask`] of each name. Searched first and apart, because most names are passed over by it.
    pub bigram_masks: Vec<u64>,
    #[serde(borrow)]
    pub materials: Vec<MaterialRecord<'a>>,
}

/// A name that can be typed.
#[derive(Serialize, Deserialize, Clone, Debug)]
pub struct NameRecord<'a> {
    /// What is searched.
    #[serde(borrow)]
    pub key: Cow<'a, str>,
    #[serde(borrow)]
    pub written: Cow<'a, str>,
    /// The number of its material in this index.
    pub material: u16,
    /// The [`letter_mask`] of its key.
    pub letters: u32,
    /// 0 are the name that is shown and the one that the id stands for. Then all as the entry lists them, the everyday ones first, at most 15.
    pub order: u8,
    /// Several materials go by it.
    pub ambiguous: bool,
}

/// A material with what is shown next to its names.
#[derive(Serialize, Deserialize, Clone, Debug)]
pub struct MaterialRecord<'a> {
    /// The number of its entry in the base.
    pub entry: u16,
    /// Where it goes, likeliest first.
    pub phase: Vec<PhaseKind>,
    /// Added to what has cooled.
    pub cool_down: bool,
    pub common: Commonness,
    /// Nothing that a maker puts into a row of his own accord.
    pub demoted: bool,
    /// For hair waving and dyeing.
    pub hair_only: bool,
    pub water: bool,
    pub role: Option<Role>,
    #[serde(borrow)]
    pub id: Cow<'a, str>,
    #[serde(borrow)]
    pub shown: Cow<'a, str>,
    /// Empty where it has none.
    #[serde(borrow)]
    pub inci: Cow<'a, str>,
    /// Its levels of use of the formula as a whole.
    #[serde(borrow)]
    pub uses: Vec<UseRecord<'a>>,
}

/// A usual level of use, as written. An end that is open is empty.
#[derive(Serialize, Deserialize, Clone, Debug)]
pub struct UseRecord<'a> {
    #[serde(borrow)]
    pub product: Cow<'a, str>,
    #[serde(borrow)]
    pub low: Cow<'a, str>,
    #[serde(borrow)]
    pub high: Cow<'a, str>,
}

/// How commonly makers keep a material (`kb/common.toml`).
#[derive(Serialize, Deserialize, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Commonness {
    Staple,
    Everyday,
    Common,
    Seldom,
}

impl Commonness {
    pub fn by_id(common: &Common) -> HashMap<&str, Commonness> {
        let lists = [
            (&common.staple, Commonness::Staple),
            (&common.everyday, Commonness::Everyday),
            (&common.common, Commonness::Common),
        ];
        let each = lists.into_iter();
        each.flat_map(|(ids, how)| ids.iter().map(move |id| (id.as_str(), how)))
            .collect()
    }
}

impl<'a> CompletionIndex<'a> {
    /// Indexes entries with their numbers. Elements and constituents are there for the law's sake and are left out, as is what has no name.
    pub fn of(
        entries: impl Iterator<Item = (u16, &'a Ingredient)>,
        common: &dyn Fn(&str) -> Commonness,
    ) -> CompletionIndex<'a> {
        let mut out = CompletionIndex::default();
        for (n, one) in entries {
            let unnamed = one.names.is_empty() && one.inci.is_none();
            if !unnamed && !one.roles.primary_in(&[Role::Element, Role::Constituent]) {
                out.add(n, one, common(&one.id));
            }
        }
        out
    }

    fn add(&mut self, entry: u16, one: &'a Ingredient, common: Commonness) {
        let shown = names::shown(one);
        let (shown_key, id_key) = (key(&shown), key(&one.id));
        let material = self.materials.len() as u16;
        for (order, (name, ambiguous)) in names_of(one).into_iter().enumerate() {
            let k = key(&name);
            let order = if k == shown_key || k == id_key {
                0
            } else if order < one.names.len() {
                (order + 1).min(15) as u8
            } else {
                // INCI names stand behind at least so many others.
                (order + 1).clamp(5, 15) as u8
            };
            self.bigram_masks.push(bigram_mask(&k));
            self.names.push(NameRecord {
                letters: letter_mask(&k),
                key: k.into(),
                written: name,
                material,
                order,
                ambiguous,
            });
        }
        let role = one.roles.primary();
        self.materials.push(MaterialRecord {
            entry,
            phase: one.phase.clone(),
            cool_down: one.add_below_c.is_some(),
            common,
            demoted: one.family == "banned"
                || one.roles.primary_in(&[
                    Role::Toxic,
                    Role::Medicine,
                    Role::Hormone,
                    Role::Antibiotic,
                ]),
            hair_only: matches!(one.family.as_str(), "hair-dyes" | "hair-waving")
                || role == Some(Role::Reducer),
            water: one.roles.has_any(&[Role::Water, Role::Hydrosol]),
            role,
            id: one.id.as_str().into(),
            shown: shown.into(),
            inci: one.inci.as_deref().unwrap_or("").into(),
            uses: uses(one),
        });
    }
}

impl MaterialRecord<'_> {
    pub fn goes_first_into(&self, phase: PhaseKind) -> bool {
        let first = self.phase.first();
        first.is_some_and(|p| [phase, PhaseKind::Any].contains(p))
    }
    pub fn goes_into(&self, phase: PhaseKind) -> bool {
        let mut all = self.phase.iter();
        all.any(|p| [phase, PhaseKind::Any].contains(p))
    }
    /// The phase that it goes into first. None where the base says nothing or any.
    pub fn first_phase(&self) -> Option<PhaseKind> {
        self.phase.first().copied().filter(|p| *p != PhaseKind::Any)
    }
}

fn uses(one: &Ingredient) -> Vec<UseRecord<'_>> {
    let figure = |n: Option<Number>| n.map_or_else(String::new, |n| n.to_string());
    let of_formula = one.r#use.iter().filter(|u| u.of == UseBasis::Formula);
    let record = |u: &'_ crate::schema::UseLevel| UseRecord {
        product: u.product.to_string().into(),
        low: figure(u.low).into(),
        high: figure(u.high).into(),
    };
    of_formula.map(record).collect()
}

/// All that can be typed for an entry, as the look-up knows it, and whether several materials go by it. The everyday names come first.
fn names_of(one: &Ingredient) -> Vec<(Cow<'_, str>, bool)> {
    let mut all: Vec<(Cow<str>, bool)> = Vec::new();
    let shared = |n: &&SmolStr| one.ambiguous_names.contains(*n);
    let names = one.names.iter().filter(|n| !shared(n));
    all.extend(names.map(|n| (n.as_str().into(), false)));
    let inci = one.inci.iter().chain(&one.inci_us);
    let inci = inci.filter(|n| !shared(n));
    all.extend(inci.map(|n| (n.as_str().into(), false)));
    // "lavender-oil" is written "lavender oil", also where its entry lists longer names only.
    let plain = one.id.replace('-', " ");
    let kind = plain.rsplit(' ').next().unwrap_or_default();
    let natural = one.id.bytes().all(|b| b.is_ascii_lowercase() || b == b'-')
        && one.id.contains('-')
        && matches!(
            kind,
            "oil" | "water" | "juice" | "butter" | "extract" | "powder" | "wax"
        );
    let mut listed = all
        .iter()
        .map(|(n, _)| n.as_ref())
        .chain(one.ambiguous_names.iter().map(SmolStr::as_str));
    if natural && !listed.any(|n| key(n) == plain) {
        all.push((plain.into(), false));
    }
    all.extend(
        one.ambiguous_names
            .iter()
            .map(|n| (n.as_str().into(), true)),
    );
    all
}

/// Which letters occur, as bits.
pub fn letter_mask(k: &str) -> u32 {
    k.bytes().fold(0, |m, b| {
        m | match b {
            b'a'..=b'z' => 1 << (b - b'a'),
            b'0'..=b'9' => 1 << 26,
            b' ' => 0,
            _ => 1 << 27,
        }
    })
}

/// Which letters stand side by side in a word, as bits. A name that holds the words typed has all of theirs.
pub fn bigram_mask(k: &str) -> u64 {
    let pairs = k.as_bytes().windows(2).filter(|pair| !pair.contains(&b' '));
    pairs.fold(0, |m, pair| {
        m | 1 << ((u32::from(pair[0]) * 31 + u32::from(pair[1])) % 64)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The masks leave in every name that holds what is typed.
    #[test]
    fn a_name_has_the_letters_and_pairs_of_its_parts() {
        for (typed, name) in [
            ("cetea", "cetearyl alcohol"),
            ("alc", "cetearyl alcohol"),
            ("20", "polysorbate 20"),
        ] {
            assert_eq!(letter_mask(typed) & !letter_mask(name), 0, "{typed}");
            assert_eq!(bigram_mask(typed) & !bigram_mask(name), 0, "{typed}");
        }
        assert_ne!(bigram_mask("zinc") & !bigram_mask("cetearyl alcohol"), 0);
    }
}
