//! Which microbes the preservatives of a formula reach together. The chelator and boosters help, one step each.

use super::component::ComponentKind;
use super::effective_level;
use super::formula::Formula;
use super::system::{self, Preserving};
use crate::kb::Kb;
use crate::kb::role::Role;
use crate::kb::schema::{PreservativeKind, Spectrum};

/// What the whole system reaches: 0 none, 1 weak, 2 fair, 3 strong.
#[derive(Clone, Debug)]
pub struct Reach<'a> {
    pub gram_positive: u8,
    pub gram_negative: u8,
    pub yeast: u8,
    pub mould: u8,
    /// Preservatives that count, boosters left out.
    pub members: Vec<Preserving<'a>>,
    /// Those of which there is too little to count.
    pub too_little: Vec<Preserving<'a>>,
    pub figure: Option<&'a Spectrum>,
}

impl<'a> Reach<'a> {
    /// None where there is no preservative, or the reach of one is not known.
    pub fn of(f: &Formula, kb: &'a Kb) -> Option<Reach<'a>> {
        let all = system::preservatives(f, kb);
        let (boosters, all): (Vec<_>, Vec<_>) = all
            .into_iter()
            .partition(|p| p.kind == PreservativeKind::Booster);
        let counts = |p: &Preserving| effective_level::counts(f, kb, p);
        let (mut members, mut too_little): (Vec<_>, Vec<_>) = all.into_iter().partition(counts);
        if members.is_empty() {
            // All of it together is too little, and a rule of its own says so.
            std::mem::swap(&mut members, &mut too_little);
        }
        if members.is_empty() {
            return None;
        }
        // Blends whose parts are counted have a reach of their own, which covers parts whose reach is not known.
        let blends: Vec<(usize, &Spectrum)> = f
            .components
            .iter()
            .filter(|s| s.kind == ComponentKind::Blend && members.iter().any(|p| p.row == s.row))
            .filter_map(|s| {
                Some((
                    s.row,
                    kb.get(s.id).preservative.as_ref()?.spectrum.as_ref()?,
                ))
            })
            .collect();
        let mut spectra: Vec<&Spectrum> = blends.iter().map(|(_, s)| *s).collect();
        for p in &members {
            match p
                .entry
                .preservative
                .as_ref()
                .and_then(|x| x.spectrum.as_ref())
            {
                Some(s) => spectra.push(s),
                None if blends.iter().any(|(row, _)| *row == p.row) => {}
                None => return None,
            }
        }
        let helping = || boosters.iter().filter(|p| counts(p));
        let helped = helping().any(is_booster);
        spectra.extend(helping().filter_map(|p| p.entry.preservative.as_ref()?.spectrum.as_ref()));
        let most = |of: fn(&Spectrum) -> u8| spectra.iter().map(|s| of(s)).max().unwrap_or(0);
        let one_more = |n: u8, help: bool| if help && n > 0 { (n + 1).min(3) } else { n };
        let chelated = system::any_with_role(f, kb, Role::Chelator);
        Some(Reach {
            gram_positive: one_more(most(|s| s.gram_positive), helped),
            gram_negative: one_more(one_more(most(|s| s.gram_negative), helped), chelated),
            yeast: one_more(most(|s| s.yeast), helped),
            mould: one_more(most(|s| s.mould), helped),
            figure: spectra.first().copied(),
            members,
            too_little,
        })
    }
}

/// Helps other preservatives; a chelator is counted by itself.
pub fn is_booster(p: &Preserving) -> bool {
    p.kind == PreservativeKind::Booster && !p.entry.roles.primary_is(Role::Chelator)
}
