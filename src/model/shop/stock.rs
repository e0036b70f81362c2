//! What a lot held, what is left of it, and until when it keeps.

use super::{Quantity, Shop};
use crate::chem::date::Date;
use crate::chem::units::Amount;
use crate::kb::Kb;
use crate::model::record::{DecisionKind, decided};
use crate::model::shelf::Lot;
use crate::syntax::tree::{LedgerAmount, LedgerVerb, Measure};
use rust_decimal::Decimal;
use std::collections::HashSet;
use std::path::PathBuf;

/// What a lot held when it came or was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    Grams(Decimal),
    Pieces(Decimal),
    /// Nothing says it.
    Unknown,
}

/// What is left of a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct Left {
    pub held: Held,
    /// Grams, or pieces where it is held in pieces; below zero where more was taken than there was. None where it is not known.
    pub amount: Option<Decimal>,
    /// A weight taken of it cannot be read, so less may be left.
    pub unsure: bool,
    /// The last count: its day, and what it found above (or below) what should have been there.
    pub counted: Option<(Date, Decimal)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LotStatus {
    Good,
    Empty,
    PastDate,
    OnHold,
    Rejected,
    /// More was taken than there was.
    Overdrawn,
    /// What it held is not known.
    Unknown,
}

impl LotStatus {
    pub fn words(self) -> &'static str {
        match self {
            LotStatus::Good => "good",
            LotStatus::Empty => "empty",
            LotStatus::PastDate => "past date",
            LotStatus::OnHold => "on hold",
            LotStatus::Rejected => "rejected",
            LotStatus::Overdrawn => "overdrawn",
            LotStatus::Unknown => "unknown",
        }
    }
}

impl Shop {
    /// What a lot held; of one made here, what its batch gave.
    pub fn held(&self, lot: &Lot) -> Held {
        if let Some(pieces) = lot.pieces {
            return Held::Pieces(pieces);
        }
        if let Some(pack) = lot.pack {
            return Held::Grams(pack.grams);
        }
        let batch = lot.from.as_deref().and_then(|code| self.batch(code));
        match batch.filter(|b| !b.void).and_then(|b| b.size_g()) {
            Some(grams) => Held::Grams(grams),
            None => Held::Unknown,
        }
    }

    /// What is left of a lot, with all that is written or as it was at the end of a day.
    pub fn left(&self, lot: &Lot, on: Option<Date>, kb: &Kb) -> Left {
        match on {
            None => self.memo.left(lot, || self.left_by(lot, None, kb)),
            Some(_) => self.left_by(lot, on, kb),
        }
    }

    fn left_by(&self, lot: &Lot, on: Option<Date>, kb: &Kb) -> Left {
        let held = self.held(lot);
        let (steps, unsure) = self.steps(lot, on, kb);
        let mut amount = match held {
            Held::Grams(g) | Held::Pieces(g) => Some(g),
            Held::Unknown => None,
        };
        let mut counted = None;
        for step in steps {
            match step {
                Step::Taken { amount: taken, .. } => {
                    amount = amount.map(|a| a.saturating_sub(taken));
                }
                Step::Counted { day, found, .. } => {
                    let expected = amount.unwrap_or(found);
                    counted = Some((day, found.saturating_sub(expected)));
                    amount = Some(found);
                }
            }
        }
        if on.is_some_and(|on| lot.received.is_some_and(|came| came > on)) {
            amount = Some(Decimal::ZERO);
        }
        Left {
            held,
            amount,
            unsure,
            counted,
        }
    }

    /// What was taken of a lot and counted, in the order of the days; whether a weight among it cannot be read.
    pub(super) fn steps(&self, lot: &Lot, on: Option<Date>, kb: &Kb) -> (Vec<Step>, bool) {
        let mut steps: Vec<Step> = Vec::new();
        let mut unsure = false;
        for (record, one) in self.uses(&lot.code) {
            if on.is_some_and(|on| record.made.is_some_and(|made| made > on)) {
                continue;
            }
            let taken = match one.quantity {
                // A name that does not fit the lot is taken as what was in the pot: the weight has left the lot.
                Quantity::Grams(g) => {
                    g.saturating_mul(one.item.share_of(&lot.item, kb).unwrap_or(Decimal::ONE))
                }
                Quantity::Pieces(n) => n,
                Quantity::NotYet | Quantity::NotAsked => continue,
                Quantity::Unreadable => {
                    unsure = true;
                    continue;
                }
            };
            steps.push(Step::Taken {
                day: record.made,
                amount: taken,
            });
        }
        for entry in self.entries(&lot.code) {
            let day = entry.line.date.value;
            if on.is_some_and(|on| day > on) {
                continue;
            }
            let Some(amount) = self.amount_of(&entry.line.amount, lot, kb) else {
                unsure = true;
                continue;
            };
            let amount = match entry.line.verb.value {
                LedgerVerb::Counted => {
                    steps.push(Step::Counted {
                        day,
                        found: amount,
                        at: (entry.path.clone(), entry.at),
                    });
                    continue;
                }
                LedgerVerb::Back => -amount,
                LedgerVerb::Moved => continue,
                LedgerVerb::Sold
                | LedgerVerb::Gave
                | LedgerVerb::ThrewAway
                | LedgerVerb::Used
                | LedgerVerb::Sampled => amount,
            };
            steps.push(Step::Taken {
                day: Some(day),
                amount,
            });
        }
        // Of one day, what was taken comes before the count in the evening.
        steps.sort_by_key(|s| match s {
            Step::Taken { day, .. } => (*day, false),
            Step::Counted { day, .. } => (Some(*day), true),
        });
        (steps, unsure)
    }

