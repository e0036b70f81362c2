//! The workspace's own entries, as they are kept apart from the bundled ones.

use super::bundle::Entry;
use super::cache::MemoCache;
use super::{Id, Lookup};
use kb_format::names::key;
use kb_format::schema::Ingredient;
use std::collections::HashMap;
use std::path::PathBuf;

#[derive(Default)]
pub(super) struct UserOverlay {
    /// Replaces the bundled entry of the same number, or stands after them.
    pub(super) entries: HashMap<u16, Entry>,
    pub(super) files: HashMap<u16, PathBuf>,
    pub(super) ids: HashMap<String, u16>,
    pub(super) names: HashMap<String, u16>,
    pub(super) ambiguous_names: HashMap<String, Vec<u16>>,
    /// Names that were looked up before, as they were written, with what they mean.
    pub(super) lookup_cache: MemoCache<Lookup>,
    pub(super) nearest_cache: MemoCache<Vec<(Id, String)>>,
}

impl UserOverlay {
    pub(super) fn add(&mut self, n: u16, file: PathBuf, one: Ingredient) {
        let names = one
            .names
            .iter()
            .chain(&one.inci)
            .chain(&one.inci_us)
            .chain(&one.ci)
            .chain([&one.id]);
        self.names.extend(names.map(|name| (key(name), n)));
        for name in &one.ambiguous_names {
            let same = self.ambiguous_names.entry(key(name)).or_default();
            same.push(n);
        }
        self.ids.insert(one.id.to_string(), n);
        self.files.insert(n, file);
        self.entries.insert(n, Entry::new(one));
    }
}
