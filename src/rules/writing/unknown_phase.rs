//! # A phase that is nowhere
//!
//! A premix goes into, or a step speaks of, a phase that the file does not have.
//!
//! ## Why
//! What goes nowhere is not in the product.
//!
//! ## What to do
//! Write the label of a phase that is there.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//!
//! method
//!   melt A
//!   add C
//!       ^ phase "C"
//!   fill
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
//!
//! method
//!   melt A
//!   fill
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Node;
use crate::text::Place;
use std::collections::{HashMap, HashSet};

pub static RULE: Rule = Rule {
    code: "unknown-phase",
    title: "A phase that is nowhere",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("unknown_phase.rs"),
    check,
    ..Rule::DEFAULT
};

/// More phases than these are not listed in a message.
const MOST_NAMED: usize = 12;

fn check(ctx: &Context, sink: &mut Sink) {
    let f = ctx.formula;
    let labels: Vec<&str> = f.phases.iter().map(|p| p.label.as_str()).filter(|l| !l.is_empty()).collect();
    let premixes = f.phases.iter().enumerate().filter_map(|(p, phase)| {
        let into = phase.into_unknown.as_ref()?;
        Some((into.value.as_str(), Place { line: *phase.lines.first()?, span: into.span }, Some(p)))
    });
    let steps = ctx.tree.lines.iter().enumerate().filter_map(|(n, at)| match &at.line.node {
        Node::Step(step) => Some((n as u32, step)),
        _ => None,
    });
    let named = steps.flat_map(|(line, step)| step.clauses.iter().flat_map(|c| c.objects.iter().chain(&c.into)).map(move |o| (line, o)));
    let steps = named.filter_map(|(line, named)| Some((label(&named.value)?, Place { line, span: named.span }, None)));
    // Each label is said once, where it is named first.
    let mut said: Vec<(&str, Vec<Place>, Vec<Subject>)> = Vec::new();
    let mut at: HashMap<String, usize> = HashMap::new();
    for (label, place, premix) in premixes.chain(steps) {
        if f.labelled(label).is_some() {
            continue;
        }
        let n = *at.entry(label.to_ascii_lowercase()).or_insert_with(|| {
            said.push((label, Vec::new(), Vec::new()));
            said.len() - 1
        });
        said[n].1.push(place);
        said[n].2.extend(premix.map(Subject::Phase));
    }
    let meant = if said.is_empty() { None } else { meant(ctx) };
    for (label, places, premixes) in said {
        let message = match labels.as_slice() {
            [] => format!("there is no phase \"{label}\": no phase has a label yet"),
            _ => format!("there is no phase \"{label}\""),
        };
        let help = match labels.as_slice() {
            [] => "Give the phases labels, as in \"phase A\"".to_owned(),
            all if all.len() > MOST_NAMED => format!("Name one of the {} phases, from {} to {}", all.len(), all[0], all[all.len() - 1]),
            all => format!("Name one of the phases: {}", words::list(all)),
        };
        let mut finding = sink.say(Subject::Line(places[0].line), places[0].line, places[0].span, message).help(help).covers(premixes);
        if let ([place], Some(meant)) = (places.as_slice(), meant) {
            let written = ctx.tree.lines.get(place.line as usize).and_then(|at| at.line.text.get(place.span.range())).unwrap_or_default();
            let fix = Fix::new(format!("Change to {meant}"), vec![Edit::replace(place.line, place.span, written.replace(label, meant))]);
            finding = finding.fix(fix);
        }
        for p in &places[1..] {
            finding = finding.related(p.line, p.span, format!("\"{label}\" is named here too"));
        }
    }
}

/// The one phase that no step names, where the method leaves just one out.
fn meant<'a>(ctx: &Context<'a>) -> Option<&'a str> {
    let f = ctx.formula;
    let steps = ctx.tree.lines.iter().filter_map(|at| match &at.line.node {
        Node::Step(s) => Some(&s.clauses),
        _ => None,
    });
    let words = steps.flatten().flat_map(|c| c.objects.iter().chain(&c.into));
    let named: HashSet<String> = words.filter_map(|o| label(&o.value)).map(str::to_ascii_lowercase).collect();
    let mut left = f.phases.iter().filter(|p| !p.premix && !p.label.is_empty() && !named.contains(&p.label.to_ascii_lowercase()));
    match (left.next(), left.next()) {
        (Some(one), None) => Some(one.label.as_str()),
        _ => None,
    }
}

/// The label in "C", "phase C", "premix A1"; none where the words are something else.
fn label(words: &str) -> Option<&str> {
    let w = words.trim();
    if let Some(rest) = w.strip_prefix("phase ").or(w.strip_prefix("premix ")) {
        return Some(rest.trim()).filter(|r| !r.is_empty() && !r.contains(' '));
    }
    let mut chars = w.chars();
    let alone = chars.next().is_some_and(|c| c.is_ascii_uppercase()) && w.len() <= 3 && chars.all(|c| c.is_ascii_digit());
    alone.then_some(w)
}
