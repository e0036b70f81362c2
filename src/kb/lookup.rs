//! What a written name means.

use super::base::Kb;
use super::bundle::BUNDLE;
use super::id::Id;
use super::length_index::{self, LengthIndex};
use super::strength::{Strength, StrengthBasis, proof, split_strength, strength_of};
use super::variants::{bracket, strung, variants};
use kb_format::names::{blend_key, key};
use kb_format::number::Number;
use kb_format::role::Role;
use kb_format::schema::Part;
use rust_decimal::Decimal;
use std::collections::BTreeSet;

/// What a written name means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lookup {
    Known {
        id: Id,
        strength: Option<Strength>,
    },
    /// Several materials go by this name.
    Ambiguous(Vec<Id>),
    Unknown,
}

impl Kb {
    /// What a written name means: a name, INCI name, id, CAS or CI number, alone or with a strength ("lactic acid 80 %").
    /// A name met before is not looked for again.
    pub fn lookup(&self, written: &str) -> Lookup {
        self.overlay
            .lookup_cache
            .get_or_insert_with(written, || self.resolve_uncached(written))
    }

    /// What to write for one of several materials that a written name may mean: its name, with the strength that was written
    /// wherever it goes with it ("lye 30 %": "sodium hydroxide 30 %").
    pub fn name_in_place_of(&self, id: Id, written: &str) -> String {
        let name = self.name(id);
        let Some((_, (percent, basis))) = split_strength(&key(written)) else {
            return name.to_owned();
        };
        let basis = match basis {
            Some(StrengthBasis::ByVolume) => " v/v",
            Some(StrengthBasis::WeightInVolume) => " w/v",
            _ => "",
        };
        let strong = format!("{name} {} %{basis}", percent.normalize());
        match self.lookup(&strong) {
            Lookup::Known { id: found, .. } if found == id => strong,
            _ => name.to_owned(),
        }
    }

    fn resolve_uncached(&self, written: &str) -> Lookup {
        let mut k = key(written);
        if let Some(found) = self.exact(&k) {
            return found;
        }
        if let Some(by_volume) = proof(&k) {
            k = by_volume;
        }
        // A strength of something else in brackets ("aloe vera gel (0.5 % xanthan)") says what is in it.
        if let Some((name, inside)) = bracket(&k)
            && let Some(of) = strength_of(inside)
        {
            return self.with_inside(&name, &of);
        }
        let named = split_strength(&k).and_then(|(name, strength)| {
            Some((
                self.exact(&name)
                    .or_else(|| self.resolve_with_heuristics(&name))?,
                strength,
            ))
        });
        match named {
            // Which of several has the strength is asked back too.
            Some((several @ Lookup::Ambiguous(_), _)) => several,
            Some((Lookup::Known { id, .. }, (percent, basis)))
                if self.get(id).composition.is_empty() =>
            {
                self.with_strength(id, percent, basis)
            }
            Some((Lookup::Known { id, .. }, (percent, basis))) => {
                self.mixture_with_strength(id, percent, basis)
            }
            _ => self.resolve_with_heuristics(&k).unwrap_or(Lookup::Unknown),
        }
    }

    fn with_strength(&self, id: Id, percent: Decimal, basis: Option<StrengthBasis>) -> Lookup {
        let basis = basis.unwrap_or_else(|| match self.get(id).strength.as_deref() {
            Some("w/v") => StrengthBasis::WeightInVolume,
            Some("v/v") => StrengthBasis::ByVolume,
            _ => StrengthBasis::ByWeight,
        });
        Lookup::Known {
            id,
            strength: Some(Strength { percent, basis }),
        }
    }

    /// A mixture named with a strength. The strength is that of a part which it holds so much of anyhow, or of the one part of a
    /// solution in water, or the one at which the whole is sold in its carrier; which of its parts is meant is asked otherwise,
    /// never the mixture thinned to it.
    fn mixture_with_strength(
        &self,
        id: Id,
        percent: Decimal,
        basis: Option<StrengthBasis>,
    ) -> Lookup {
        let entry = self.get(id);
        let sold = |p: &Number| p.decimal() == percent;
        if entry.carrier.is_some() && entry.sold_as_percent.iter().any(sold) {
            return self.with_strength(id, percent, basis);
        }
        let parts = &entry.composition;
        let exactly = |p: &Part| p.percent.decimal() == percent;
        if basis.is_none() && parts.iter().any(exactly) {
            return Lookup::Known { id, strength: None };
        }
        let (water, rest): (Vec<&Part>, Vec<&Part>) = parts
            .iter()
            .filter(|p| !p.hidden)
            .partition(|p| p.of == "water");
        let first = rest.first().and_then(|p| self.by_id(&p.of));
        match (water.is_empty(), rest.len(), first) {
            (false, 1, Some(part)) => self.with_strength(part, percent, basis),
            (_, 1.., _) => {
                let parts = rest.iter().filter_map(|p| self.by_id(&p.of));
                Lookup::Ambiguous(std::iter::once(id).chain(parts).collect())
            }
            _ => Lookup::Unknown,
        }
    }

