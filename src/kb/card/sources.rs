//! The sources that a card rests on.

use super::CardSource;
use crate::kb::Kb;
use crate::kb::schema::SourceKind;
use smol_str::SmolStr;

/// The sources that a card names, in the order of their first use.
#[derive(Default)]
pub(super) struct Sources {
    seen: Vec<(SmolStr, Vec<SmolStr>)>,
}

impl Sources {
    /// Notes that a figure rests on a source, and hands back its id.
    pub(super) fn take(&mut self, source: &str, at: Option<&str>) -> SmolStr {
        let n = self
            .seen
            .iter()
            .position(|(id, _)| id == source)
            .unwrap_or_else(|| {
                self.seen.push((source.into(), Vec::new()));
                self.seen.len() - 1
            });
        let places = &mut self.seen[n].1;
        if let Some(at) = at.filter(|at| !places.iter().any(|p| p == at)) {
            places.push(at.into());
        }
        source.into()
    }

    pub(super) fn list(self, kb: &Kb) -> Vec<CardSource> {
        self.seen
            .into_iter()
            .map(|(id, at)| {
                let known = kb.source(&id);
                CardSource {
                    kind: kind_key(known.map_or(SourceKind::Unsourced, |s| s.kind)),
                    title: known.map_or_else(|| id.clone(), |s| s.title.clone()),
                    r#where: known.and_then(|s| s.r#where.clone()),
                    id,
                    at,
                }
            })
            .collect()
    }
}

fn kind_key(k: SourceKind) -> &'static str {
    match k {
        SourceKind::Law => "law",
        SourceKind::Published => "published",
        SourceKind::Practice => "practice",
        SourceKind::Unsourced => "memory",
    }
}
