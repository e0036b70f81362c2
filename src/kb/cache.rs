//! What is worked out once and remembered.

use super::bundle::BUNDLE;
use super::{Id, Kb};
use crate::kb::schema::Ingredient;
use rustc_hash::FxHashMap;
use std::borrow::Cow;
use std::sync::{Mutex, OnceLock, PoisonError};

/// Something worked out only from an entry and kept for as long as the program runs. Of the maker's own entries it is worked out each
/// time, because those may change.
pub struct PerEntryCache<T> {
    of: OnceLock<Vec<OnceLock<T>>>,
}

impl<T: Clone> PerEntryCache<T> {
    pub const fn empty() -> PerEntryCache<T> {
        PerEntryCache {
            of: OnceLock::new(),
        }
    }

    pub fn get(&self, kb: &Kb, id: Id, make: impl FnOnce(&Ingredient) -> T) -> Cow<'_, T> {
        let one = kb.get(id);
        let listed = BUNDLE.packed.listed;
        let all = self
            .of
            .get_or_init(|| (0..listed).map(|_| OnceLock::new()).collect());
        match all.get(usize::from(id.0)) {
            Some(kept) if kb.user_file(id).is_none() => {
                Cow::Borrowed(kept.get_or_init(|| make(one)))
            }
            _ => Cow::Owned(make(one)),
        }
    }
}

/// Answers by the text that was asked about, so that it is worked out once and not at each keystroke.
pub(super) struct MemoCache<T>(Mutex<FxHashMap<String, T>>);

/// How many answers are remembered. Then all are dropped.
pub(super) const CACHE_CAPACITY: usize = 4096;

impl<T> Default for MemoCache<T> {
    fn default() -> MemoCache<T> {
        MemoCache(Mutex::default())
    }
}

impl<T: Clone> MemoCache<T> {
    pub(super) fn get_or_insert_with(&self, asked: &str, find: impl FnOnce() -> T) -> T {
        let remembered = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = remembered().get(asked) {
            return known.clone();
        }
        let found = find();
        let mut remembered = remembered();
        if remembered.len() >= CACHE_CAPACITY {
            remembered.clear();
        }
        remembered.insert(asked.to_owned(), found.clone());
        found
    }

    #[cfg(test)]
    pub(super) fn len(&self) -> usize {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).len()
    }
}
