//! Colourants with a stated area of use, and substances that make a medicine of the product.

use super::members::{Member, members};
use super::{Hit, Hits};
use crate::chem::date::Date;
use crate::kb::law::{Law, LawRow, Status};
use crate::kb::schema::{Colour, Medicine};
use crate::kb::{Kb, Market};
use crate::model::Formula;

/// A row of law that names a substance of the formula.
#[derive(Debug)]
pub struct ListedHit<T: 'static> {
    pub market: Market,
    pub law: &'static Law,
    pub row: &'static T,
    pub status: Status,
    /// The one with most of it.
    pub member: Member,
}

/// A colourant whose area of use is stated.
pub type ColourantHit = ListedHit<Colour>;

/// A substance that makes a medicine of the product.
pub type DrugClaimHit = ListedHit<Medicine>;

impl<T> Hit for ListedHit<T> {
    fn status(&self) -> Status {
        self.status
    }
}

pub(super) fn colourants(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
    today: Date,
) -> Hits<ColourantHit> {
    listed(f, kb, markets, today, Some("colourant"))
}

pub(super) fn drug_claims(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
    today: Date,
) -> Hits<DrugClaimHit> {
    listed(f, kb, markets, today, None)
}

/// The rows of one table, by substance.
fn listed<T: LawRow>(
    f: &Formula,
    kb: &Kb,
    markets: &[Market],
    today: Date,
    purpose: Option<&str>,
) -> Hits<ListedHit<T>> {
    let mut out = Vec::new();
    let laws: Vec<&Law> = kb.laws_of(markets).collect();
    for id in f.substances() {
        let rows = laws
            .iter()
            .flat_map(|law| T::table(law).naming(id).map(move |row| (*law, row)));
        for (law, row) in rows {
            let most = members(f, kb, id, purpose, None)
                .into_iter()
                .max_by_key(|m| m.percent);
            out.extend(most.map(|member| ListedHit {
                market: law.market,
                law,
                row,
                status: Status::of(row, today),
                member,
            }));
        }
    }
    Hits(out)
}
