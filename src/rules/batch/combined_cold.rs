//! # The phases were combined too cold
//!
//! The phases came together more than 10 °C under what their headings say.
//!
//! ## Why
//! Waxes and emulsifiers that set before they are blended give grains and a cream that parts.
//!
//! ## What to do
//! Heat both again and blend.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};
use crate::model::record::What;
use crate::syntax::tree::Heat;
pub static RULE: Rule = Rule {
    code: "combined-cold",
    title: "The phases were combined too cold",
    group: Group::Batch,
    loudest: Severity::Warning,
    file: include_str!("combined_cold.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    let allowed = ctx.kb.threshold("combined-cold-c").value.0;
    for (record, plan) in w.plans() {
        let wanted = plan.formula.phases.iter().filter_map(|p| match p.heat.as_ref()?.value {
            Heat::At(t) => Some(t.celsius),
            _ => None,
        });
        let Some(wanted) = wanted.max() else {
            continue;
        };
        for event in &record.log {
            let What::Temperature { at, combined: true, .. } = &event.what else {
                continue;
            };
            if at.celsius + allowed >= wanted {
                continue;
            }
            let degrees = ctx.degrees();
            let message = format!("combined at {}, planned at {}", degrees.show(at.celsius), degrees.show(wanted));
            sink.say(Subject::Line(event.line), event.line, event.span, message)
                .help("Heat both again and blend");
        }
    }
}
