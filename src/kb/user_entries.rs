//! The workspace's own ingredients, laid over the bundled ones.

use super::base::Kb;
use super::bundle::BUNDLE;
use super::id::Id;
use super::overlay::UserOverlay;
use kb_format::names::key;
use kb_format::schema::Ingredient;
use kb_format::{Commonness, CompletionIndex, KbError, KbSource, check, read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl Kb {
    /// Lays own ingredients over the bundled ones. A new id adds. A known id overrides the keys that it names.
    /// Faulty files are left out and reported with their line.
    pub fn with_user_entries(files: &[(PathBuf, String)]) -> (Kb, Vec<KbError>) {
        if files.is_empty() {
            return (Kb::bundled(), Vec::new());
        }
        let bundled = Kb::bundled();
        let mut errors = Vec::new();
        let mut entries = Vec::new();
        for (file, text) in files {
            match bundled.overlaid(file, text) {
                Ok(one) => entries.push((file.clone(), text.clone(), one)),
                Err(error) => errors.push(error),
            }
        }
        let unread = errors.iter().map(|f| f.file.clone()).collect();
        let found = check::check_own(bundled.for_own_checks(), &entries, unread);
        entries.retain(|(file, _, _)| !found.iter().any(|f| &f.file == file));
        errors.extend(found);

        let mut overlay = UserOverlay::default();
        let mut next = BUNDLE.entries.len() as u16;
        for (file, _, one) in entries {
            let n = bundled.by_id(&one.id).map_or(next, |id| id.0);
            next += u16::from(n == next);
            overlay.add(n, file, one);
        }
        (Kb::with(overlay), errors)
    }

    /// The entry that own text describes: the bundled one of its id, if any, with the keys of the text over it.
    fn overlaid(&self, file: &Path, text: &str) -> Result<Ingredient, KbError> {
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let Some(id) = self.by_id(&stem) else {
            return read::ingredient(file, text, "own");
        };
        // Read alone first, so that an error names the line of the maker's own text.
        let alone = read::ingredient(file, text, &self.get(id).family)?;
        let merged = || {
            let mut all = toml::Table::try_from(self.get(id)).ok()?;
            let over: toml::Table = toml::from_str(text).ok()?;
            all.extend(over);
            // By way of the text, for that is read already. Reading tables too would be much code for this one place.
            read::ingredient(file, &toml::to_string(&all).ok()?, &alone.family).ok()
        };
        Ok(merged().unwrap_or(alone))
    }

    /// What own ingredients may name.
    fn for_own_checks(&self) -> KbSource {
        KbSource {
            ingredients: self.ids().map(|id| self.get(id).clone()).collect(),
            sources: BUNDLE.sources().rows.clone(),
            scope_words: self.scope_words().to_vec(),
            products: BUNDLE.products().rows.clone(),
            vocabulary: self.vocabulary().clone(),
            ..KbSource::default()
        }
    }

    /// The base as it was before packing, for checks over all of it.
    pub fn whole(&self) -> KbSource {
        KbSource {
            ingredients: self.all_ids().map(|id| self.get(id).clone()).collect(),
            laws: self.laws().map(super::law::Law::whole).collect(),
            pairs: self.pairs().to_vec(),
            thresholds: BUNDLE.thresholds().rows.clone(),
            ..self.for_own_checks()
        }
    }

    /// The names of the maker's own entries, new or laid over bundled ones. Indexed each time: they are few.
    pub fn user_completion_index(&self) -> Option<CompletionIndex<'_>> {
        let entries = self.overlay.entries.iter();
        let mut own: Vec<(u16, &Ingredient)> = entries.map(|(n, e)| (*n, &e.one)).collect();
        own.sort_unstable_by_key(|(n, _)| *n);
        // What makers describe themselves they have: it needs no other mark.
        (!own.is_empty()).then(|| CompletionIndex::of(own.into_iter(), &|_| Commonness::Staple))
    }

    /// The file of an own ingredient. None for a bundled one.
    pub fn user_file(&self, id: Id) -> Option<&Path> {
        self.overlay.files.get(&id.0).map(PathBuf::as_path)
    }

    /// The maker's own ingredients with their files.
    pub fn user_entries(&self) -> impl Iterator<Item = (Id, &Path)> {
        let files = self.overlay.files.iter();
        files.map(|(id, file)| (Id(*id), file.as_path()))
    }

    /// The folder of the maker's own ingredients, where there are any.
    pub fn user_folder(&self) -> Option<&Path> {
        self.overlay.files.values().find_map(|file| file.parent())
    }

    /// The bundled entries whose name or CAS number an own entry bears under an id of its own: what the law says of them holds of it too.
    pub fn same_as(&self, own: Id) -> Vec<Id> {
        if self.user_file(own).is_none() {
            return Vec::new();
        }
        let one = self.get(own);
        let packed = &BUNDLE.packed;
        let names = one.names.iter().chain(&one.inci);
        let named = names.filter_map(|name| packed.names.find(&key(name)).next());
        let numbered = one.cas.iter().flat_map(|cas| packed.cas.find(cas));
        let mut out: Vec<Id> = named
            .chain(numbered)
            .map(Id)
            .filter(|id| *id != own)
            .collect();
        out.sort_unstable();
        out.dedup();
        out
    }

    /// Numbers of the maker's own entries that are not laid over bundled ones.
    pub(super) fn added(&self) -> Vec<u16> {
        let bundled = BUNDLE.entries.len() as u16;
        let entries = self.overlay.entries.keys().copied();
        let mut added: Vec<u16> = entries.filter(|n| *n >= bundled).collect();
        added.sort_unstable();
        added
    }

    pub(super) fn with(overlay: UserOverlay) -> Kb {
        Kb {
            has_user_entries: !overlay.entries.is_empty(),
            overlay: Arc::new(overlay),
            bundled: &BUNDLE.entries,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::Lookup;

    #[test]
    fn own_ingredients_add_and_override() {
        let files = vec![
            (PathBuf::from("ingredients/meadow-blend.toml"), "id = \"meadow-blend\"\nnames = [\"meadow blend\"]\ncomposition = [{ of = \"water\", percent = 60 }, { of = \"sodium-benzoate\", percent = 40 }]\n".to_owned()),
            (PathBuf::from("ingredients/sodium-benzoate.toml"), "id = \"sodium-benzoate\"\nnote = \"ours\"\n".to_owned()),
            (PathBuf::from("ingredients/wrong.toml"), "id = \"wrong\"\nnames = [\"wrong\"]\ncas = [\"1-2-3\"]\n".to_owned()),
        ];
        let (kb, errors) = Kb::with_user_entries(&files);
        assert_eq!(errors.len(), 1, "{errors:?}");
        assert_eq!(
            (errors[0].file.as_path(), errors[0].line),
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
