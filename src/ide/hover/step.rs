//! On a step: how warm it is, and what goes in.

use crate::ide::{Snapshot, words::text};
use crate::syntax::tree::Step;
use crate::text::Span;

pub(super) fn step(s: &Snapshot, line: u32, at: usize, step: &Step) -> Option<(Span, String)> {
    let f = s.formula.as_ref()?;
    // On a material that is named in the step: the row that it stands for.
    let mut named = step
        .clauses
        .iter()
        .flat_map(|c| c.objects.iter().chain(&c.with))
        .filter(|o| o.span.contains(at));
    if let Some(o) = named.next()
        && let Some(row) = f
            .rows
            .iter()
            .find(|r| r.name.value.eq_ignore_ascii_case(o.value.trim()))
    {
        return Some((o.span, super::material::row(s, row.line, "")?));
    }
    let clause = step.clauses.iter().find(|c| c.span.contains(at))?;
    if clause.verb.is_none() {
        return Some((
            clause.span,
            "Kept as text: no step of the trade is read in it, so it changes nothing.".to_owned(),
        ));
    }
    let c = f
        .timeline
        .temperature_curve
        .iter()
        .find(|(l, _)| *l == line)
        .map(|(_, c)| *c)?;
    let added: Vec<String> = f
        .timeline
        .phases
        .iter()
        .zip(&f.phases)
        .filter(|(h, _)| h.added_line == Some(line))
        .map(|(_, p)| {
            format!(
                "{} {}",
                if p.premix { "premix" } else { "phase" },
                text(&p.label)
            )
        })
        .collect();
    let mut out = format!("After this step: **{}**\n", s.degrees().show(c));
    if !added.is_empty() {
        out.push_str(&format!("\n- **Goes in:** {}\n", added.join(", ")));
    }
    Some((clause.span, out))
}
