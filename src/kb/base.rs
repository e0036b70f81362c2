//! The base: its entries by number, id and name, its laws and lists.

use super::bundle::{BUNDLE, Bundle, Entry};
use super::id::Id;
use super::law::Law;
use super::market::Market;
use super::overlay::UserOverlay;
use kb_format::names::key;
use kb_format::schema::*;
use kb_format::{Commonness, CompletionIndex};
use smol_str::SmolStr;
use std::sync::{Arc, OnceLock};

/// The bundled base, or it with own ingredients over it. Cheap to clone.
#[derive(Clone)]
pub struct Kb {
    pub(super) overlay: Arc<UserOverlay>,
    pub(super) bundled: &'static [OnceLock<Box<Entry>>],
    /// Some entries are the maker's own.
    pub(super) has_user_entries: bool,
}

impl Default for Kb {
    fn default() -> Self {
        Kb::bundled()
    }
}

impl Kb {
    pub fn bundled() -> Kb {
        Kb::with(UserOverlay::default())
    }

    /// Decodes the base once more, and says how much it found. For the bench.
    #[doc(hidden)]
    pub fn decode_again(law_too: bool) -> usize {
        let bundle = Bundle::load();
        let law = match law_too {
            true => {
                bundle.laws(|_| true).count()
                    + bundle.pairs().len()
                    + bundle.sources().rows.len()
                    + bundle.products().rows.len()
                    + bundle.thresholds().rows.len()
            }
            false => 0,
        };
        bundle.entries.len() + law
    }

    #[inline(always)]
    pub fn get(&self, id: Id) -> &Ingredient {
        &self.entry(id).one
    }

    #[inline(always)]
    fn entry(&self, id: Id) -> &Entry {
        let own = if self.has_user_entries {
            self.overlay.entries.get(&id.0)
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

    /// All names of the bundled entries, for completion.
    pub fn completion_index() -> &'static CompletionIndex<'static> {
        BUNDLE.completion()
    }

    /// How commonly makers keep a material. What they describe themselves they have.
    pub fn commonness(&self, id: Id) -> Commonness {
        let own = self.user_file(id).map(|_| Commonness::Staple);
        own.or_else(|| {
            let mut all = Kb::completion_index().materials.iter();
            all.find(|m| m.entry == id.0).map(|m| m.common)
        })
        .unwrap_or(Commonness::Seldom)
    }

    /// The id of an entry that a completion index numbers.
    pub fn entry_id(&self, entry: u16) -> Id {
        Id(entry)
    }

    /// The ingredients, without what only the long lists of prohibited substances name.
    pub fn ids(&self) -> impl Iterator<Item = Id> + '_ {
        (0..BUNDLE.packed.listed).chain(self.added()).map(Id)
    }

    /// The ingredients, and what the long lists of prohibited substances name.
    pub fn all_ids(&self) -> impl Iterator<Item = Id> + '_ {
        let bundled = BUNDLE.entries.len() as u16;
        (0..bundled).chain(self.added()).map(Id)
    }

    pub fn by_id(&self, id: &str) -> Option<Id> {
        if let Some(n) = self.overlay.ids.get(id) {
            return Some(Id(*n));
        }
        BUNDLE.packed.ids.find(id).next().map(Id)
    }

    /// The entry of an id that the data itself names. The checks have seen that it exists.
    pub fn substance(&self, id: &str) -> Option<(Id, &Ingredient)> {
        self.by_id(id).map(|id| (id, self.get(id)))
    }

    /// The law of every market.
    pub fn laws(&self) -> impl Iterator<Item = &'static Law> {
        BUNDLE.laws(|_| true)
    }
    /// The laws of some markets. Those of others are not even decoded.
    pub fn laws_of<'m>(
        &self,
        markets: &'m [Market],
    ) -> impl Iterator<Item = &'static Law> + use<'m> {
        BUNDLE.laws(|market| markets.iter().any(|m| m.code() == market))
    }
    pub fn pairs(&self) -> &'static [Pair] {
        BUNDLE.pairs()
    }
    pub fn products(&self) -> impl Iterator<Item = &'static Product> {
        BUNDLE.products().rows.iter()
    }
    pub fn scope_words(&self) -> &'static [SmolStr] {
        BUNDLE.scope_words()
    }
    pub fn vocabulary(&self) -> &'static Vocabulary {
        BUNDLE.vocabulary()
    }

    pub fn source(&self, id: &str) -> Option<&'static Source> {
        BUNDLE.sources().find(id)
    }

    /// A number that a rule compares with. The thresholds file is part of the build, so an unknown id is a fault of the program.
    pub fn threshold(&self, id: &str) -> &'static Threshold {
        BUNDLE
            .thresholds()
            .find(id)
            .unwrap_or_else(|| panic!("kb/thresholds.toml has no \"{id}\""))
    }

    /// The product kind of this name.
    pub fn product(&self, name: &str) -> Option<&'static Product> {
        BUNDLE.products().find(&key(name))
    }

    /// The keys of the maker's own names.
    pub(super) fn own_names(&self) -> impl Iterator<Item = (&str, u16)> {
        let names = self
            .overlay
            .names
            .iter()
            .map(|(name, n)| (name.as_str(), *n));
        let loose = self.overlay.ambiguous_names.iter();
        names.chain(loose.filter_map(|(name, all)| Some((name.as_str(), *all.first()?))))
    }

    /// The keys of names that several materials share, each with one of them.
    pub(super) fn ambiguous_names(&self) -> impl Iterator<Item = (&str, u16)> {
        BUNDLE.packed.ambiguous_names.iter()
    }

    /// A name as it is written in the base, from its key.
    pub(super) fn written_name(&self, id: Id, k: &str) -> String {
        let one = self.get(id);
        if key(self.name(id)) == k {
            return self.name(id).to_owned();
        }
        let all = one
            .names
            .iter()
            .chain(&one.inci)
            .chain(&one.ambiguous_names);
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
