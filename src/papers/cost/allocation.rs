//! Lots taken off the shelf, row after row: what an earlier row took is gone for the later ones.

use super::{LeftAlone, Missing};
use crate::chem::ChemError;
use crate::chem::cost::{self, PricedLot};
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::StockItem;
use crate::model::shelf::{NoPrice, Shelf};
use rust_decimal::Decimal;
use std::collections::BTreeSet;

pub struct Taking<'a> {
    shelf: &'a Shelf,
    kb: &'a Kb,
    on: Date,
    /// Grams left of each lot; none where it is not known what it held.
    left: Vec<Option<Decimal>>,
    /// Lots past their date that would have been asked for, with the name in the formula.
    expired: Vec<usize>,
    /// Lots that gave something.
    used: BTreeSet<usize>,
}

#[derive(Debug)]
pub struct Taken {
    pub draws: Vec<Draw>,
    /// Of the row's own grams.
    pub short_g: Decimal,
    /// The shelf has no lot of it at all.
    pub no_lot: bool,
    /// Lots past their date.
    pub expired: Vec<usize>,
}

#[derive(Debug)]
pub struct Draw {
    pub lot: usize,
    /// Off the lot.
    pub lot_g: Decimal,
    /// What that makes of the row.
    pub made_g: Decimal,
    /// With its money; none where the lot has no price.
    pub cost: Option<(Decimal, String)>,
}