    fn exact(&self, k: &str) -> Option<Lookup> {
        let known = |n| {
            Some(Lookup::Known {
                id: Id(n),
                strength: None,
            })
        };
        if let Some(n) = self.overlay.names.get(k) {
            return known(*n);
        }
        if let Some(n) = BUNDLE.packed.names.find(k).next() {
            return known(n);
        }
        let cas = k.replace(' ', "-");
        if cas.as_bytes().first().is_some_and(u8::is_ascii_digit)
            && let Some(n) = BUNDLE.packed.cas.find(&cas).next()
        {
            return known(n);
        }
        let mut loose: BTreeSet<u16> = self
            .overlay
            .ambiguous_names
            .get(k)
            .into_iter()
            .flatten()
            .copied()
            .collect();
        loose.extend(BUNDLE.packed.ambiguous_names.find(k));
        match loose.len() {
            0 => None,
            1 => known(*loose.first()?),
            _ => Some(Lookup::Ambiguous(loose.into_iter().map(Id).collect())),
        }
    }

    /// With what changes nothing taken off or turned round: a bracketed second name, "oil, kind", words like "organic", a plural s.
    fn resolve_with_heuristics(&self, k: &str) -> Option<Lookup> {
        // No name is as long as this; a pasted paragraph is not searched for one.
        if k.len() > 300 {
            return None;
        }
        if let Some(found) = self.with_bracket(k).or_else(|| self.by_parts(k)) {
            return Some(found);
        }
        if let Some(found) = variants(k).iter().find_map(|v| self.exact(v)) {
            return Some(found);
        }
        // As in a list: "sunflower oil, high oleic".
        if let Some((what, kind)) = k.split_once(", ")
            && let Some(found) = self.exact(&format!("{kind} {what}"))
        {
            return Some(found);
        }
        if let Some(found) = self.without_qualifiers(k) {
            return Some(found);
        }
        k.strip_suffix('s')
            .and_then(|one| self.exact(one))
            .or_else(|| self.turned(k))
            .or_else(|| self.as_powder(k))
    }

    /// Without the words that change nothing. "Vegetable" and its like do in food, in what animals give and in vitamins ("plant milk",
    /// "vegetable gelatin", "plant retinol"), and "free" says what is not in it.
    fn without_qualifiers(&self, k: &str) -> Option<Lookup> {
        let qualifiers = &BUNDLE.packed.qualifiers;
        let words: Vec<&str> = k.split([' ', ',']).filter(|w| !w.is_empty()).collect();
        let kept: Vec<&str> = words
            .iter()
            .copied()
            .filter(|w| qualifiers.binary_search(w).is_err())
            .collect();
        if kept.len() == words.len() || kept.is_empty() {
            return None;
        }
        let free = words.iter().position(|w| *w == "free");
        if free.is_some_and(|at| at == 0 || words[at - 1] != "palm") {
            return None;
        }
        let found = self.exact(&kept.join(" "))?;
        let says_origin = words
            .iter()
            .any(|w| !kept.contains(w) && ["vegetable", "plant", "derived", "palm"].contains(w));
        let same_from_plants = |id: &Id| {
            self.get(*id).roles.has_any(&[
                Role::Oil,
                Role::Humectant,
                Role::FattyAlcohol,
                Role::FattyAcid,
                Role::Ester,
                Role::Emulsifier,
                Role::Surfactant,
                Role::Emollient,
                Role::Pigment,
                Role::Powder,
                Role::Gum,
            ]) && !self.get(*id).roles.has_any(&[
                Role::Kitchen,
                Role::Protein,
                Role::Vitamin,
                Role::Butter,
            ])
        };
        let any = match &found {
            Lookup::Known { id, .. } => same_from_plants(id),
            Lookup::Ambiguous(ids) => ids.iter().any(same_from_plants),
            Lookup::Unknown => false,
        };
        (!says_origin || any).then_some(found)
    }

