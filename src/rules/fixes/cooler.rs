//! A cooler moment for what heat harms.

use super::cool_before;
use crate::model::timeline::goes_in_below;
use crate::rules::{Context, Fix};
use rust_decimal::Decimal;

/// The first phase that goes in cool enough.
pub(in crate::rules) fn cool_phase(ctx: &Context, below: Decimal) -> Option<usize> {
    let most = below + ctx.kb.threshold("heat-tolerance-c").value.0;
    ctx.formula.phases.iter().enumerate().position(|(n, p)| {
        let heading = p
            .heat
            .as_ref()
            .and_then(|h| goes_in_below(h.value))
            .is_some_and(|t| t.celsius <= most);
        let added = ctx.formula.timeline.phases[n].added_c;
        !p.premix && !p.label.is_empty() && heading && added.is_none_or(|c| c <= most)
    })
}

/// Moves a row to a phase that goes in cool enough; where it stands in the coolest already, the batch cools first.
pub(in crate::rules) fn cooler(ctx: &Context, row: usize, below: Decimal) -> Option<Fix> {
    let r = &ctx.formula.rows[row];
    match cool_phase(ctx, below) {
        Some(p) if r.phase != Some(p) => ctx.moved(r, p),
        _ => {
            let added = ctx.formula.timeline.phases[r.phase?].added_line?;
            (ctx.formula.timeline.rows[row].line == Some(added))
                .then(|| cool_before(ctx, added, below))
                .flatten()
        }
    }
}