impl<'a> Taking<'a> {
    pub fn new(shelf: &'a Shelf, kb: &'a Kb, on: Date) -> Taking<'a> {
        Taking {
            shelf,
            kb,
            on,
            left: shelf.lots.iter().map(|l| l.left_g()).collect(),
            expired: Vec::new(),
            used: BTreeSet::new(),
        }
    }

    /// The lot that expires first gives first; what is of the strength asked for goes before what has to be thinned.
    pub fn take(&mut self, item: &StockItem, grams: Decimal) -> Result<Taken, ChemError> {
        let mut fitting: Vec<(usize, Decimal)> = self.shelf.lots_for(item, self.kb).collect();
        fitting.sort_by_key(|f| std::cmp::Reverse(f.1));
        let mut out = Taken {
            draws: Vec::new(),
            short_g: grams,
            no_lot: fitting.is_empty(),
            expired: Vec::new(),
        };
        for group in fitting.chunk_by(|a, b| a.1 == b.1) {
            let share = group[0].1;
            let known: Vec<(usize, PricedLot)> = group
                .iter()
                .filter_map(|(n, _)| Some((*n, self.pack(*n)?)))
                .collect();
            let packs: Vec<PricedLot> = known.iter().map(|(_, p)| *p).collect();
            let taken = cost::take(
                &packs,
                out.short_g.checked_mul(share).ok_or_else(too_large)?,
                Some(self.on),
            )?;
            for d in taken.draws {
                let n = known[d.lot].0;
                self.used.insert(n);
                self.left[n] = self.left[n].map(|left| left - d.grams);
                let price = self.shelf.lots[n].price.as_ref().ok();
                let made_g = if share == Decimal::ONE {
                    d.grams
                } else {
                    d.grams.checked_div(share).ok_or_else(too_large)?
                };
                out.draws.push(Draw {
                    lot: n,
                    lot_g: d.grams,
                    made_g,
                    cost: price.map(|p| (d.cost, p.currency.clone())),
                });
            }
            out.short_g = if share == Decimal::ONE {
                taken.short_g
            } else {
                taken.short_g.checked_div(share).ok_or_else(too_large)?
            };
            out.expired.extend(
                taken
                    .expired
                    .iter()
                    .map(|e| known[*e].0)
                    .filter(|n| self.left[*n] > Some(Decimal::ZERO)),
            );
        }
        for n in &out.expired {
            if !self.expired.contains(n) {
                self.expired.push(*n);
            }
        }
        Ok(out)
    }

    fn pack(&self, n: usize) -> Option<PricedLot> {
        let lot = &self.shelf.lots[n];
        // Without a price the lot still gives its weight; what it would cost is then left out.
        let price = lot.price.as_ref().map_or(Decimal::ZERO, |p| p.amount);
        Some(PricedLot {
            grams_left: self.left[n]?,
            price,
            pack_grams: lot.pack?.grams,
            best_before: lot.best_before,
        })
    }

    /// What of a row has no price, and why.
    pub fn missing(&self, item: &StockItem, ingredient: &str, taken: &Taken) -> Option<Missing> {
        let unpriced: Vec<&Draw> = taken.draws.iter().filter(|d| d.cost.is_none()).collect();
        let grams = unpriced.iter().map(|d| d.made_g).sum::<Decimal>() + taken.short_g;
        if grams.is_zero() {
            return None;
        }
        let mut why: Vec<String> = Vec::new();
        for draw in unpriced {
            let lot = &self.shelf.lots[draw.lot];
            why.push(match &lot.price {
                Err(NoPrice::Unreadable) => format!("the price of lot {} cannot be read", lot.code),
                Err(NoPrice::Made(reason)) => {
                    format!("what lot {} cost is not known: {reason}", lot.code)
                }
                Err(NoPrice::NotWritten) | Ok(_) => format!("lot {} has no price", lot.code),
            });
        }
        if taken.short_g > Decimal::ZERO {
            why.push(self.short(item, taken));
        }
        Some(Missing {
            ingredient: ingredient.to_owned(),
            grams: Some(grams.normalize()),
            why: why.join("; "),
        })
    }

    fn short(&self, item: &StockItem, taken: &Taken) -> String {
        if taken.no_lot {
            let same = |lot: &StockItem| item.id().is_some() && item.id() == lot.id();
            return match self.shelf.lots.iter().find(|l| same(&l.item)) {
                Some(lot) => format!(
                    "lot {} is of \"{}\"; name the same strength in both places",
                    lot.code, lot.name
                ),
                None => "no lot of it on the shelf".to_owned(),
            };
        }
        let mut reasons = Vec::new();
        let grams = taken.short_g.round_dp(6).normalize();
        reasons.push(if taken.draws.is_empty() {
            "no lot can give it".to_owned()
        } else {
            format!("the shelf is {grams} g short")
        });
        let codes = |lots: Vec<usize>| {
            lots.iter()
                .map(|n| self.shelf.lots[*n].code.as_str())
                .collect::<Vec<_>>()
                .join(", ")
        };
        if !taken.expired.is_empty() {
            reasons.push(format!("past its date: {}", codes(taken.expired.clone())));
        }
        let unknown: Vec<usize> = self
            .shelf
            .lots_for(item, self.kb)
            .map(|(n, _)| n)
            .filter(|n| self.left[*n].is_none())
            .collect();
        if !unknown.is_empty() {
            reasons.push(format!(
                "how much it holds is not known: {}",
                codes(unknown)
            ));
        }
        if taken.draws.is_empty() && reasons.len() == 1 {
            reasons[0] = "its lots are used up".to_owned();
        }
        reasons.join("; ")
    }

    /// Lots in use whose weight goes by a density.
    pub fn by_volume(&self) -> Vec<&str> {
        let used = self.used.iter().map(|n| &self.shelf.lots[*n]);
        used.filter(|l| l.pack.is_some_and(|p| p.estimated))
            .map(|l| l.code.as_str())
            .collect()
    }

    /// The lots past their date that a row passed over.
    pub fn left_alone(&self) -> Vec<LeftAlone> {
        let one = |n: &usize| {
            let lot = &self.shelf.lots[*n];
            Some(LeftAlone {
                lot: lot.code.clone(),
                ingredient: lot.name.clone(),
                best_before: lot.best_before?.to_string(),
                left_g: self.left[*n]?.normalize(),
            })
        };
        self.expired.iter().filter_map(one).collect()
    }
}

fn too_large() -> ChemError {
    ChemError::new("the figures have more digits than can be kept exactly")
}
