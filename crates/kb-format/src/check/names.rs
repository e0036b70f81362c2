//! Whose name is whose.

use super::Checker;
use crate::names::key;
use crate::schema::Ingredient;
use smol_str::SmolStr;
use std::collections::{HashMap, HashSet};

/// The names that are a material's own, each with the way to it. An INCI name that everyday speech gives to others too ("BHA") is
/// asked about.
fn own_names(i: &Ingredient) -> Vec<(String, &SmolStr, String)> {
    let shared: HashSet<String> = i.ambiguous_names.iter().map(|n| key(n)).collect();
    let everyday = (i.names.iter().enumerate()).map(|(n, name)| (name, format!("names.{n}")));
    let mut out: Vec<(String, &SmolStr, String)> = everyday
        .map(|(name, path)| (key(name), name, path))
        .collect();
    let formal = [("inci", &i.inci), ("inci_us", &i.inci_us), ("ci", &i.ci)];
    for (path, name) in formal {
        let Some(name) = name else { continue };
        let k = key(name);
        if !shared.contains(&k) {
            out.push((k, name, path.to_owned()));
        }
    }
    let mut seen = HashSet::new();
    out.retain(|(k, ..)| seen.insert(k.clone()));
    out
}

impl Checker<'_> {
    /// Each name and INCI name belongs to one material. An ambiguous name is nobody's own.
    pub(super) fn names(&mut self) {
        let mut owner: HashMap<String, &str> = HashMap::new();
        for (n, i) in self.base.ingredients.iter().enumerate() {
            for (k, written, path) in own_names(i) {
                if let Some(first) = owner.get(&k) {
                    let message = format!(
                        "the name \"{written}\" belongs to {first} already; a name that several share goes into loose_names of each"
                    );
                    self.report_at(&self.at_ingredient(n), &path, message);
                } else {
                    owner.insert(k, &i.id);
                }
            }
        }
        for (n, i) in self.base.ingredients.iter().enumerate() {
            for (place, name) in i.ambiguous_names.iter().enumerate() {
                if let Some(first) = owner.get(&key(name)) {
                    let message = format!(
                        "the loose name \"{name}\" is the own name of {first}; a name is either owned or loose"
                    );
                    let path = format!("loose_names.{place}");
                    self.report_at(&self.at_ingredient(n), &path, message);
                }
            }
        }
        let ids = self.base.ingredients.iter().enumerate();
        let ids: Vec<_> = ids
            .map(|(n, i)| {
                let message = format!("the id \"{}\" stands twice", i.id);
                (&i.id, self.at_ingredient(n), "id".to_owned(), message)
            })
            .collect();
        self.check_twice(ids.into_iter());
    }
}
