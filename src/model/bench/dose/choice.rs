//! Which acid or base to go on with.

use crate::kb::Kb;
use crate::model::bench::{Titrant, Titration, titrant};
use crate::model::{Formula, Material};
use crate::syntax::tree::Amount;

/// What is taken where nothing that goes this way is named: the trade's custom.
const USUAL_ACID: &str = "lactic acid 10 %";
const USUAL_BASE: &str = "sodium hydroxide 10 %";
pub(super) struct Choice {
    /// Numbers of titrants, the preferred first.
    pub order: Vec<usize>,
    pub assumed: Option<usize>,
}

/// Named first, then what went in last, then the strongest that the sample took, then what the formula has for it, then what is
/// usual.
pub(super) fn choose(
    kb: &Kb,
    titration: &mut Titration,
    with: Vec<Titrant>,
    formula: Option<&Formula>,
    down: bool,
) -> Result<Choice, String> {
    let mut order: Vec<usize> = with.into_iter().map(|t| titration.place(t)).collect();
    let used: Vec<usize> = titration
        .written
        .iter()
        .rev()
        .filter_map(|w| w.added.map(|(_, n)| n))
        .collect();
    order.extend(used);
    // A sample takes its drops well watered down; the batch is better spared the water.
    let mut tried: Vec<usize> = titration
        .samples
        .iter()
        .flat_map(|s| &s.written)
        .rev()
        .filter_map(|w| w.added.map(|(_, n)| n))
        .collect();
    tried.sort_by(|a, b| {
        titration.titrants[*b]
            .agent
            .percent
            .total_cmp(&titration.titrants[*a].agent.percent)
    });
    order.extend(tried);
    for row in formula.iter().flat_map(|f| &f.rows) {
        if matches!(row.amount.value, Amount::Enough { ph: Some(_), .. })
            && matches!(row.material, Material::Known { .. })
            && let Ok(one) = titrant(kb, &row.name.value)
        {
            order.push(titration.place(one));
        }
    }
    let mut assumed = None;
    if !order
        .iter()
        .any(|n| titration.titrants[*n].agent.is_acid() == down)
    {
        let name = if down { USUAL_ACID } else { USUAL_BASE };
        let one = titrant(kb, name).map_err(|e| e.words(name))?;
        let n = titration.place(one);
        order.push(n);
        assumed = Some(n);
    }
    order.extend(0..titration.titrants.len());
    let mut seen = std::collections::BTreeSet::new();
    order.retain(|n| seen.insert(*n));
    Ok(Choice { order, assumed })
}

/// Where a titrant stands in the order.
pub(super) fn place(order: &[usize], n: usize) -> usize {
    order.iter().position(|o| *o == n).unwrap_or(0)
}
