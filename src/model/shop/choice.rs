//! Which lots can give a material on a day, the first to expire first.

use super::{LotStatus, Shop};
use crate::chem::date::Date;
use crate::kb::Kb;
use crate::model::StockItem;
use crate::model::shelf::Lot;
use rust_decimal::Decimal;

/// A lot with something left that is in date.
#[derive(Clone, Debug)]
pub struct UsableLot<'a> {
    pub lot: &'a Lot,
    /// Of the lot itself, grams or pieces.
    pub left: Decimal,
    /// Of the material that was asked for: of a stronger lot, which is thinned, more than what is left of it.
    pub gives: Decimal,
    pub until: Option<Date>,
}

impl Shop {
    /// The lots of a material that may be used on a day.
    pub fn usable_lots<'a>(&'a self, item: &StockItem, day: Date, kb: &Kb) -> Vec<UsableLot<'a>> {
        self.usable(day, kb, |lot| item.share_of(&lot.item, kb))
    }

    /// All lots that may be used on a day.
    pub fn all_usable_lots<'a>(&'a self, day: Date, kb: &Kb) -> Vec<UsableLot<'a>> {
        self.usable(day, kb, |_| Some(Decimal::ONE))
    }

    fn usable<'a>(
        &'a self,
        day: Date,
        kb: &Kb,
        share: impl Fn(&Lot) -> Option<Decimal>,
    ) -> Vec<UsableLot<'a>> {
        let came = |lot: &&Lot| lot.received.is_none_or(|came| came <= day);
        let mut all: Vec<UsableLot> = self
            .all_lots()
            .filter(came)
            .filter_map(|lot| {
                let share = share(lot)?;
                let left = self.left(lot, None, kb);
                let is_good = self.status(lot, &left, day) == LotStatus::Good;
                let left = left.amount.filter(|_| is_good)?;
                Some(UsableLot {
                    lot,
                    left,
                    gives: left.checked_div(share)?,
                    until: self.keeps_until(lot).map(|(date, _)| date),
                })
            })
            .collect();
        // What keeps without a date comes last.
        all.sort_by_key(|u| (u.until.is_none(), u.until, u.lot.code.clone()));
        all
    }
}
