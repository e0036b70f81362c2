//! All names of all materials, filed for searching at every keystroke. Packed by the build and read where it lies: records of a fixed
//! size, and their texts in two strings, so that nothing is decoded and nothing is copied.

use super::names::{self, key};
use super::number::Number;
use super::role::Role;
use super::schema::{Base, Ingredient, PhaseKind};
use serde::{Deserialize, Serialize};
use smol_str::SmolStr;
use std::borrow::Cow;
use std::collections::HashMap;

/// The file of names.
#[derive(Serialize, Deserialize, Debug, Default)]
pub struct Typed<'a> {
    /// What is searched: the keys of the names that the index does not hold.
    #[serde(borrow)]
    keys: Cow<'a, str>,
    /// The keys of the index, which stand there anyway.
    #[serde(skip)]
    shared: &'a str,
    /// What is shown: names as they are written, roles, figures.
    #[serde(borrow)]
    words: Cow<'a, str>,
    /// Which letters stand side by side in each name: looked at first, and apart, for most names are passed over by it.
    #[serde(borrow)]
    sieves: Cow<'a, [u8]>,
    #[serde(borrow)]
    names: Cow<'a, [u8]>,
    #[serde(borrow)]
    materials: Cow<'a, [u8]>,
    #[serde(borrow)]
    uses: Cow<'a, [u8]>,
}

/// How commonly makers keep a material (`kb/common.toml`).
pub const STAPLE: u8 = 0;
pub const EVERYDAY: u8 = 1;
pub const COMMON: u8 = 2;
pub const SELDOM: u8 = 3;

/// How many sieves are looked at in one go.
pub const AT_A_TIME: usize = 16;

/// A piece of the words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Words {
    start: u32,
    len: u16,
}

/// A name that can be typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Name {
    /// Where its key stands.
    start: u32,
    pub len: u16,
    /// Number of its material in this file.
    pub material: u16,
    pub letters: u32,
    pub written: Words,
    /// 0 are the name that is shown and the one that the id stands for; then all as the entry lists them, the everyday ones first; at most 15.
    pub order: u8,
    /// Several materials go by it.
    pub loose: bool,
    /// Its key stands in the index.
    shared: bool,
}

/// A material with what is shown beside its names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Material {
    /// Number of its entry in the base.
    pub entry: u16,
    /// The phase it goes into first, and all that it goes into, as bits of [`phase_bit`].
    first_phase: u8,
    phases: u8,
    /// Added to what has cooled.
    pub cool: bool,
    /// How commonly makers keep it, from [`STAPLE`] to [`SELDOM`].
    pub common: u8,
    /// Nothing that a maker puts into a row of his own accord.
    pub odd: bool,
    /// For hair waving and dyeing.
    pub hair_only: bool,
    pub water: bool,
    pub id: Words,
    pub shown: Words,
    pub inci: Words,
    pub role: Words,
    /// Its levels of use of the formula as a whole: the first, and how many.
    uses: (u32, u16),
}

/// A usual level of use, as written; an end that is open is empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Use {
    pub product: Words,
    pub low: Words,
    pub high: Words,
}

/// What is written to a record and read from it, field by field, the low byte first.
trait Record: Sized {
    const SIZE: usize;
    fn write(&self, to: &mut Vec<u8>);
    fn read(from: &mut Bytes) -> Self;
}

struct Bytes<'a>(&'a [u8]);

impl Bytes<'_> {
    #[inline]
    fn take<const N: usize>(&mut self) -> [u8; N] {
        let Some((head, rest)) = self.0.split_first_chunk::<N>() else {
            return [0; N];
        };
        self.0 = rest;
        *head
    }
    #[inline]
    fn u8(&mut self) -> u8 {
        self.take::<1>()[0]
    }
    #[inline]
    fn u16(&mut self) -> u16 {
        u16::from_le_bytes(self.take())
    }
    #[inline]
    fn u32(&mut self) -> u32 {
        u32::from_le_bytes(self.take())
    }
    #[inline]
    fn words(&mut self) -> Words {
        Words {
            start: self.u32(),
            len: self.u16(),
        }
    }
}

impl Words {
    fn write(self, to: &mut Vec<u8>) {
        to.extend(self.start.to_le_bytes());
        to.extend(self.len.to_le_bytes());
    }
}

