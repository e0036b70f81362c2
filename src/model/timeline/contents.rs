//! What stands in a vessel, and what it adds up to.

use crate::kb::Kb;
use crate::model::formula::{Formula, Row};
use crate::model::system;
use rust_decimal::Decimal;

#[derive(Clone, Debug, Default)]
pub(super) struct Vessel {
    pub(super) c: Option<Decimal>,
    pub(super) rows: Vec<usize>,
    pub(super) phases: Vec<usize>,
    pub(super) holds: Contents,
    /// All that stands in it has been at least so hot; none: some of it may not have felt any heat.
    pub(super) all_felt: Option<Decimal>,
}

/// What rows add up to.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Contents {
    /// Percent of the rows of which it is known.
    pub(super) known: Decimal,
    /// How many rows: without a known share, with water in them, with oil.
    pub(super) unknown: usize,
    pub(super) watery: usize,
    pub(super) oily: usize,
}

impl Contents {
    pub(super) fn percent(&self) -> Option<Decimal> {
        (self.unknown == 0).then_some(self.known)
    }

    pub(super) fn add(&mut self, other: &Contents) {
        self.known += other.known;
        self.unknown += other.unknown;
        self.watery += other.watery;
        self.oily += other.oily;
    }

    pub(super) fn take_out(&mut self, other: &Contents) {
        self.known -= other.known;
        self.unknown -= other.unknown;
        self.watery -= other.watery;
        self.oily -= other.oily;
    }
}

/// Of each row by itself.
pub(super) fn contents(f: &Formula, kb: &Kb) -> Vec<Contents> {
    let of_row = |r: &Row| Contents {
        known: r.percent.unwrap_or_default(),
        unknown: usize::from(r.percent.is_none()),
        watery: 0,
        oily: 0,
    };
    let mut out: Vec<Contents> = f.rows.iter().map(of_row).collect();
    for s in &f.components {
        let one = kb.get(s.id);
        out[s.row].watery |= usize::from(system::is_water(one));
        out[s.row].oily |= usize::from(system::is_oily(one));
    }
    out
}
