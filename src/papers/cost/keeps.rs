//! How long the lots let the product keep: the earliest of all dates that bear on it.

use super::allocation::Taken;
use crate::chem::date::Date;
use crate::chem::shelf_life::{self, ShelfLifeLimit};
use crate::kb::Kb;
use crate::kb::schema::SourceKind;
use crate::model::Row;
use crate::model::StockItem;
use crate::model::ageing::ages;
use crate::model::shelf::Shelf;
use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct ShelfLife {
    pub until: String,
    /// Whole months from the making.
    pub months: i32,
    pub limiting: Limiting,
    /// Materials that no date is known of, neither on the lot nor by custom.
    pub no_date: Vec<String>,
}

/// What sets the date.
#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Limiting {
    pub ingredient: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lot: Option<String>,
    /// "its date", "keeps 12 months, as the trade has it".
    pub why: String,
}

pub struct Keeps<'a> {
    kb: &'a Kb,
    made: Date,
    limits: Vec<(ShelfLifeLimit, Limiting)>,
    no_date: Vec<String>,
}

impl<'a> Keeps<'a> {
    pub fn new(kb: &'a Kb, made: Date) -> Keeps<'a> {
        Keeps {
            kb,
            made,
            limits: Vec::new(),
            no_date: Vec::new(),
        }
    }

    pub fn row(&mut self, row: &Row, item: &StockItem, taken: &Taken, shelf: &Shelf, free: bool) {
        if free {
            return;
        }
        let name = &row.name.value;
        let usual = item.id().and_then(|id| {
            let figure = self.kb.get(id).shelf_life_months.as_ref()?;
            Some((figure.value.0.trunc().to_u32()?, self.basis(&figure.source)))
        });
        let ages = item.id().is_none_or(|id| ages(self.kb.get(id)));
        let mut dated = taken.short_g.is_zero();
        let mut limits = Vec::new();
        for draw in &taken.draws {
            let lot = &shelf.lots[draw.lot];
            let limiting = |why: String| Limiting {
                ingredient: name.to_string(),
                lot: Some(lot.code.clone()),
                why,
            };
            let received = lot
                .received
                .zip(usual.as_ref())
                .and_then(|(day, (m, basis))| {
                    Some((day.plus_months(i32::try_from(*m).ok()?)?, m, basis))
                });
            if let Some(date) = lot.best_before {
                let why = lot
                    .limited_by
                    .as_ref()
                    .map_or("its best-before date".to_owned(), |l| {
                        format!("the date of lot {l} in it")
                    });
                limits.push((ShelfLifeLimit::Until(date), limiting(why)));
            } else if let Some((date, months, basis)) = received {
                let why = format!(
                    "no date on it; usually good for {months} months from when it came ({basis})"
                );
                limits.push((ShelfLifeLimit::Until(date), limiting(why)));
            } else {
                dated = false;
            }
        }
        if let Some((months, basis)) = usual {
            let why =
                format!("usually good for {months} months, counted from the making ({basis})");
            limits.push((
                ShelfLifeLimit::Months(months),
                Limiting {
                    ingredient: name.to_string(),
                    lot: None,
                    why,
                },
            ));
        } else if !dated && !self.no_date.iter().any(|n| n == name) {
            self.no_date.push(name.to_string());
        }
        if ages {
            self.limits.append(&mut limits);
        }
    }

    fn basis(&self, source: &str) -> String {
        match self.kb.source(source) {
            Some(s) if s.kind == SourceKind::Practice => "common practice".to_owned(),
            Some(s) if s.kind == SourceKind::Unsourced => "recalled, not looked up".to_owned(),
            Some(s) => s.title.to_string(),
            None => source.to_owned(),
        }
    }

    pub fn end(self) -> Option<ShelfLife> {
        let limits: Vec<ShelfLifeLimit> = self.limits.iter().map(|(l, _)| *l).collect();
        let life = shelf_life::earliest(self.made, &limits).ok()?;
        Some(ShelfLife {
            until: life.until.to_string(),
            months: life.months,
            limiting: self.limits[life.limiting].1.clone(),
            no_date: self.no_date,
        })
    }
}
