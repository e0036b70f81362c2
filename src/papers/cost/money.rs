//! The sums, one for each kind of money.

use super::{Cost, Packaging};
use crate::chem::cost;
use crate::papers::CannotRender;
use rust_decimal::Decimal;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Sum {
    pub currency: String,
    pub materials: Decimal,
    /// Of all containers; absent where nobody said what one costs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packaging: Option<Decimal>,
    pub total: Decimal,
    /// Of one container, where all have the same content.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_container: Option<Decimal>,
    /// Of one container of each content.
    pub each: Vec<Each>,
    /// Only the materials.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_100_g: Option<Decimal>,
}

#[derive(Clone, Debug, Serialize, PartialEq, Eq)]
pub struct Each {
    pub content: String,
    pub cost: Decimal,
}

pub fn sums(
    materials: BTreeMap<String, Decimal>,
    packaging: Option<&Packaging>,
    out: &mut Cost,
) -> Result<(), CannotRender> {
    let packaging = packaging
        .map(|p| of_containers(p, &materials, out))
        .transpose()?;
    let mut all = materials;
    if let Some((currency, _)) = &packaging {
        all.entry(currency.clone()).or_default();
    }
    for (currency, materials) in all {
        let each = packaging
            .as_ref()
            .filter(|(c, _)| *c == currency)
            .map(|(_, each)| *each);
        out.sums.push(
            sum(currency, materials, each, out)
                .map_err(|r| CannotRender::new(r.reason().to_owned()))?,
        );
    }
    if out.sums.len() > 1 {
        let names: Vec<&str> = out.sums.iter().map(|s| s.currency.as_str()).collect();
        out.notes
            .push(format!("The shelf was bought in {}: each is summed by itself, nothing is changed into another.", names.join(" and ")));
    }
    Ok(())
}

/// The money of the packaging, and what one container costs in it.
fn of_containers(
    p: &Packaging,
    materials: &BTreeMap<String, Decimal>,
    out: &Cost,
) -> Result<(String, Decimal), CannotRender> {
    if out.containers.is_empty() {
        return Err(CannotRender::new(
            "a cost of packaging needs containers; add `fill: 5 x 50 g` to the formula, or leave --packaging out",
        ));
    }
    let currency = match (&p.currency, materials.len()) {
        (Some(currency), _) => currency.clone(),
        (None, 1) => materials.keys().next().cloned().unwrap_or_default(),
        (None, _) => {
            return Err(CannotRender::new(
                "in which money is the packaging? write it as in --packaging \"0.80 EUR\"",
            ));
        }
    };
    Ok((currency, p.each))
}

fn sum(
    currency: String,
    materials: Decimal,
    packaging: Option<Decimal>,
    out: &Cost,
) -> Result<Sum, crate::chem::ChemError> {
    let large =
        || crate::chem::ChemError::new("the figures have more digits than can be kept exactly");
    let one = packaging.unwrap_or_default();
    let count = out
        .containers
        .iter()
        .try_fold(0u32, |n, c| n.checked_add(c.count))
        .ok_or_else(large)?;
    if count == 0 {
        let per_100_g = cost::batch(materials, Decimal::ZERO, 1, out.filled_g)?.per_100_g;
        let (total, per_100_g) = (materials.normalize(), Some(per_100_g.normalize()));
        return Ok(Sum {
            currency,
            materials: total,
            packaging: None,
            total,
            per_container: None,
            each: Vec::new(),
            per_100_g,
        });
    }
    let whole = cost::batch(materials, one, count, out.filled_g)?;
    let sizes = out.containers.iter().try_fold(Decimal::ZERO, |sum, c| {
        sum.checked_add(c.size?.checked_mul(c.count.into())?)
    });
    let mut each = Vec::new();
    if let Some(sizes) = sizes {
        for c in &out.containers {
            let cost = match out.containers.len() {
                1 => whole.per_container,
                _ => {
                    let share = c
                        .size
                        .and_then(|s| materials.checked_mul(s)?.checked_div(sizes))
                        .ok_or_else(large)?;
                    share.checked_add(one).ok_or_else(large)?
                }
            };
            each.push(Each {
                content: c.content.clone(),
                cost: cost.normalize(),
            });
        }
    }
    Ok(Sum {
        currency,
        materials: materials.normalize(),
        packaging: packaging.map(|_| whole.packaging.normalize()),
        total: whole.total.normalize(),
        per_container: if each.len() == 1 {
            Some(each[0].cost)
        } else {
            None
        },
        each,
        per_100_g: Some(whole.per_100_g.normalize()),
    })
}

/// To be read: halves upward, so many decimals.
pub fn shown(amount: Decimal, places: u32) -> String {
    let rounded =
        amount.round_dp_with_strategy(places, rust_decimal::RoundingStrategy::MidpointAwayFromZero);
    format!("{rounded:.places$}", places = places as usize)
}
