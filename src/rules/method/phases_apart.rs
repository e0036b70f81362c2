//! # Water and oil united at different temperatures
//!
//! The two phases of an emulsion come together more than 10 °C apart.
//!
//! ## Why
//! The cooler phase chills the waxes of the other before the droplets are small: grains, a coarse cream. Customarily both have the same temperature within 5 °C. It is a warning where the mix falls below the temperature at which the oil phase sets; cold processes with liquid oils are left in peace.
//!
//! ## What to do
//! Bring both to the same temperature before they meet.
//!
//! ```formula,bad
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water"
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   methylparaben                            0.3 %
//!
//! phase B "oil"
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat B to 75 °C
//!   pour B into A, blend 3 min
//!   ^^^^^^^^^^^^^^^^^^^^^^^^^^ 20 °C
//! ```
//!
//! ```formula,good
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water"
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   methylparaben                            0.3 %
//!
//! phase B "oil"
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat B to 75 °C
//!   heat A to 72 °C
//!   pour B into A, blend 3 min
//! ```

use crate::kb::role::Role;
use crate::model::system::{self, System};
use crate::model::timeline::{Merge, goes_in_below};
use crate::rules::words::Degrees;
use crate::rules::fixes;
use crate::rules::{Context, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::tree::Heat;
use rust_decimal::Decimal;

pub static RULE: Rule = Rule {
    code: "phases-apart",
    title: "Water and oil united at different temperatures",
    group: Group::Method,
    loudest: Severity::Warning,
    file: include_str!("phases_apart.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let System::Emulsion(_) = ctx.system() else { return };
    if ctx.formula.timeline.from_method {
        by_the_method(ctx, sink);
    } else {
        by_the_headings(ctx, sink);
    }
}

fn by_the_method(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let hot_from = ctx.kb.threshold("hot-phase-c").value.0;
    let apart = ctx.kb.threshold("phases-apart-c");
    let within = ctx.kb.threshold("phases-within-c").value.0;
    let degrees = ctx.degrees();
    // The first time that water and oil meet, at least one of them hot; what comes later is cool-down.
    let Some(u) = &f.timeline.water_meets_oil else { return };
    if u.into_c.max(u.from_c) <= hot_from || (u.into_c - u.from_c).abs() <= apart.value.0 {
        return;
    }
    let (Some(a), Some(b)) = (weight(ctx, &u.into_rows), weight(ctx, &u.from_rows)) else { return };
    let mixed = (u.into_c * a + u.from_c * b) / (a + b);
    let rows = || u.into_rows.iter().chain(&u.from_rows);
    let setting = rows().filter_map(|r| sets_at(ctx, *r)).max();
    let span = ctx.text_span(u.line);
    let below = ctx.kb.threshold("melt-below-c").value.0;
    match setting {
        Some(at) if mixed < at - below => {
            let message = format!(
                "{} meets {}: about {} together, and the oil sets from about {}",
                side(ctx, &u.from_rows, u.from_c, degrees),
                side(ctx, &u.into_rows, u.into_c, degrees),
                degrees.show(mixed.round()),
                degrees.show(at)
            );
            // The custom is sure; the melting point only says how far it goes wrong.
            sink.say(Subject::Line(u.line), u.line, span, message).help("Bring both to the same temperature first").rests_on(apart).fixes(warm_up(ctx, u));
        }
        Some(_) => {
            let message = format!(
                "{} meets {}",
                side(ctx, &u.from_rows, u.from_c, degrees),
                side(ctx, &u.into_rows, u.into_c, degrees)
            );
            sink.say(Subject::Line(u.line), u.line, span, message).help(closer(degrees, within)).level(Severity::Hint).rests_on(apart).fixes(warm_up(ctx, u));
        }
        // Nothing sets: a cold process.
        None => {}
    }
}

/// "phase B at 75 °C" where all that stands there is one phase, else the temperature alone.
fn side(ctx: &Context, rows: &[usize], c: Decimal, degrees: Degrees) -> String {
    match one_phase(ctx, rows) {
        Some(p) => format!("phase {} at {}", ctx.formula.phases[p].label, degrees.show(c)),
        None => degrees.show(c),
    }
}

fn closer(degrees: Degrees, within: Decimal) -> String {
    format!("Bring both within {} of each other before you unite them", degrees.span(within))
}

fn one_phase(ctx: &Context, rows: &[usize]) -> Option<usize> {
    let first = ctx.formula.rows[*rows.first()?].phase?;
    let same = rows.iter().all(|r| ctx.formula.rows[*r].phase == Some(first)) && !ctx.formula.phases[first].label.is_empty();
    same.then_some(first)
}

/// Heats the cooler side before the two meet, where it is one phase and nothing in it minds.
fn warm_up(ctx: &Context, u: &Merge) -> Option<Fix> {
    let (rows, to) = if u.into_c < u.from_c { (&u.into_rows, u.from_c) } else { (&u.from_rows, u.into_c) };
    let p = one_phase(ctx, rows)?;
    let bears = |r: &usize| {
        let entry = ctx.kb.get(ctx.formula.rows[*r].id()?);
        Some(entry.bears_c.as_deref().map(|b| b.value.0).or(entry.add_below_c.as_deref().map(|a| a.value.0)).is_none_or(|most| to <= most))
    };
    if !rows.iter().all(|r| bears(r) == Some(true)) {
        return None;
    }
    fixes::before(ctx, u.line, &[format!("heat {} to {}", ctx.formula.phases[p].label, ctx.degrees().show(to))])
}

/// Hot phases whose headings lie apart.
fn by_the_headings(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let hot_from = ctx.kb.threshold("hot-phase-c").value.0;
    let apart = ctx.kb.threshold("phases-apart-c");
    let within = ctx.kb.threshold("phases-within-c").value.0;
    let degrees = ctx.degrees();
    let mut hot: Vec<(usize, Decimal)> = Vec::new();
    for (p, phase) in f.phases.iter().enumerate().filter(|(_, p)| !p.premix) {
        let Some(heat) = &phase.heat else { continue };
        let c = match heat.value {
            Heat::At(t) | Heat::Above(t) if goes_in_below(heat.value).is_none() => t.celsius,
            _ => continue,
        };
        if c > hot_from && is_main(ctx, &phase.rows) {
            hot.push((p, c));
        }
    }
    let (Some(low), Some(high)) = (hot.iter().min_by_key(|(_, c)| *c), hot.iter().max_by_key(|(_, c)| *c)) else { return };
    if high.1 - low.1 <= apart.value.0 {
        return;
    }
    let (cool, warm) = (&f.phases[low.0], &f.phases[high.0]);
    let (Some(heat), Some(other)) = (&cool.heat, &warm.heat) else { return };
    let message = format!(
        "phase {} stands at {} and phase {} at {}",
        cool.label,
        degrees.show(low.1),
        warm.label,
        degrees.show(high.1)
    );
    sink.say(Subject::Phase(low.0), cool.lines[0], heat.span, message).help(closer(degrees, within)).level(Severity::Hint).rests_on(apart).related(
        warm.lines[0],
        other.span,
        "the warmer phase",
    );
}

fn weight(ctx: &Context, rows: &[usize]) -> Option<Decimal> {
    rows.iter().map(|r| ctx.formula.rows[*r].percent).sum()
}

/// Enough of the product to change its temperature.
fn is_main(ctx: &Context, rows: &[usize]) -> bool {
    weight(ctx, rows).is_some_and(|w| w >= ctx.kb.threshold("phases-apart-share-percent").value.0)
}

/// Where a wax, fatty alcohol or solid emulsifier begins to set, if there is enough of it to matter.
fn sets_at(ctx: &Context, row: usize) -> Option<Decimal> {
    let r = &ctx.formula.rows[row];
    let entry = ctx.kb.get(r.id()?);
    let solid = system::is_oily(entry) || system::has_role(entry, Role::Emulsifier);
    let range = entry.melts_c.as_deref().filter(|_| solid)?;
    let low = range.low.or(range.high)?.0;
    let enough = r.percent? >= ctx.kb.threshold("setting-share-percent").value.0;
    (enough && low > ctx.kb.threshold("fill-below-c").value.0).then_some(low)
}