impl Record for Name {
    const SIZE: usize = 20;
    fn write(&self, to: &mut Vec<u8>) {
        to.extend(self.start.to_le_bytes());
        to.extend(self.len.to_le_bytes());
        to.extend(self.material.to_le_bytes());
        to.extend(self.letters.to_le_bytes());
        self.written.write(to);
        to.extend([
            self.order,
            u8::from(self.loose) | u8::from(self.shared) << 1,
        ]);
    }
    #[inline]
    fn read(b: &mut Bytes) -> Name {
        let (start, len, material, letters, written, order, flags) = (
            b.u32(),
            b.u16(),
            b.u16(),
            b.u32(),
            b.words(),
            b.u8(),
            b.u8(),
        );
        Name {
            start,
            len,
            material,
            letters,
            written,
            order,
            loose: flags & 1 != 0,
            shared: flags & 2 != 0,
        }
    }
}

impl Record for Material {
    const SIZE: usize = 38;
    fn write(&self, to: &mut Vec<u8>) {
        to.extend(self.entry.to_le_bytes());
        to.extend([
            self.first_phase,
            self.phases,
            u8::from(self.cool),
            self.common,
            u8::from(self.odd) | u8::from(self.hair_only) << 1,
            u8::from(self.water),
        ]);
        for words in [self.id, self.shown, self.inci, self.role] {
            words.write(to);
        }
        to.extend(self.uses.0.to_le_bytes());
        to.extend(self.uses.1.to_le_bytes());
    }
    #[inline]
    fn read(b: &mut Bytes) -> Material {
        let (entry, first_phase, phases) = (b.u16(), b.u8(), b.u8());
        let (cool, common, flags) = (b.u8() != 0, b.u8(), b.u8());
        Material {
            entry,
            first_phase,
            phases,
            cool,
            common,
            odd: flags & 1 != 0,
            hair_only: flags & 2 != 0,
            water: b.u8() != 0,
            id: b.words(),
            shown: b.words(),
            inci: b.words(),
            role: b.words(),
            uses: (b.u32(), b.u16()),
        }
    }
}

impl Record for Use {
    const SIZE: usize = 18;
    fn write(&self, to: &mut Vec<u8>) {
        for words in [self.product, self.low, self.high] {
            words.write(to);
        }
    }
    fn read(b: &mut Bytes) -> Use {
        Use {
            product: b.words(),
            low: b.words(),
            high: b.words(),
        }
    }
}

#[inline]
fn record<R: Record>(all: &[u8], n: usize) -> R {
    R::read(&mut Bytes(&all[n * R::SIZE..(n + 1) * R::SIZE]))
}

impl<'a> Typed<'a> {
    /// With the keys of the index that it was filed by.
    pub fn beside(self, shared: &'a str) -> Typed<'a> {
        Typed { shared, ..self }
    }
}

impl Typed<'_> {
    /// Files entries with their numbers. Elements and constituents are there for the law's sake and are left out, as is what has no name.
    /// `index` tells where it holds a key, `common` how commonly an id is kept.
    pub fn of<'e>(
        entries: impl Iterator<Item = (u16, &'e Ingredient)>,
        index: &dyn Fn(&str) -> Option<u32>,
        common: &dyn Fn(&str) -> u8,
    ) -> Typed<'static> {
        let mut out = Filing::default();
        for (n, one) in entries {
            let unnamed = one.names.is_empty() && one.inci.is_none();
            if !unnamed && !one.roles.primary_in(&[Role::Element, Role::Constituent]) {
                out.add(n, one, index, common(&one.id));
            }
        }
        Typed {
            keys: out.keys.into(),
            shared: "",
            words: out.words.into(),
            sieves: out.sieves.into(),
            names: out.names.into(),
            materials: out.materials.into(),
            uses: out.uses.into(),
        }
    }

    /// The [`neighbours`] of every name, in the order of the entries, some at a time: so many are looked at in one go.
    pub fn sieves(&self) -> impl Iterator<Item = impl Iterator<Item = u64> + Clone> {
        let all = self.sieves.as_chunks::<8>().0;
        all.chunks(AT_A_TIME)
            .map(|some| some.iter().map(|eight| u64::from_le_bytes(*eight)))
    }
    #[inline]
    pub fn name(&self, n: u32) -> Name {
        record(&self.names, n as usize)
    }
    #[inline]
    pub fn key(&self, name: &Name) -> &str {
        let keys = if name.shared { self.shared } else { &self.keys };
        &keys[name.start as usize..name.start as usize + usize::from(name.len)]
    }
    #[inline]
    pub fn material(&self, n: u16) -> Material {
        record(&self.materials, usize::from(n))
    }
    pub fn material_count(&self) -> usize {
        self.materials.len() / Material::SIZE
    }
    pub fn uses(&self, m: &Material) -> impl Iterator<Item = Use> {
        let (first, count) = (m.uses.0 as usize, usize::from(m.uses.1));
        (first..first + count).map(|n| record(&self.uses, n))
    }
    pub fn text(&self, words: Words) -> &str {
        &self.words[words.start as usize..words.start as usize + usize::from(words.len)]
    }
}

