//! # Not hot enough to melt
//!
//! A wax, fatty alcohol or other solid is heated less than it takes to melt it.
//!
//! ## Why
//! What has not melted makes grains. Waxes dissolve in hot oil a little below their melting range, so up to 10 °C below it is only a hint. Whipped butters, powders and cold processes are left in peace.
//!
//! ## What to do
//! Heat its phase to the upper end of the melting range.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 50 °C
//!   beeswax        20 %
//!   ^^^^^^^ 50 °C
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 150 °F
//!   carnauba wax   6 %
//!   ^^^^^^^^^^^^ melts at 176 to 187 °F
//!   beeswax        14 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```
//!
//! ```formula,good
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::kb::role::Role;
use crate::kb::schema::{Dissolves, Ingredient};
use crate::model::Phase;
use crate::model::fields::Type;
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Heat;
use rust_decimal::Decimal;
use std::cell::LazyCell;

pub static RULE: Rule = Rule {
    code: "not-melted",
    title: "Not hot enough to melt",
    group: Group::HeatAndPhase,
    loudest: Severity::Warning,
    file: include_str!("not_melted.rs"),
    check,
    ..Rule::DEFAULT
};

/// First roles of materials that are melted before they can do anything.
const MELTED: &[Role] = &[Role::Wax, Role::FattyAlcohol, Role::FattyAcid, Role::Emulsifier, Role::CoEmulsifier, Role::Butter, Role::Hydrocarbon];

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    if !f.timeline.hot || matches!(&f.fields.type_, Some(t) if matches!(t.value, Type::Powder)) {
        return;
    }
    let near = ctx.kb.threshold("melt-below-c").value.0;
    let (heated, bears) = (LazyCell::new(|| heated(ctx)), LazyCell::new(|| bears(ctx)));
    let degrees = ctx.degrees();
    for (n, row) in f.rows.iter().enumerate() {
        let (Some(id), Some(c)) = (row.id(), f.timeline.rows[n].highest_c) else { continue };
        let entry = ctx.kb.get(id);
        let Some(melts) = entry.melts_c.as_deref().filter(|_| is_melted(entry)) else { continue };
        let Some(low) = melts.low.or(melts.high).map(|m| m.0).filter(|low| c < *low) else { continue };
        let range = match melts.high.map(|h| h.0).filter(|h| *h > low) {
            Some(high) => format!("{} to {}", degrees.bare(low), degrees.show(high)),
            None => degrees.show(low),
        };
        let top = melts.high.map_or(low, |h| h.0);
        let place = f.phase_of(n).filter(|p| !p.label.is_empty()).map_or("it".to_owned(), |p| format!("phase {}", p.label));
        let message =
            format!("{} melts at {range} and gets only to {}", row.name.value, degrees.show(c));
        let level = if c <= low - near { Severity::Warning } else { Severity::Hint };
        sink.say(Subject::Row(n), row.line, row.name.span, message).help(format!("Heat {place} to {}", degrees.show(top))).level(level).rests_on(melts).fixes(hotter(ctx, n, top, &heated, &bears));
    }
}

/// Another temperature in the heading of its phase, where that heading is what heats it and nothing in the phase minds.
fn hotter(ctx: &Context, row: usize, to: Decimal, heated: &[(Decimal, usize)], bears: &[Option<Decimal>]) -> Option<Fix> {
    let f = ctx.formula;
    let p = f.rows[row].phase?;
    let (line, heat) = (*f.phases[p].lines.first()?, f.phases[p].heat.as_ref()?);
    let by_heading = f.timeline.rows[row].line == Some(line) && matches!(heat.value, Heat::At(_));
    let apart = ctx.kb.threshold("phases-apart-c").value.0;
    // The coolest and the hottest of the others stand for all between them.
    let mut others = heated.iter().filter(|(_, other)| *other != p).map(|(c, _)| *c);
    let ends = [others.next(), others.next_back()];
    if ends.into_iter().flatten().any(|c| (c - to).abs() > apart) {
        return None;
    }
    if !by_heading || bears[p].is_none_or(|most| to > most) {
        return None;
    }
    let shown = ctx.degrees().show(to);
    let text = ctx.tree.lines.get(line as usize)?.line.text.get(heat.span.range())?;
    let at = if text.trim_start().starts_with("at ") { "at " } else { "" };
    Some(Fix::new(format!("Heat phase {} to {shown}", f.phases[p].label), vec![Edit::replace(line, heat.span, format!("{at}{shown}"))]))
}

/// The phases with one temperature in their headings, coolest first.
fn heated(ctx: &Context) -> Vec<(Decimal, usize)> {
    let at = |(p, phase): (usize, &Phase)| match phase.heat.as_ref()?.value {
        Heat::At(t) => Some((t.celsius, p)),
        _ => None,
    };
    let mut out: Vec<(Decimal, usize)> = ctx.formula.phases.iter().enumerate().filter_map(at).collect();
    out.sort_unstable();
    out
}

/// What all rows of a phase bear; none where a row is not known.
fn bears(ctx: &Context) -> Vec<Option<Decimal>> {
    let own = |e: &Ingredient| e.bears_c.as_deref().map(|b| b.value.0).or(e.add_below_c.as_deref().map(|a| a.value.0)).unwrap_or(Decimal::MAX);
    let least = |p| ctx.formula.rows_of(p).try_fold(Decimal::MAX, |least, (_, r)| Some(own(ctx.kb.get(r.id()?)).min(least)));
    (0..ctx.formula.phases.len()).map(least).collect()
}

fn is_melted(entry: &Ingredient) -> bool {
    entry.roles.primary_in(MELTED) && matches!(entry.dissolves, Some(Dissolves::Oil | Dissolves::Both | Dissolves::Disperses) | None)
}
