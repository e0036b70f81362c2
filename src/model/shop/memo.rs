//! What is left of each lot, worked out once between two edits: several rules ask it of every row that names the lot.

use super::Left;
use crate::model::shelf::Lot;
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::{PoisonError, RwLock};

/// By the place of the lot. A copy begins empty, and two are always equal: it holds nothing that the files do not say.
#[derive(Debug, Default)]
pub(super) struct Memo(RwLock<HashMap<(PathBuf, u32), Left>>);

impl Memo {
    pub fn left(&self, lot: &Lot, work: impl FnOnce() -> Left) -> Left {
        let place = (lot.path.clone(), lot.line);
        let known = self.0.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(left) = known.get(&place) {
            return left.clone();
        }
        drop(known);
        let left = work();
        let mut known = self.0.write().unwrap_or_else(PoisonError::into_inner);
        known.entry(place).or_insert(left).clone()
    }

    pub fn forget(&mut self) {
        self.0
            .get_mut()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }
}

impl Clone for Memo {
    fn clone(&self) -> Memo {
        Memo::default()
    }
}

impl PartialEq for Memo {
    fn eq(&self, _: &Memo) -> bool {
        true
    }
}