impl Material {
    pub fn goes_first_into(&self, phase: PhaseKind) -> bool {
        self.first_phase & (phase_bit(phase) | phase_bit(PhaseKind::Any)) != 0
    }
    /// The phase that it goes into first; none where the base says nothing or any.
    pub fn first_phase(&self) -> Option<PhaseKind> {
        const KINDS: [PhaseKind; 5] = [
            PhaseKind::Water,
            PhaseKind::Oil,
            PhaseKind::CoolDown,
            PhaseKind::Surfactant,
            PhaseKind::Powder,
        ];
        KINDS
            .into_iter()
            .find(|phase| self.first_phase == phase_bit(*phase))
    }
    pub fn goes_into(&self, phase: PhaseKind) -> bool {
        self.phases & (phase_bit(phase) | phase_bit(PhaseKind::Any)) != 0
    }
}

fn phase_bit(phase: PhaseKind) -> u8 {
    1 << phase as u8
}

#[derive(Default)]
struct Filing {
    keys: String,
    words: String,
    kept: HashMap<String, Words>,
    sieves: Vec<u8>,
    names: Vec<u8>,
    materials: Vec<u8>,
    uses: Vec<u8>,
}

impl Filing {
    fn add(
        &mut self,
        entry: u16,
        one: &Ingredient,
        index: &dyn Fn(&str) -> Option<u32>,
        common: u8,
    ) {
        let shown = names::shown(one);
        let (shown_key, id_key) = (key(&shown), key(&one.id));
        let role = one.roles.primary().map_or("", Role::as_str);
        let material = (self.materials.len() / Material::SIZE) as u16;
        for (order, (name, loose)) in names_of(one).iter().enumerate() {
            let (name, loose) = (name.as_str(), *loose);
            let k = key(name);
            let written = self.keep(name);
            let shared = index(&k);
            let name = Name {
                start: shared.unwrap_or(self.keys.len() as u32),
                len: k.len() as u16,
                material,
                letters: letters(&k),
                written,
                order: if k == shown_key || k == id_key {
                    0
                } else if order < one.names.len() {
                    (order + 1).min(15) as u8
                } else {
                    // INCI names stand behind at least so many others.
                    (order + 1).clamp(5, 15) as u8
                },
                loose,
                shared: shared.is_some(),
            };
            name.write(&mut self.names);
            self.sieves.extend(neighbours(&k).to_le_bytes());
            if shared.is_none() {
                self.keys.push_str(&k);
            }
        }
        let first_use = (self.uses.len() / Use::SIZE) as u32;
        for u in one.r#use.iter().filter(|u| u.of == Base::Formula) {
            let figure = |n: Option<Number>| n.map_or_else(String::new, |n| n.to_string());
            let one = Use {
                product: self.keep(&u.product),
                low: self.keep(&figure(u.low)),
                high: self.keep(&figure(u.high)),
            };
            one.write(&mut self.uses);
        }
        let m = Material {
            entry,
            first_phase: one.phase.first().map_or(0, |p| phase_bit(*p)),
            phases: one.phase.iter().fold(0, |all, p| all | phase_bit(*p)),
            cool: one.add_below_c.is_some(),
            common,
            odd: one.family == "banned"
                || matches!(role, "toxic" | "medicine" | "hormone" | "antibiotic"),
            hair_only: matches!(one.family.as_str(), "hair-dyes" | "hair-waving")
                || role == "reducer",
            water: one.roles.has_any(&[Role::Water, Role::Hydrosol]),
            id: self.keep(&one.id),
            shown: self.keep(&shown),
            inci: self.keep(one.inci.as_deref().unwrap_or("")),
            role: self.keep(role),
            uses: (
                first_use,
                ((self.uses.len() / Use::SIZE) as u32 - first_use) as u16,
            ),
        };
        m.write(&mut self.materials);
    }

    /// Roles, products and figures come again and again, and stand once.
    fn keep(&mut self, text: &str) -> Words {
        if let Some(kept) = self.kept.get(text) {
            return *kept;
        }
        let words = Words {
            start: self.words.len() as u32,
            len: text.len() as u16,
        };
        self.words.push_str(text);
        self.kept.insert(text.to_owned(), words);
        words
    }
}

