//! Sources, pairs, products, thresholds, and what is common.

use super::{Checker, join, lies_in};
use crate::error::KbError;
use crate::names::key;
use crate::origin::line_at;
use crate::read::KbSource;
use std::collections::HashSet;
use std::path::PathBuf;

impl Checker<'_> {
    pub(super) fn sources(&mut self) {
        let all = self.base.sources.iter().enumerate();
        let all: Vec<_> = all
            .map(|(n, s)| {
                let at = self.at_origin(self.base.source_origins.get(n), "sources");
                let message = format!("source \"{}\" stands twice", s.id);
                (&s.id, at, "id".to_owned(), message)
            })
            .collect();
        self.check_twice(all.into_iter());
    }

    pub(super) fn pairs(&mut self) {
        let at = self.at_file("pairs.toml");
        let ids = self.base.pairs.iter().enumerate();
        let ids: Vec<_> = ids
            .map(|(n, p)| {
                let message = format!("the pair \"{}\" stands twice", p.id);
                (&p.id, at.clone(), format!("pair.{n}.id"), message)
            })
            .collect();
        self.check_twice(ids.into_iter());
        for (n, p) in self.base.pairs.iter().enumerate() {
            let path = format!("pair.{n}");
            self.check_source(&at, &join(&path, "source"), &p.source);
            if p.a.is_empty() || p.b.is_empty() {
                let message = format!("the pair \"{}\" has an empty side", p.id);
                self.report_at(&at, &join(&path, "id"), message);
            }
            for (key, side) in [("a", &p.a), ("b", &p.b), ("except", &p.except)] {
                for (n, one) in side.iter().enumerate() {
                    self.check_pair_side(&at, &format!("{path}.{key}.{n}"), one);
                }
            }
        }
    }

    pub(super) fn products(&mut self) {
        let at = self.at_file("products.toml");
        let mut names = Vec::new();
        for (n, p) in self.base.products.iter().enumerate() {
            let twice = |name: &str| format!("the product \"{name}\" stands twice");
            let path = format!("product.{n}");
            names.push((
                key(&p.name),
                at.clone(),
                join(&path, "name"),
                twice(&p.name),
            ));
            for (place, name) in p.names.iter().enumerate() {
                let path = format!("{path}.names.{place}");
                names.push((key(name), at.clone(), path, twice(name)));
            }
        }
        self.check_twice(names.into_iter());
        for (n, p) in self.base.products.iter().enumerate() {
            let path = format!("product.{n}");
            self.check_scope_words(&at, &join(&path, "scope"), &p.scope);
            let usual_ph = join(&path, "usual_ph");
            self.check_range(&at, &usual_ph, "usual_ph", p.usual_ph.as_ref());
            if let Some(e) = &p.exposure {
                self.check_source(&at, &join(&path, "exposure.source"), &e.source);
            }
        }
    }

    pub(super) fn thresholds(&mut self) {
        let at = self.at_file("thresholds.toml");
        let all = self.base.thresholds.iter().enumerate();
        let ids: Vec<_> = all
            .map(|(n, t)| {
                let message = format!("the threshold \"{}\" stands twice", t.id);
                (&t.id, at.clone(), format!("threshold.{n}.id"), message)
            })
            .collect();
        self.check_twice(ids.into_iter());
        for (n, t) in self.base.thresholds.iter().enumerate() {
            self.check_source(&at, &format!("threshold.{n}.source"), &t.source);
        }
    }

    pub(super) fn common(&mut self) {
        let at = self.at_file("common.toml");
        let all = &self.base.common;
        let mut seen = HashSet::new();
        for (key, ids) in [
            ("staple", &all.staple),
            ("everyday", &all.everyday),
            ("common", &all.common),
        ] {
            for (n, id) in ids.iter().enumerate() {
                let path = format!("{key}.{n}");
                if !self.ids.contains(id.as_str()) {
                    self.report_at(&at, &path, format!("\"{id}\" is no ingredient"));
                } else if !seen.insert(id) {
                    self.report_at(&at, &path, format!("\"{id}\" stands twice"));
                }
            }
        }
    }
}

/// Sources that no figure names: harmless in a base that is being written, idle in one that is finished.
pub fn unused_sources(base: &KbSource) -> Vec<KbError> {
    let used = |id: &str| {
        let quoted = format!("\"{id}\"");
        let others = base.files.iter().filter(|f| !lies_in(&f.path, "sources"));
        others.into_iter().any(|f| f.text.contains(&quoted))
    };
    let all = base.sources.iter().zip(&base.source_origins);
    all.filter(|(source, _)| !used(&source.id))
        .map(|(source, origin)| {
            let file = base.files.get(origin.file);
            KbError {
                file: file.map_or(PathBuf::from("sources"), |f| f.path.clone()),
                line: file.map_or(0, |f| line_at(&f.text, &join(&origin.path, "id"))),
                message: format!("no figure names the source \"{}\"", source.id),
            }
        })
        .collect()
}
