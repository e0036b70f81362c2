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

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject, words};
use crate::syntax::tree::Node;
use crate::text::Span;

pub static RULE: Rule = Rule {
    code: "unknown-phase",
    title: "A phase that is nowhere",
    group: Group::Writing,
    loudest: Severity::Error,
    yields_to: &[],
    file: include_str!("unknown_phase.rs"),
    check,
};

fn check(ctx: &Context, sink: &mut Sink) {
    let labels: Vec<&str> = ctx.formula.phases.iter().map(|p| p.label.as_str()).filter(|l| !l.is_empty()).collect();
    for phase in &ctx.formula.phases {
        if let (Some(into), Some(line)) = (&phase.into_unknown, phase.lines.first()) {
            say(sink, *line, into.span, &into.value, &labels);
        }
    }
    for (n, at) in ctx.tree.lines.iter().enumerate() {
        let Node::Step(step) = &at.line.node else { continue };
        for named in step.clauses.iter().flat_map(|c| c.objects.iter().chain(&c.into)) {
            if let Some(label) = label(&named.value)
                && !labels.iter().any(|l| l.eq_ignore_ascii_case(label))
            {
                say(sink, n as u32, named.span, label, &labels);
            }
        }
    }
}

fn say(sink: &mut Sink, line: u32, span: Span, label: &str, labels: &[&str]) {
    let message = match labels {
        [] => format!("there is no phase \"{label}\"; no phase has a label yet"),
        _ => format!("there is no phase \"{label}\"; there is {}", words::list(labels)),
    };
    sink.say(Subject::Line(line), line, span, message);
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
