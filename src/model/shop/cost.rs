//! What the materials of a batch cost, by the lots that were used.

use super::{Held, Quantity, Shop, UseKind, fold};
use crate::kb::Kb;
use crate::model::record::{Actual, Record};
use crate::model::shelf::{Lot, LotPrice};
use rust_decimal::Decimal;
use std::collections::HashSet;
use std::path::PathBuf;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cost {
    pub materials: LotPrice,
    /// Jars and labels, where their lots say a price in the same money.
    pub packaging: Option<LotPrice>,
}

/// Why a batch has no cost: the line, and the way out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CannotCost {
    pub path: PathBuf,
    /// From 0.
    pub line: u32,
    pub message: String,
}

impl Shop {
    /// The cost of a batch. The error names the first line that hides it.
    pub fn cost(&self, batch: &Record, kb: &Kb) -> Result<Cost, CannotCost> {
        let materials = self.materials(batch, kb, &mut HashSet::new())?;
        Ok(Cost {
            packaging: self.packaging(batch, &materials.currency),
            materials,
        })
    }

    fn materials(
        &self,
        batch: &Record,
        kb: &Kb,
        open: &mut HashSet<String>,
    ) -> Result<LotPrice, CannotCost> {
        let stop = |line: u32, message: String| CannotCost {
            path: batch.path.clone(),
            line,
            message,
        };
        if !open.insert(fold(batch.code())) {
            let message = format!("{} is made of itself: a lot's code is wrong", batch.code());
            return Err(stop(batch.line, message));
        }
        if let Some(line) = batch.unread.first() {
            let message = "this line cannot be read, so what went in is not known; mend it";
            return Err(stop(*line, message.to_owned()));
        }
        if batch.weighed.is_empty() {
            let message = "nothing is weighed; write the rows under `weighed`";
            return Err(stop(batch.line, message.to_owned()));
        }
        let rows = batch.weighed.iter().map(|w| {
            let grams = match w.actual {
                Actual::Grams(g) => Some(g),
                _ => None,
            };
            (w.line, w.name.value.as_str(), &w.item, grams, &w.lot)
        });
        let added = batch
            .added
            .iter()
            .map(|a| (a.line, a.name.as_str(), &a.item, a.grams, &a.lot));
        let mut sum: Option<LotPrice> = None;
        for (line, name, item, grams, lot) in rows.chain(added) {
            let Some(grams) = grams else {
                let message = format!("what {name} weighs is not known; write its weight");
                return Err(stop(line, message));
            };
            let Some(code) = lot else {
                if item.is_water(kb) {
                    continue;
                }
                return Err(stop(
                    line,
                    format!("{name} has no lot; write the lot that it came from"),
                ));
            };
            let Some(lot) = self.lot(&code.value) else {
                let message = format!(
                    "lot {} is on no shelf; write it into a stock file, or correct the code",
                    code.value
                );
                return Err(stop(line, message));
            };
            let taken = grams.saturating_mul(item.share_of(&lot.item, kb).unwrap_or(Decimal::ONE));
            let part = self.price_of(lot, taken, kb, open).map_err(|e| {
                e.unwrap_or_else(|| {
                    let message = format!(
                        "lot {} has no price; write `bought: 1 kg for 9.40 EUR` under it",
                        lot.code
                    );
                    stop(line, message)
                })
            })?;
            sum = Some(match sum {
                None => part,
                Some(s) if s.currency != part.currency => {
                    let message = format!(
                        "{name} was bought in {}, what stands above in {}; a sum in two moneys is none",
                        part.currency, s.currency
                    );
                    return Err(stop(line, message));
                }
                Some(s) => LotPrice {
                    amount: s.amount.saturating_add(part.amount),
                    currency: s.currency,
                },
            });
        }
        open.remove(&fold(batch.code()));
        sum.ok_or_else(|| {
            stop(
                batch.line,
                "it names no lot; write the lots behind its rows".to_owned(),
            )
        })
    }

    /// The price of some grams of a lot. None in the error: nothing says what it cost.
    fn price_of(
        &self,
        lot: &Lot,
        grams: Decimal,
        kb: &Kb,
        open: &mut HashSet<String>,
    ) -> Result<LotPrice, Option<CannotCost>> {
        let (whole, size) = match (&lot.price, lot.pack) {
            (Ok(price), Some(pack)) => (price.clone(), pack.grams),
            _ => {
                let batch = lot
                    .from
                    .as_deref()
                    .and_then(|code| self.batch(code))
                    .ok_or(None)?;
                let size = batch.size_g().ok_or(None)?;
                (self.materials(batch, kb, open)?, size)
            }
        };
        let amount = whole
            .amount
            .checked_mul(grams)
            .and_then(|a| a.checked_div(size))
            .ok_or(None)?;
        Ok(LotPrice {
            amount,
            currency: whole.currency,
        })
    }

    /// Jars and labels as used; None where one of them has no price in this money, or there are none.
    fn packaging(&self, batch: &Record, currency: &str) -> Option<LotPrice> {
        let mut amount = Decimal::ZERO;
        let mut any = false;
        for one in self.uses_in(batch).filter(|u| u.kind == UseKind::Packaging) {
            let lot = self.lot(&one.lot.value)?;
            let (Ok(price), Held::Pieces(held), Quantity::Pieces(n)) =
                (&lot.price, self.held(lot), one.quantity)
            else {
                return None;
            };
            if price.currency != currency || held.is_zero() {
                return None;
            }
            amount = amount.checked_add(price.amount.checked_mul(n)?.checked_div(held)?)?;
            any = true;
        }
        any.then(|| LotPrice {
            amount,
            currency: currency.to_owned(),
        })
    }
}