    /// The use that took most of a lot, where one did.
    pub fn largest_use(&self, lot: &Lot, kb: &Kb) -> Option<(&super::Record, &super::Use)> {
        let taken = |u: &super::Use| match u.quantity {
            Quantity::Grams(g) => {
                g.saturating_mul(u.item.share_of(&lot.item, kb).unwrap_or(Decimal::ONE))
            }
            Quantity::Pieces(n) => n,
            _ => Decimal::ZERO,
        };
        self.uses(&lot.code).max_by_key(|(_, u)| taken(u))
    }

    fn amount_of(&self, amount: &LedgerAmount, lot: &Lot, kb: &Kb) -> Option<Decimal> {
        match *amount {
            LedgerAmount::Measure(m) => measured(m, lot, kb),
            LedgerAmount::Packs { count, each } => {
                measured(each, lot, kb)?.checked_mul(Decimal::from(count))
            }
        }
    }

    /// Until when a lot keeps: its own date, after opening where that is earlier; of one made here, the earliest of what went in.
    /// The second is the code of the lot that sets it.
    pub fn keeps_until(&self, lot: &Lot) -> Option<(Date, String)> {
        self.keeps(lot, &mut HashSet::new())
    }

    fn keeps(&self, lot: &Lot, seen: &mut HashSet<String>) -> Option<(Date, String)> {
        if !seen.insert(super::fold(&lot.code)) {
            return None;
        }
        let own = lot.best_before.into_iter().chain(lot.open_until()).min();
        let of_batch = match own {
            None => lot
                .from
                .as_deref()
                .and_then(|code| self.batch(code))
                .and_then(|b| self.batch_keeps(b, seen)),
            Some(_) => None,
        };
        own.map(|d| (d, lot.code.clone())).or(of_batch)
    }

    /// Until when a batch keeps by the lots that went into it, and the lot that sets the date. What is printed on the jar is
    /// `Record::best_before`.
    pub fn batch_keeps_until(
        &self,
        batch: &crate::model::record::Record,
    ) -> Option<(Date, String)> {
        self.batch_keeps(batch, &mut HashSet::new())
    }

    fn batch_keeps(
        &self,
        batch: &crate::model::record::Record,
        seen: &mut HashSet<String>,
    ) -> Option<(Date, String)> {
        if let Some(date) = batch.best_before {
            return Some((date, batch.code().to_owned()));
        }
        let codes: Vec<String> = self
            .uses_in(batch)
            .filter(|u| matches!(u.kind, super::UseKind::Weighed | super::UseKind::Added))
            .map(|u| u.lot.value.clone())
            .collect();
        codes
            .iter()
            .filter_map(|code| self.lot(code))
            .filter_map(|l| self.keeps(l, seen))
            .min()
    }

    /// Until when the lots of a batch keep, whatever is printed on the jar, and the lot that sets the date.
    pub fn lots_keep_until(&self, batch: &crate::model::record::Record) -> Option<(Date, String)> {
        let mut seen = HashSet::new();
        let used = self
            .uses_in(batch)
            .filter(|u| matches!(u.kind, super::UseKind::Weighed | super::UseKind::Added));
        used.filter_map(|u| self.lot(&u.lot.value))
            .filter_map(|l| self.keeps(l, &mut seen))
            .min()
    }

    /// How a lot stands on a day.
    pub fn status(&self, lot: &Lot, left: &Left, on: Date) -> LotStatus {
        if let Some(d) = decided(&lot.decisions, Some(on)) {
            match d.kind {
                DecisionKind::Rejected => return LotStatus::Rejected,
                DecisionKind::OnHold => return LotStatus::OnHold,
                DecisionKind::Released => {}
            }
        }
        match left.amount {
            None => LotStatus::Unknown,
            Some(a) if a < Decimal::ZERO => LotStatus::Overdrawn,
            Some(a) if a.is_zero() => LotStatus::Empty,
            Some(_) => match self.keeps_until(lot) {
                Some((date, _)) if date < on => LotStatus::PastDate,
                _ => LotStatus::Good,
            },
        }
    }
}

/// Something that happened to a lot.
pub(super) enum Step {
    Taken {
        day: Option<Date>,
        amount: Decimal,
    },
    Counted {
        day: Date,
        found: Decimal,
        at: (PathBuf, u32),
    },
}

/// Pieces as they are, weights in grams, volumes by the lot's density.
fn measured(m: Measure, lot: &Lot, kb: &Kb) -> Option<Decimal> {
    if m.unit == crate::chem::units::Unit::Piece {
        return Some(m.value);
    }
    Amount::new(m.value, m.unit).grams(lot.item.density(kb))
}
