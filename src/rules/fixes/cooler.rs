//! A cooler moment for what heat harms.

use super::cool_before;
use crate::model::timeline::goes_in_below;
use crate::rules::{Context, Fix};
use rust_decimal::Decimal;

/// The first phase that goes in cool enough.
pub(in crate::rules) fn cool_phase(ctx: &Context, below: Decimal) -> Option<usize> {
    let most = below + ctx.kb.threshold("heat-tolerance-c").value.0;
    let phases = ctx.cool_phases().iter();
    phases.filter(|(_, c)| *c <= most).map(|(n, _)| *n).next()
}

/// The labelled phases whose heading says how cool they go in, each with the highest temperature at which it goes in.
/// Of those that go in no cooler than one before them only the first is kept: it is found first.
pub(in crate::rules) fn cool_phases(ctx: &Context) -> Vec<(usize, Decimal)> {
    let mut out: Vec<(usize, Decimal)> = Vec::new();
    for (n, p) in ctx.formula.phases.iter().enumerate() {
        let heading = p.heat.as_ref().and_then(|h| goes_in_below(h.value));
        let Some(heading) = heading.filter(|_| !p.premix && !p.label.is_empty()) else {
            continue;
        };
        let added = ctx.formula.timeline.phases[n].added_c;
        let c = added.map_or(heading.celsius, |a| a.max(heading.celsius));
        if out.last().is_none_or(|(_, last)| c < *last) {
            out.push((n, c));
        }
    }
    out
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
