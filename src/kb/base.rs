//! The knowledge base in use: the packed one, with the workspace's own ingredients laid over it.

use super::bundle::{BUNDLE, Entry, TYPED_BYTES, read_index, read_piece};
use super::check::check_own;
use super::hash::Plain;
use super::id::Id;
use super::law::Law;
use super::lengths::letters;
use super::market::Market;
use super::names::key;
use super::nearest;
use super::number::Number;
use super::pack::{LawHead, Pieces};
use super::packed::Table;
use super::read::{self, Base, Fault};
use super::role::Role;
use super::schema::*;
use super::typed::{SELDOM, STAPLE, Typed};
use super::variants::{blend_key, bracket, strung, variants};
use rust_decimal::Decimal;
use serde::Deserialize;
use smol_str::SmolStr;
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock, Mutex, OnceLock, PoisonError};

/// Something worked out from an entry alone and kept for as long as the program runs. Of the maker's own entries it is worked out each
/// time, for those may change.
pub struct Kept<T> {
    of: OnceLock<Vec<OnceLock<T>>>,
}

impl<T: Clone> Kept<T> {
    pub const fn empty() -> Kept<T> {
        Kept {
            of: OnceLock::new(),
        }
    }

    pub fn get(&self, kb: &Kb, id: Id, make: impl FnOnce(&Ingredient) -> T) -> Cow<'_, T> {
        let one = kb.get(id);
        let all = self
            .of
            .get_or_init(|| (0..BUNDLE.index.listed).map(|_| OnceLock::new()).collect());
        match all.get(usize::from(id.0)) {
            Some(kept) if kb.own_file(id).is_none() => {
                Cow::Borrowed(kept.get_or_init(|| make(one)))
            }
            _ => Cow::Owned(make(one)),
        }
    }
}

/// A name together with the strength written into it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Strength {
    pub percent: Decimal,
    pub basis: StrengthBasis,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StrengthBasis {
    ByWeight,
    WeightInVolume,
    ByVolume,
}

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

/// The bundled base, or it with own ingredients over it. Cheap to clone.
#[derive(Clone)]
pub struct Kb {
    own: Arc<Own>,
    bundled: &'static [OnceLock<Box<Entry>>],
    /// Some entries are the maker's own.
    has_own: bool,
}

#[derive(Default)]
struct Own {
    /// Replaces the bundled entry of the same number, or stands after them.
    entries: HashMap<u16, Entry>,
    files: HashMap<u16, PathBuf>,
    ids: HashMap<String, u16>,
    names: HashMap<String, u16>,
    loose: HashMap<String, Vec<u16>>,
    /// Names that were looked up before, as they were written, with what they mean.
    met: Met<Lookup>,
    near: Met<Vec<(Id, String)>>,
}

/// Names that are remembered; then all are forgotten and remembering begins anew.
const MOST_MET: usize = 4096;

impl Default for Kb {
    fn default() -> Self {
        Kb::bundled()
    }
}

/// What names were found to mean, so that a name is looked for once and not at each keystroke.
struct Met<T>(Mutex<HashMap<String, T, Plain>>);

impl<T> Default for Met<T> {
    fn default() -> Met<T> {
        Met(Mutex::default())
    }
}

impl<T: Clone> Met<T> {
    fn or_find(&self, written: &str, find: impl FnOnce() -> T) -> T {
        let met = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = met().get(written) {
            return known.clone();
        }
        let found = find();
        let mut met = met();
        if met.len() >= MOST_MET {
            met.clear();
        }
        met.insert(written.to_owned(), found.clone());
        found
    }
}

impl Kb {
    pub fn bundled() -> Kb {
        Kb::with(Own::default())
    }

