//! # Held hot for less than 10 minutes
//!
//! A hold of the hot water phase is declared, and it is shorter than customary.
//!
//! ## Why
//! Both phases are customarily held hot for 10 to 15 minutes, so that all waxes melt, gums swell and the load of microbes sinks. Holding is no sterilization: the preservative stays needed.
//!
//! ## What to do
//! Hold for 10 to 15 minutes. Where no hold is written, nothing is said.
//!
//! ```formula,bad
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   methylparaben                            0.3 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat A and B to 75 °C
//!   hold A and B 3 min
//!   ^^^^^^^^^^^^^^^^^^ 3 min
//!   pour A into B, blend 3 min
//! ```
//!
//! ```formula,good
//! formula "Hand cream"
//!   product: hand cream, leave-on
//!   type: oil-in-water
//!   pH: 5.0 to 5.4
//!   sold in: EU
//!
//! phase A "water" at 75 °C
//!   water                                    q.s.
//!   glycerin                                 5 %
//!   methylparaben                            0.3 %
//!
//! phase B "oil" at 75 °C
//!   sunflower oil                            10 %
//!   cetearyl alcohol                         3 %
//!   glyceryl stearate citrate                3 %
//!
//! method
//!   heat A and B to 75 °C
//!   hold A and B 10 min
//!   pour A into B, blend 3 min
//! ```

use crate::kb::names::key;
use crate::model::system::{self, System};
use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::{Clause, Heading, Node, Verb};
use crate::text::Span;
use rust_decimal::Decimal;
use std::cell::LazyCell;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    code: "hold-short",
    title: "Held hot for less than 10 minutes",
    group: Group::Method,
    loudest: Severity::Hint,
    file: include_str!("hold_short.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let System::Emulsion(_) = ctx.system() else { return };
    if !f.timeline.hot {
        return;
    }
    let usual = ctx.kb.threshold("hold-minutes");
    let mut said = |subject, line: u32, minutes: Decimal, span: Option<Span>| {
        let message =
            format!("it is held hot for only {} min", words::number(minutes, 1));
        let longer = format!("{} min", usual.value);
        let fix = span.map(|at| {
            let text = ctx.tree.lines.get(line as usize).and_then(|l| l.line.text.get(at.range())).unwrap_or_default();
            let word = if text.starts_with("hold") { "hold " } else { "" };
            Fix::new(format!("Hold for {longer}"), vec![Edit::replace(line, at, format!("{word}{longer}"))])
        });
        sink.say(subject, line, ctx.text_span(line), message).help("Hold it for 10 to 15 min, as is customary, so that all melts and swells").rests_on(usual).fixes(fix);
    };
    let watery = LazyCell::new(|| watery(ctx));
    for (p, phase) in f.phases.iter().enumerate() {
        if let Some(m) = phase.hold_minutes.filter(|m| *m < usual.value.0)
            && watery[p]
        {
            said(Subject::Phase(p), phase.lines[0], m, in_heading(ctx, phase.lines[0]));
            return;
        }
    }
    let hot_from = ctx.kb.threshold("hot-phase-c").value.0;
    let holds = || {
        f.timeline.temperature_curve.iter().filter(|(_, c)| *c > hot_from).filter_map(|(line, _)| {
            match &ctx.tree.lines.get(*line as usize)?.line.node {
                Node::Step(s) => s.clauses.iter().find_map(|c| Some((*line, c, held(c)?))),
                _ => None,
            }
        })
    };
    // Several holds add up; what matters is whether the heat lasted.
    let total: Decimal = holds().map(|(_, _, m)| m).sum();
    let by_label = LazyCell::new(|| by_label(ctx));
    if let Some((line, c, _)) = holds().find(|(_, c, _)| of_water(ctx, c, |words| by_label.get(&key(words)).copied(), |p| watery[p])).filter(|_| total < usual.value.0) {
        said(Subject::Line(line), line, total, c.minutes.as_ref().map(|m| m.span));
    }
}

/// Where a heading says how long its phase is held.
fn in_heading(ctx: &Context, line: u32) -> Option<Span> {
    match &ctx.tree.lines.get(line as usize)?.line.node {
        Node::Heading(Heading::Phase(h) | Heading::Premix(h)) => h.hold_minutes.as_ref().map(|m| m.span),
        _ => None,
    }
}

/// The minutes of a declared hold.
fn held(c: &Clause) -> Option<Decimal> {
    let holds = c.verb.as_ref().is_some_and(|v| v.value == Verb::Hold);
    c.minutes.as_ref().filter(|_| holds).map(|m| m.value.1)
}

/// Whether the clause names a phase with water, or none at all.
fn of_water(ctx: &Context, c: &Clause, spelled_otherwise: impl Fn(&str) -> Option<usize>, is_watery: impl Fn(usize) -> bool) -> bool {
    let mut named = c.objects.iter().filter_map(|o| ctx.formula.labelled(&o.value).or_else(|| spelled_otherwise(&o.value))).peekable();
    named.peek().is_none() || named.any(is_watery)
}

/// The first phase of each label, as names are looked up.
fn by_label(ctx: &Context) -> HashMap<String, usize> {
    let mut out = HashMap::new();
    for (p, phase) in ctx.formula.phases.iter().enumerate() {
        out.entry(key(&phase.label)).or_insert(p);
    }
    out
}

/// Which phases have water in them.
fn watery(ctx: &Context) -> Vec<bool> {
    let mut out = vec![false; ctx.formula.phases.len()];
    for s in ctx.formula.components.iter().filter(|s| system::is_water(ctx.kb.get(s.id))) {
        if let Some(p) = ctx.formula.rows[s.row].phase {
            out[p] = true;
        }
    }
    out
}