/// All that can be typed for an entry, as the index knows it, and whether several materials go by it. The everyday names come first.
fn names_of(one: &Ingredient) -> Vec<(SmolStr, bool)> {
    let mut all: Vec<(SmolStr, bool)> = Vec::new();
    let shared = |n: &SmolStr| one.loose_names.contains(n);
    let names = one.names.iter().filter(|n| !shared(n));
    all.extend(names.map(|n| (n.clone(), false)));
    let inci = one.inci.iter().chain(&one.inci_us);
    let inci = inci.filter(|n| !shared(n));
    all.extend(inci.map(|n| (n.clone(), false)));
    // "lavender-oil" is written "lavender oil", also where its entry lists longer names only.
    let plain = one.id.replace('-', " ");
    let kind = plain.rsplit(' ').next().unwrap_or_default();
    let natural = one.id.bytes().all(|b| b.is_ascii_lowercase() || b == b'-')
        && one.id.contains('-')
        && matches!(
            kind,
            "oil" | "water" | "juice" | "butter" | "extract" | "powder" | "wax"
        );
    let listed = all.iter().map(|(n, _)| n).chain(&one.loose_names);
    if natural && !listed.into_iter().any(|n| key(n) == plain) {
        all.push((plain.into(), false));
    }
    all.extend(one.loose_names.iter().map(|n| (n.clone(), true)));
    all
}

/// Which letters occur, as bits.
pub fn letters(k: &str) -> u32 {
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
pub fn neighbours(k: &str) -> u64 {
    let pairs = k.as_bytes().windows(2).filter(|pair| !pair.contains(&b' '));
    pairs.fold(0, |m, pair| {
        m | 1 << ((u32::from(pair[0]) * 31 + u32::from(pair[1])) % 64)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::Kb;

    /// What was packed and is read in place is what filing the entries anew gives, name by name.
    #[test]
    fn read_in_place_it_says_what_the_entries_say() {
        let (kb, file) = (Kb::bundled(), Kb::typed());
        let mut found = 0;
        for n in 0..file.material_count() {
            let m = file.material(n as u16);
            let one = kb.get(kb.numbered(m.entry));
            assert_eq!(
                (file.text(m.id), file.text(m.shown)),
                (one.id.as_str(), kb.name(kb.numbered(m.entry)))
            );
            assert_eq!(
                file.text(m.role),
                one.roles.primary().map_or("", Role::as_str),
                "{}",
                one.id
            );
            assert_eq!(
                file.uses(&m).count(),
                one.r#use.iter().filter(|u| u.of == Base::Formula).count(),
                "{}",
                one.id
            );
            for phase in [
                PhaseKind::Water,
                PhaseKind::Oil,
                PhaseKind::CoolDown,
                PhaseKind::Surfactant,
                PhaseKind::Powder,
            ] {
                let fits = |p: &PhaseKind| *p == phase || *p == PhaseKind::Any;
                assert_eq!(m.goes_into(phase), one.phase.iter().any(fits), "{}", one.id);
                assert_eq!(
                    m.goes_first_into(phase),
                    one.phase.first().is_some_and(fits),
                    "{}",
                    one.id
                );
            }
            found += names_of(one).len();
        }
        for (n, sieve) in file.sieves().flatten().enumerate() {
            let name = file.name(n as u32);
            let one = kb.get(kb.numbered(file.material(name.material).entry));
            let written = file.text(name.written);
            assert!(names_of(one).iter().any(|(w, _)| w == written), "{written}");
            assert_eq!(
                one.loose_names.iter().any(|w| w == written),
                name.loose,
                "{written}"
            );
            assert_eq!(file.key(&name), key(written));
            assert_eq!(
                (name.letters, sieve),
                (letters(&key(written)), neighbours(&key(written))),
                "{written}"
            );
        }
        assert_eq!(file.sieves().flatten().count(), found);
    }
}