    /// Decodes the index and all else but the entries once more, and says how much it found. For the bench alone.
    #[doc(hidden)]
    pub fn decode_afresh(rest_too: bool) -> usize {
        let (index, registers) = read_index();
        fn all<T: Deserialize<'static>>(pieces: &Pieces) -> usize {
            (0..pieces.len())
                .map(|n| read_piece::<T>(pieces.get(n)))
                .collect::<Vec<_>>()
                .len()
        }
        let found = || {
            let laws: Vec<LawHead> = index
                .rest
                .laws
                .iter()
                .map(|(_, piece)| read_piece(*piece))
                .collect();
            let pairs: Vec<Pair> = read_piece(index.rest.pairs);
            let (sources, products) = (
                all::<Source>(&registers.sources.pieces),
                all::<Product>(&registers.products.pieces),
            );
            laws.len()
                + pairs.len()
                + sources
                + products
                + all::<Threshold>(&registers.thresholds.pieces)
        };
        index.entries() + if rest_too { found() } else { 0 }
    }

    /// Lays own ingredients over the bundled ones. A new id adds; a known id overrides the keys that it names.
    /// Faulty files are left out and reported with their line.
    pub fn with_own(files: &[(PathBuf, String)]) -> (Kb, Vec<Fault>) {
        if files.is_empty() {
            return (Kb::bundled(), Vec::new());
        }
        let bundled = Kb::bundled();
        let mut faults = Vec::new();
        let mut read_ones = Vec::new();
        for (file, text) in files {
            match bundled.overlay(file, text) {
                Ok(one) => read_ones.push((file.clone(), text.clone(), one)),
                Err(fault) => faults.push(fault),
            }
        }
        let unread = faults.iter().map(|f| f.file.clone()).collect();
        let found = check_own(&bundled.base_of(bundled.ids()), &read_ones, unread);
        read_ones.retain(|(file, _, _)| !found.iter().any(|f| &f.file == file));
        faults.extend(found);

        let mut own = Own::default();
        let mut next = BUNDLE.entries.len() as u16;
        for (file, _, one) in read_ones {
            let n = bundled.by_id(&one.id).map_or_else(
                || {
                    next += 1;
                    next - 1
                },
                |id| id.0,
            );
            for name in one
                .names
                .iter()
                .chain(&one.inci)
                .chain(&one.inci_us)
                .chain(&one.ci)
                .chain([&one.id])
            {
                own.names.insert(key(name), n);
            }
            for name in &one.loose_names {
                own.loose.entry(key(name)).or_default().push(n);
            }
            own.ids.insert(one.id.to_string(), n);
            own.files.insert(n, file);
            own.entries.insert(n, Entry::new(one));
        }
        (Kb::with(own), faults)
    }

    /// The entry that own text describes: the bundled one of its id, if any, with the keys of the text over it.
    fn overlay(&self, file: &Path, text: &str) -> Result<Ingredient, Fault> {
        let stem = file
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        let Some(id) = self.by_id(&stem) else {
            return read::ingredient(file, text, "own");
        };
        // Read alone first, so that a fault names the line of the maker's own text.
        let alone = read::ingredient(file, text, &self.get(id).family)?;
        let merged = || {
            let mut all = toml::Table::try_from(self.get(id)).ok()?;
            let over: toml::Table = toml::from_str(text).ok()?;
            all.extend(over);
            // By way of the text, for that is read already; reading tables too would be much code for this one place.
            read::ingredient(file, &toml::to_string(&all).ok()?, &alone.family).ok()
        };
        Ok(merged().unwrap_or(alone))
    }

    /// The base as it was before packing, for checks over all of it.
    pub fn whole(&self) -> Base {
        self.base_of(self.all_ids())
    }

    fn base_of(&self, ids: impl Iterator<Item = Id>) -> Base {
        Base {
            ingredients: ids.map(|id| self.get(id).clone()).collect(),
            laws: self.laws().map(Law::whole).collect(),
            sources: BUNDLE.sources.iter().cloned().collect(),
            pairs: self.pairs().to_vec(),
            scope_words: self.scope_words().to_vec(),
            products: self.products().cloned().collect(),
            thresholds: BUNDLE.thresholds.iter().cloned().collect(),
            vocabulary: self.vocabulary().clone(),
            common: Common::default(),
            files: Vec::new(),
            unread: Vec::new(),
        }
    }

    #[inline(always)]
    pub fn get(&self, id: Id) -> &Ingredient {
        &self.entry(id).one
    }

    fn with(own: Own) -> Kb {
        Kb {
            has_own: !own.entries.is_empty(),
            own: Arc::new(own),
            bundled: &BUNDLE.entries,
        }
    }

    #[inline(always)]
    fn entry(&self, id: Id) -> &Entry {
        let own = if self.has_own {
            self.own.entries.get(&id.0)
        } else {
            None
        };
        own.unwrap_or_else(|| {
            let n = usize::from(id.0);
            self.bundled[n]
                .get()
                .map_or_else(|| BUNDLE.entry(n), Box::as_ref)
        })
    }

    /// The entry for a passing look: it does not stay in memory. For walks over many, of which most are never asked for again.
    pub fn glance(&self, id: Id) -> Cow<'_, Ingredient> {
        let kept = self
            .own
            .entries
            .get(&id.0)
            .or_else(|| BUNDLE.entries[usize::from(id.0)].get().map(Box::as_ref));
        kept.map_or_else(
            || Cow::Owned(BUNDLE.decode(usize::from(id.0))),
            |e| Cow::Borrowed(&e.one),
        )
    }

    /// All names of the bundled entries, for completion.
    pub fn typed() -> &'static Typed<'static> {
        static TYPED: LazyLock<Typed<'static>> = LazyLock::new(|| {
            let packed: Typed =
                postcard::from_bytes(TYPED_BYTES).expect("the build packed these names");
            packed.beside(BUNDLE.index.names.keys.whole())
        });
        &TYPED
    }

    /// Those of the maker's own, new or laid over bundled ones, filed anew: they are few.
    pub fn typed_own(&self) -> Option<Typed<'static>> {
        let mut own: Vec<(u16, &Ingredient)> =
            self.own.entries.iter().map(|(n, e)| (*n, &e.one)).collect();
        own.sort_unstable_by_key(|(n, _)| *n);
        // What makers describe themselves they have: it needs no other mark.
        self.has_own
            .then(|| Typed::of(own.into_iter(), &|_| None, &|_| STAPLE))
    }

    /// How commonly makers keep a material, from [`STAPLE`] to [`SELDOM`]. What they describe themselves they have.
    pub fn commonness(&self, id: Id) -> u8 {
        let file = Kb::typed();
        let own = self.own_file(id).map(|_| STAPLE);
        own.or_else(|| {
            let mut all = (0..file.material_count()).map(|n| file.material(n as u16));
            all.find(|m| m.entry == id.0).map(|m| m.common)
        })
        .unwrap_or(SELDOM)
    }

    /// The entry of a number in a file of names.
    pub fn numbered(&self, entry: u16) -> Id {
        Id(entry)
    }

    /// The file of an own ingredient; none for a bundled one.
    pub fn own_file(&self, id: Id) -> Option<&Path> {
        self.own.files.get(&id.0).map(PathBuf::as_path)
    }

    /// The folder of the maker's own ingredients, where there are any.
    pub fn own_folder(&self) -> Option<&Path> {
        self.own.files.values().find_map(|file| file.parent())
    }

    /// The ingredients, without what only the long lists of prohibited substances name.
    pub fn ids(&self) -> impl Iterator<Item = Id> + '_ {
        (0..BUNDLE.index.listed).chain(self.added()).map(Id)
    }

    /// The ingredients, and what the long lists of prohibited substances name.
    pub fn all_ids(&self) -> impl Iterator<Item = Id> + '_ {
        (0..BUNDLE.entries.len() as u16).chain(self.added()).map(Id)
    }

    /// Numbers of the maker's own entries that are not laid over bundled ones.
    fn added(&self) -> Vec<u16> {
        let bundled = BUNDLE.entries.len() as u16;
        let mut added: Vec<u16> = self
            .own
            .entries
            .keys()
            .copied()
            .filter(|n| *n >= bundled)
            .collect();
        added.sort_unstable();
        added
    }

    /// The bundled entries whose name or CAS number an own entry bears under an id of its own: what the law says of them holds of it too.
    pub fn same_as(&self, own: Id) -> Vec<Id> {
        if self.own_file(own).is_none() {
            return Vec::new();
        }
        let one = self.get(own);
        let named = one
            .names
            .iter()
            .chain(&one.inci)
            .filter_map(|name| find(&BUNDLE.index.names, &key(name)));
        let numbered = one.cas.iter().flat_map(|cas| BUNDLE.index.cas.find(cas));
        let mut out: Vec<Id> = named
            .chain(numbered)
            .map(Id)
            .filter(|id| *id != own)
            .collect();
        out.sort_unstable();
        out.dedup();
        out
    }

    pub fn by_id(&self, id: &str) -> Option<Id> {
        if let Some(n) = self.own.ids.get(id) {
            return Some(Id(*n));
        }
        BUNDLE.index.ids.find(id).next().map(Id)
    }

    /// The entry of an id that the data itself names; the checks have seen that it exists.
    pub fn substance(&self, id: &str) -> Option<(Id, &Ingredient)> {
        self.by_id(id).map(|id| (id, self.get(id)))
    }

    /// The law of every market.
    pub fn laws(&self) -> impl Iterator<Item = &'static Law> {
        (0..BUNDLE.laws.len()).map(|n| BUNDLE.law(n))
    }
    /// The laws of some markets; those of others are not even decoded.
    pub fn laws_of<'m>(
        &self,
        markets: &'m [Market],
    ) -> impl Iterator<Item = &'static Law> + use<'m> {
        let all = BUNDLE.index.rest.laws.iter().enumerate();
        all.filter(|(_, (market, _))| markets.iter().any(|m| m.code() == market))
            .map(|(n, _)| BUNDLE.law(n))
    }
    pub fn pairs(&self) -> &'static [Pair] {
        BUNDLE
            .rest
            .pairs
            .get_or_init(|| read_piece(BUNDLE.index.rest.pairs))
    }
    pub fn products(&self) -> impl Iterator<Item = &'static Product> {
        BUNDLE.products.iter()
    }
    pub fn scope_words(&self) -> &'static [SmolStr] {
        BUNDLE
            .rest
            .scope_words
            .get_or_init(|| read_piece(BUNDLE.index.rest.scope_words))
    }
    pub fn vocabulary(&self) -> &'static Vocabulary {
        BUNDLE
            .rest
            .vocabulary
            .get_or_init(|| read_piece(BUNDLE.index.rest.vocabulary))
    }

    pub fn source(&self, id: &str) -> Option<&'static Source> {
        BUNDLE.sources.find(id)
    }

    /// A number that a rule compares with. The thresholds file is part of the build, so an unknown id is a fault of the program.
    pub fn threshold(&self, id: &str) -> &'static Threshold {
        BUNDLE
            .thresholds
            .find(id)
            .unwrap_or_else(|| panic!("kb/thresholds.toml has no \"{id}\""))
    }

    /// The product kind of this name.
    pub fn product(&self, name: &str) -> Option<&'static Product> {
        BUNDLE.products.find(&key(name))
    }

    /// What a written name means: a name, INCI name, id, CAS or CI number, alone or with a strength ("lactic acid 80 %").
    /// A name met before is not looked for again.
    pub fn lookup(&self, written: &str) -> Lookup {
        self.own.met.or_find(written, || self.look_up(written))
    }

    fn look_up(&self, written: &str) -> Lookup {
        let k = key(written);
        if let Some(found) = self.exact(&k) {
            return found;
        }
        // A strength of something else in brackets ("aloe vera gel (0.5 % xanthan)") says what is in it.
        if let Some((name, inside)) = bracket(&k)
            && let Some(of) = strength_of(inside)
        {
            return self.with_inside(&name, of);
        }
        let named = split_strength(&k).and_then(|(name, strength)| {
            Some((self.exact(&name).or_else(|| self.loosely(&name))?, strength))
        });
        // Which of several has the strength is asked back too.
        if let Some((several @ Lookup::Ambiguous(_), _)) = named {
            return several;
        }
        if let Some((Lookup::Known { id, .. }, strength)) = named {
            let basis = strength
                .1
                .unwrap_or_else(|| match self.get(id).strength.as_deref() {
                    Some("w/v") => StrengthBasis::WeightInVolume,
                    Some("v/v") => StrengthBasis::ByVolume,
                    _ => StrengthBasis::ByWeight,
                });
            return Lookup::Known {
                id,
                strength: Some(Strength {
                    percent: strength.0,
                    basis,
                }),
            };
        }
        self.loosely(&k).unwrap_or(Lookup::Unknown)
    }

    fn exact(&self, k: &str) -> Option<Lookup> {
        let known = |n| {
            Some(Lookup::Known {
                id: Id(n),
                strength: None,
            })
        };
        if let Some(n) = self.own.names.get(k) {
            return known(*n);
        }
        if let Some(n) = find(&BUNDLE.index.names, k) {
            return known(n);
        }
        let cas = k.replace(' ', "-");
        if cas.as_bytes().first().is_some_and(u8::is_ascii_digit)
            && let Some(n) = find(&BUNDLE.index.cas, &cas)
        {
            return known(n);
        }
        let mut loose: BTreeSet<u16> = self
            .own
            .loose
            .get(k)
            .into_iter()
            .flatten()
            .copied()
            .collect();
        loose.extend(BUNDLE.index.loose.find(k));
        match loose.len() {
            0 => None,
            1 => known(*loose.first()?),
            _ => Some(Lookup::Ambiguous(loose.into_iter().map(Id).collect())),
        }
    }

    /// With what changes nothing taken off or turned round: a bracketed second name, "oil, kind", words like "organic", a plural s.
    fn loosely(&self, k: &str) -> Option<Lookup> {
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
        let qualifiers = &BUNDLE.index.qualifiers;
        let words: Vec<&str> = k.split([' ', ',']).filter(|w| !w.is_empty()).collect();
        let kept: Vec<&str> = words
            .iter()
            .copied()
            .filter(|w| qualifiers.binary_search_by(|q| q.as_str().cmp(w)).is_err())
            .collect();
        if kept.len() < words.len() && !kept.is_empty() {
            let kept = kept.join(" ");
            if let Some(found) = self.exact(&kept) {
                return Some(found);
            }
        }
        k.strip_suffix('s')
            .and_then(|one| self.exact(one))
            .or_else(|| self.turned(k))
            .or_else(|| self.as_powder(k))
    }

    /// A name with a second one in brackets: "lime oil (distilled)", "vitamin E (tocopherol)", "shea butter (organic)".
    fn with_bracket(&self, k: &str) -> Option<Lookup> {
        let (name, inside) = bracket(k)?;
        let known = |found: &Lookup| matches!(found, Lookup::Known { .. });
        let joined = [format!("{inside} {name}"), format!("{name} {inside}")];
        let whole = |j: &String| self.exact(j).or_else(|| self.turned(j));
        if let Some(found) = joined.iter().filter_map(whole).find(known) {
            return Some(found);
        }
        match (
            self.exact(&name).or_else(|| self.loosely(&name)),
            self.exact(inside),
        ) {
            // The bracket answers which of several is meant.
            (Some(Lookup::Ambiguous(several)), Some(Lookup::Known { id, strength }))
                if several.contains(&id) =>
            {
                Some(Lookup::Known { id, strength })
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
        let names = &BUNDLE.index.names;
        let mut ids: Vec<u16> = (BUNDLE.index.lengths.candidates(length, letters(k), 0))
            .filter(|at| sorted(names.keys.get(*at)) == words)
            .map(|at| names.entries.get(at))
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

    /// A material that is said to hold so much of something: known where that is among its parts or constituents, else asked about.
    fn with_inside(&self, name: &str, of: &str) -> Lookup {
        let holds = |id: Id, part: Id| {
            let (one, part) = (self.get(id), &self.get(part).id);
            one.composition.iter().any(|p| &p.of == part)
                || one.constituents.iter().any(|c| &c.of == part)
        };
        match (
            self.exact(name).or_else(|| self.loosely(name)),
            self.exact(of),
        ) {
            (Some(Lookup::Known { id, strength }), Some(Lookup::Known { id: part, .. }))
                if holds(id, part) =>
            {
                Lookup::Known { id, strength }
            }
            (Some(found @ Lookup::Ambiguous(_)), _) => found,
            _ => Lookup::Unknown,
        }
    }

    /// The nearest names to one that is not known, best first, at most three.
    pub fn nearest(&self, written: &str) -> Vec<(Id, String)> {
        self.own
            .near
            .or_find(written, || nearest::find(self, written))
    }

    /// The keys of the maker's own names.
    pub(super) fn own_names(&self) -> impl Iterator<Item = (&str, u16)> {
        let names = self.own.names.iter().map(|(name, n)| (name.as_str(), *n));
        let loose = self.own.loose.iter();
        names.chain(loose.filter_map(|(name, all)| Some((name.as_str(), *all.first()?))))
    }

    /// The keys of names that several materials share, each with one of them.
    pub(super) fn ambiguous_names(&self) -> impl Iterator<Item = (&str, u16)> {
        let loose = &BUNDLE.index.loose;
        (0..loose.keys.len()).map(|at| (loose.keys.get(at), loose.entries.get(at)))
    }

    /// A name as it is written in the base, from its key.
    pub(super) fn written_name(&self, id: Id, k: &str) -> String {
        let one = self.get(id);
        if key(self.name(id)) == k {
            return self.name(id).to_owned();
        }
        let all = one.names.iter().chain(&one.inci).chain(&one.loose_names);
        match all.into_iter().find(|n| key(n) == k) {
            Some(written) => written.to_string(),
            None if key(&one.id) == k => k.to_owned(),
            None => self.name(id).to_owned(),
        }
    }

    /// The name to show: the one that the id stands for, else the first everyday name, else the INCI name.
    pub fn name(&self, id: Id) -> &str {
        self.entry(id).shown()
    }

    /// All names under which something can be typed, with their entry: for completion.
    pub fn typed_names(&self) -> impl Iterator<Item = (&str, Id)> + '_ {
        self.ids().flat_map(|id| {
            let one = self.get(id);
            one.names
                .iter()
                .chain(&one.inci)
                .chain(&one.inci_us)
                .map(move |n| (n.as_str(), id))
        })
    }
}

fn find(names: &Table, k: &str) -> Option<u16> {
    names.find(k).next()
}

/// What a bracket gives a strength of: "0.5% xanthan" -> "xanthan". None where it is the material's own ("80%", "80 % w/w in water").
fn strength_of(inside: &str) -> Option<&str> {
    let (number, of) = inside.split_once('%')?;
    let figure = number.trim().trim_start_matches(['>', '<', '~', '≥', '≤']);
    let is_number = !figure.is_empty()
        && figure
            .bytes()
            .all(|b| b.is_ascii_digit() || b".,".contains(&b));
    let of = of.trim();
    let own = of.split(' ').all(|w| STRENGTH_WORDS.contains(&w));
    (is_number && !own).then_some(of)
}

/// Words behind a strength that change nothing in what it is a strength of.
const STRENGTH_WORDS: [&str; 13] = [
    "", "w/w", "m/m", "w/v", "m/v", "v/v", "solution", "aqueous", "in", "water", "active",
    "dilution", "min",
];

/// "lactic acid 80 %" -> ("lactic acid", 80 %). Also "10 % lactic acid", "panthenol 75 % solution", "ethanol 96 % v/v".
fn split_strength(k: &str) -> Option<(String, (Decimal, Option<StrengthBasis>))> {
    let at = k.find('%')?;
    let before = k[..at].trim_end();
    let after = k[at + 1..].trim();
    let number_at = before
        .rfind(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
        .map_or(0, |p| {
            p + before[p..].chars().next().map_or(1, char::len_utf8)
        });
    let percent: Decimal = before[number_at..].replace(',', ".").parse().ok()?;
    if percent.is_zero() || percent > Decimal::ONE_HUNDRED {
        return None;
    }
    let mut basis = None;
    let mut rest: Vec<&str> = Vec::new();
    for word in after.split(' ') {
        match word.trim_matches(|c| c == '(' || c == ')') {
            "w/w" | "m/m" => basis = Some(StrengthBasis::ByWeight),
            "w/v" | "m/v" => basis = Some(StrengthBasis::WeightInVolume),
            "v/v" => basis = Some(StrengthBasis::ByVolume),
            "" | "solution" | "aqueous" | "in" | "water" | "active" | "dilution" => {}
            _ => rest.push(word),
        }
    }
    let head = before[..number_at].trim().trim_end_matches('(').trim_end();
    let name = match (head.is_empty(), rest.is_empty()) {
        (false, true) => head.strip_suffix(" solution").unwrap_or(head).to_owned(),
        (true, false) => rest.join(" "),
        (false, false) => format!("{head} {}", rest.join(" ")),
        (true, true) => return None,
    };
    Some((name, (percent, basis)))
}

impl Number {
    /// For arithmetic with the maker's own exact numbers.
    pub fn decimal(self) -> Decimal {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(name: &str) -> (String, Option<Decimal>) {
        let kb = Kb::bundled();
        match kb.lookup(name) {
            Lookup::Known { id, strength } => {
                (kb.get(id).id.to_string(), strength.map(|s| s.percent))
            }
            other => panic!("{name}: {other:?}"),
        }
    }

    #[test]
    fn by_name_inci_number_and_id() {
        for name in [
            "sodium benzoate",
            "Sodium Benzoate",
            "SODIUM-BENZOATE",
            "532-32-1",
            "benzoate of soda",
            "organic sodium benzoate",
        ] {
            assert_eq!(known(name), ("sodium-benzoate".into(), None), "{name}");
        }
    }

    #[test]
    fn strength_in_the_name() {
        let eighty = Some(Decimal::from(20));
        for name in [
            "sodium benzoate 20 %",
            "sodium benzoate 20%",
            "20 % sodium benzoate",
            "sodium benzoate 20 % solution",
            "sodium benzoate solution 20 %",
        ] {
            assert_eq!(known(name), ("sodium-benzoate".into(), eighty), "{name}");
        }
    }

    /// What is remembered is what is found: every name of the base, and more than are remembered, asked twice and looked for afresh.
    #[test]
    fn a_name_met_before_means_what_it_meant() {
        let kb = Kb::bundled();
        let names: Vec<String> = kb.typed_names().map(|(n, _)| n.to_owned()).collect();
        let more = (0..MOST_MET).map(|n| {
            format!(
                "{} {}.{} %",
                names[n % names.len()],
                n % 90 + 1,
                n / names.len()
            )
        });
        let all: Vec<String> = names.iter().cloned().chain(more).collect();
        for _ in 0..2 {
            for name in &all {
                assert_eq!(kb.lookup(name), kb.look_up(name), "{name}");
            }
        }
        assert!(kb.own.met.0.lock().expect("no panic under it").len() <= MOST_MET);
    }

    #[test]
    fn a_slip_of_the_pen_is_near() {
        let kb = Kb::bundled();
        assert_eq!(kb.lookup("sodium benzoat"), Lookup::Unknown);
        assert_eq!(kb.nearest("sodium benzoat")[0].1, "sodium benzoate");
        assert!(kb.nearest("quartz watch").is_empty());
    }

    #[test]
    fn own_ingredients_add_and_override() {
        let files = vec![
            (PathBuf::from("ingredients/meadow-blend.toml"), "id = \"meadow-blend\"\nnames = [\"meadow blend\"]\ncomposition = [{ of = \"water\", percent = 60 }, { of = \"sodium-benzoate\", percent = 40 }]\n".to_owned()),
            (PathBuf::from("ingredients/sodium-benzoate.toml"), "id = \"sodium-benzoate\"\nnote = \"ours\"\n".to_owned()),
            (PathBuf::from("ingredients/wrong.toml"), "id = \"wrong\"\nnames = [\"wrong\"]\ncas = [\"1-2-3\"]\n".to_owned()),
        ];
        let (kb, faults) = Kb::with_own(&files);
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert_eq!(
            (faults[0].file.as_path(), faults[0].line),
            (files[2].0.as_path(), 3)
        );
        let Lookup::Known { id, .. } = kb.lookup("Meadow blend") else {
            panic!("the own name is known")
        };
        assert_eq!(kb.get(id).composition.len(), 2);
        let (_, benzoate) = kb.substance("sodium-benzoate").expect("still there");
        assert_eq!(benzoate.note.as_deref(), Some("ours"));
        assert_eq!(benzoate.inci.as_deref(), Some("Sodium Benzoate"));
    }
}
