//! What a lot is of, or a row asks for: a material that is known, a formula made earlier, or a bare name.

use crate::kb::names::key;
use crate::kb::{Id, Kb, Lookup, Strength};
use crate::model::composition::{row_density, strength_by_weight};
use crate::model::file_loader::resolve_relative;
use crate::model::formula::{Material, Row};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StockItem {
    Known {
        id: Id,
        strength: Option<Strength>,
    },
    /// The formula's file.
    Made(PathBuf),
    /// A name that means nothing known, or several things; filed as names are.
    Named(String),
}

impl StockItem {
    /// What a name means in the file at `path`.
    pub fn of(name: &str, file: bool, path: &Path, kb: &Kb) -> StockItem {
        if file {
            return StockItem::Made(resolve_relative(path, name));
        }
        match kb.lookup(name) {
            Lookup::Known { id, strength } => StockItem::Known { id, strength },
            Lookup::Ambiguous(_) | Lookup::Unknown => StockItem::Named(key(name)),
        }
    }

    /// What a row of a formula asks for.
    pub fn of_row(row: &Row, path: &Path) -> StockItem {
        match &row.material {
            Material::Known { id, strength } => StockItem::Known {
                id: *id,
                strength: *strength,
            },
            _ if row.file => StockItem::Made(resolve_relative(path, &row.name.value)),
            _ => StockItem::Named(key(&row.name.value)),
        }
    }

    pub fn id(&self) -> Option<Id> {
        match self {
            StockItem::Known { id, .. } => Some(*id),
            _ => None,
        }
    }

    /// Water that makers do not keep by the lot.
    pub fn is_water(&self, kb: &Kb) -> bool {
        self.id()
            .is_some_and(|id| matches!(kb.get(id).id.as_str(), "water" | "tap-water"))
    }

    pub fn density(&self, kb: &Kb) -> Option<Decimal> {
        match self {
            StockItem::Known { id, strength } => row_density(
                kb,
                &Material::Known {
                    id: *id,
                    strength: *strength,
                },
            ),
            _ => None,
        }
    }

    /// Grams of a lot that make one gram of this: 1 where both are the same; less where a stronger lot is thinned with water,
    /// 10 % from 80 % being one part in eight. None where the lot is something else, weaker, or of a strength that is not said.
    pub fn share_of(&self, lot: &StockItem, kb: &Kb) -> Option<Decimal> {
        let (
            StockItem::Known { id, strength },
            StockItem::Known {
                id: lot_id,
                strength: lot_strength,
            },
        ) = (self, lot)
        else {
            return (self == lot).then_some(Decimal::ONE);
        };
        if id != lot_id {
            return None;
        }
        if strength == lot_strength {
            return Some(Decimal::ONE);
        }
        // A bare name of what is sold in several strengths says none of them.
        if lot_strength.is_none() && !kb.get(*id).sold_as_percent.is_empty() {
            return None;
        }
        let pure = (Decimal::ONE, None);
        let (wanted, carrier) = strength.map_or(pure, |s| strength_by_weight(kb, *id, s));
        let (held, _) = lot_strength.map_or(pure, |s| strength_by_weight(kb, *id, s));
        let share = wanted.checked_div(held)?;
        let thinned = carrier.is_some_and(|c| kb.get(c).id == "water");
        (share == Decimal::ONE || thinned && share > Decimal::ZERO && share < Decimal::ONE)
            .then_some(share)
    }
}