    /// A name with a second one in brackets: "lime oil (distilled)", "vitamin E (tocopherol)", "shea butter (organic)".
    fn with_bracket(&self, k: &str) -> Option<Lookup> {
        let (name, inside) = bracket(k)?;
        // A percentage is never dropped with its bracket.
        if inside.contains('%') {
            return None;
        }
        let known = |found: &Lookup| matches!(found, Lookup::Known { .. });
        let joined = [format!("{inside} {name}"), format!("{name} {inside}")];
        let whole = |j: &String| self.exact(j).or_else(|| self.turned(j));
        if let Some(found) = joined.iter().filter_map(whole).find(known) {
            return Some(found);
        }
        match (
            self.exact(&name)
                .or_else(|| self.resolve_with_heuristics(&name)),
            self.exact(inside),
        ) {
            // The bracket answers which of several is meant.
            (Some(Lookup::Ambiguous(several)), Some(Lookup::Known { id, strength }))
                if several.contains(&id) =>
            {
                Some(Lookup::Known { id, strength })
            }
            // Two materials, and no word of how much of which: asked about.
            (Some(Lookup::Known { id: one, .. }), Some(Lookup::Known { id: other, .. }))
                if one != other && !self.holds(one, other) =>
            {
                Some(Lookup::Ambiguous(vec![one, other]))
            }
            (found, inside) => found.or(inside),
        }
    }

    /// A name whose words stand in another order: "grapefruit pink essential oil", "lanolin, anhydrous".
    fn turned(&self, k: &str) -> Option<Lookup> {
        let sorted = |k: &str| {
            let mut words: Vec<String> = k
                .split([' ', ','])
                .filter(|w| !w.is_empty())
                .map(str::to_owned)
                .collect();
            words.sort_unstable();
            words
        };
        let words = sorted(k);
        if !(2..=6).contains(&words.len()) {
            return None;
        }
        let length = words.iter().map(|w| w.len() + 1).sum::<usize>() - 1;
        let same_letters =
            LengthIndex::bundled().within_letter_bound(length, length_index::letters(k), 0);
        let mut ids: Vec<u16> = same_letters
            .filter(|(name, _)| sorted(name) == words)
            .map(|(_, entry)| entry)
            .collect();
        ids.sort_unstable();
        ids.dedup();
        match ids[..] {
            [] => None,
            [one] => Some(Lookup::Known {
                id: Id(one),
                strength: None,
            }),
            _ => Some(Lookup::Ambiguous(ids.into_iter().map(Id).collect())),
        }
    }

    /// A solid that is a powder anyhow: "guar gum powder". Of what is a liquid, or food, the powder is another material.
    fn as_powder(&self, k: &str) -> Option<Lookup> {
        let found = self.exact(k.strip_suffix(" powder")?)?;
        let Lookup::Known { id, .. } = found else {
            return None;
        };
        let other = [
            Role::Water,
            Role::Hydrosol,
            Role::Oil,
            Role::Butter,
            Role::Extract,
            Role::Ferment,
            Role::Honey,
            Role::Kitchen,
            Role::EssentialOil,
            Role::Aroma,
            Role::Solvent,
            Role::Silicone,
            Role::Ester,
            Role::Hydrocarbon,
            Role::Wax,
            Role::Protein,
        ];
        (!self.get(id).roles.has_any(&other)).then_some(found)
    }

    /// A blend by the names of its parts, in any order.
    fn by_parts(&self, k: &str) -> Option<Lookup> {
        let mut ids = Vec::new();
        for part in strung(k) {
            let Some(Lookup::Known { id, .. }) = self.exact(part) else {
                return None;
            };
            ids.push(self.get(id).id.as_str());
        }
        if ids.is_empty() {
            None
        } else {
            self.exact(&blend_key(ids.into_iter()))
        }
    }

    fn holds(&self, id: Id, part: Id) -> bool {
        let (one, part) = (self.get(id), &self.get(part).id);
        one.composition.iter().any(|p| &p.of == part)
            || one.constituents.iter().any(|c| &c.of == part)
    }

    /// A material that is said to hold so much of something: known where that is among its parts or constituents, else asked about.
    fn with_inside(&self, name: &str, of: &str) -> Lookup {
        match (
            self.exact(name)
                .or_else(|| self.resolve_with_heuristics(name)),
            self.exact(of),
        ) {
            (Some(Lookup::Known { id, strength }), Some(Lookup::Known { id: part, .. }))
                if self.holds(id, part) =>
            {
                Lookup::Known { id, strength }
            }
            (Some(found @ Lookup::Ambiguous(_)), _) => found,
            _ => Lookup::Unknown,
        }
    }
}

#[cfg(test)]
mod tests;
