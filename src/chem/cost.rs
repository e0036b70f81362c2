//! What a jar costs, from the lots that go into it.
//!
//! Exact decimals in whatever money the prices are in. Method: of each material the lot that expires first
//! is used first (a lot without a date last, equal dates in the order given); a lot past its date is left
//! alone and named. Packaging is per container. Losses are in the batch already: what stays in the pot was
//! paid for.

use super::ChemError;
use super::date::Date;
use rust_decimal::Decimal;

/// A lot on the shelf.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PricedLot {
    pub grams_left: Decimal,
    /// What the pack cost.
    pub price: Decimal,
    /// What the pack held, grams.
    pub pack_grams: Decimal,
    pub best_before: Option<Date>,
}

/// So many grams from one lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Draw {
    /// Place in the list of lots.
    pub lot: usize,
    pub grams: Decimal,
    pub cost: Decimal,
}

#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Taken {
    pub draws: Vec<Draw>,
    pub cost: Decimal,
    /// Grams that the shelf does not have.
    pub short_g: Decimal,
    /// Lots left alone because they are past their date.
    pub expired: Vec<usize>,
}

/// Takes so many grams off the lots of one material, on a day.
pub fn take(lots: &[PricedLot], grams: Decimal, on: Option<Date>) -> Result<Taken, ChemError> {
    if grams < Decimal::ZERO {
        return Err(ChemError::new("a weight cannot be less than nothing"));
    }
    let mut order: Vec<usize> = (0..lots.len()).collect();
    order.sort_by_key(|&i| (lots[i].best_before.is_none(), lots[i].best_before));
    let mut taken = Taken {
        short_g: grams,
        ..Taken::default()
    };
    for i in order {
        let lot = &lots[i];
        if lot.pack_grams <= Decimal::ZERO
            || lot.price < Decimal::ZERO
            || lot.grams_left < Decimal::ZERO
        {
            return Err(ChemError::new(
                "a lot needs a pack of more than 0 g, a price and what is left of it",
            ));
        }
        if let (Some(best_before), Some(on)) = (lot.best_before, on)
            && best_before < on
        {
            taken.expired.push(i);
            continue;
        }
        let part = lot.grams_left.min(taken.short_g);
        if part <= Decimal::ZERO {
            continue;
        }
        let cost = part
            .checked_mul(lot.price)
            .and_then(|c| c.checked_div(lot.pack_grams))
            .ok_or_else(too_large)?;
        taken.draws.push(Draw {
            lot: i,
            grams: part,
            cost,
        });
        taken.cost = taken.cost.checked_add(cost).ok_or_else(too_large)?;
        taken.short_g -= part;
    }
    Ok(taken)
}

/// What a batch comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cost {
    pub materials: Decimal,
    pub packaging: Decimal,
    pub total: Decimal,
    /// Materials and packaging of one container.
    pub per_container: Decimal,
    /// Materials alone, for 100 g that reached a container.
    pub per_100_g: Decimal,
}

pub fn batch(
    materials: Decimal,
    packaging_each: Decimal,
    containers: u32,
    filled_g: Decimal,
) -> Result<Cost, ChemError> {
    if containers == 0 || filled_g <= Decimal::ZERO {
        return Err(ChemError::new(
            "there is no filled container to share the cost",
        ));
    }
    if materials < Decimal::ZERO || packaging_each < Decimal::ZERO {
        return Err(ChemError::new("a cost cannot be less than nothing"));
    }
    let count = Decimal::from(containers);
    let packaging = packaging_each.checked_mul(count).ok_or_else(too_large)?;
    let total = materials.checked_add(packaging).ok_or_else(too_large)?;
    let per_100_g = materials
        .checked_mul(Decimal::ONE_HUNDRED)
        .and_then(|m| m.checked_div(filled_g));
    Ok(Cost {
        materials,
        packaging,
        total,
        per_container: total / count,
        per_100_g: per_100_g.ok_or_else(too_large)?,
    })
}

fn too_large() -> ChemError {
    ChemError::new("the figures have more digits than can be kept exactly")
}
