//! What the law of each market says of a formula: which rows of law touch it, and by how much.
//!
//! What is in force and what is announced are asked for apart. Where nothing is said, what is in force is meant.

mod allergens;
mod bans;
mod hits;
mod limits;
mod listed;
mod members;
mod warnings;

pub use allergens::AllergenHit;
pub use bans::BanHit;
pub use hits::{Hit, Hits};
pub use limits::{LimitHit, PhLimitHit};
pub use listed::{ColourantHit, DrugClaimHit, ListedHit};
pub use members::{Member, constituent, factor, purpose_of};
pub use warnings::WarningHit;

use super::Analysis;
use crate::kb::law::{Law, LawRow};
use crate::kb::{Kb, Market};
use crate::model::Formula;
use std::sync::OnceLock;

/// What was asked for so far.
#[derive(Default)]
pub(super) struct LawCells {
    limits: OnceLock<Hits<LimitHit>>,
    ph_limits: OnceLock<Hits<PhLimitHit>>,
    bans: OnceLock<Hits<BanHit>>,
    colourants: OnceLock<Hits<ColourantHit>>,
    drug_claims: OnceLock<Hits<DrugClaimHit>>,
    allergens: OnceLock<Hits<AllergenHit>>,
    warnings: OnceLock<Hits<WarningHit>>,
}

/// The law of an analysis's markets on its day. Each part is worked out when it is first asked for.
#[derive(Clone, Copy)]
pub struct LawAssessment<'a> {
    of: &'a Analysis,
    cells: &'a LawCells,
}

macro_rules! parts {
    ($($(#[$doc:meta])* $name:ident: $hit:ty = $find:path;)*) => {
        impl<'a> LawAssessment<'a> {$(
            $(#[$doc])*
            pub fn $name(self) -> &'a Hits<$hit> {
                let a = self.of;
                self.cells
                    .$name
                    .get_or_init(|| $find(&a.formula, &a.kb, &a.markets, a.settings.today))
            }
        )*}
    };
}

parts! {
    /// Limits of the share that name something in the formula.
    limits: LimitHit = limits::limits;
    /// Limits of the pH, with or without a limit of the share, that name something in the formula.
    ph_limits: PhLimitHit = limits::ph_limits;
    /// Bans that name something in the formula.
    bans: BanHit = bans::bans;
    /// Colourants of the formula whose area of use the markets state.
    colourants: ColourantHit = listed::colourants;
    /// Substances of the formula that make a medicine of it.
    drug_claims: DrugClaimHit = listed::drug_claims;
    /// Fragrance allergens above their threshold, in the order of the law.
    allergens: AllergenHit = allergens::allergens;
    /// Words that the label asks for.
    warnings: WarningHit = warnings::warnings;
}

impl<'a> LawAssessment<'a> {
    pub(super) fn new(of: &'a Analysis, cells: &'a LawCells) -> LawAssessment<'a> {
        LawAssessment { of, cells }
    }

    /// The laws that are asked.
    pub fn laws(self) -> impl Iterator<Item = &'static Law> + use<'a> {
        self.of.kb.laws_of(&self.of.markets)
    }

    /// What the European Union prohibits in every cosmetic product and the other markets' own law says nothing of, with
    /// those markets.
    pub fn prohibited_abroad(self) -> Vec<(BanHit, Vec<Market>)> {
        let a = self.of;
        bans::prohibited_abroad(&a.formula, &a.kb, &a.markets, a.settings.today)
    }
}

/// Each row of a table of the markets that names something in the formula, once, in the order of the law.
fn rows_naming<T: LawRow>(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
) -> impl Iterator<Item = (&'static Law, &'static T)> {
    kb.laws_of(markets).flat_map(|law| {
        T::table(law)
            .naming_any(f.substances())
            .map(move |row| (law, row))
    })
}
