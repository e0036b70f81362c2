//! # Git has left both versions here
//!
//! The file holds the marks that git leaves when two versions meet.
//!
//! ## Why
//! Both versions stand in the file, so weights and jars would count twice.
//!
//! ## What to do
//! Keep one, and take the marks out.

use crate::rules::{Context, Group, Rule, Severity, Sink, Subject};

pub static RULE: Rule = Rule {
    code: "git-conflict",
    title: "Git has left both versions here",
    group: Group::Batch,
    loudest: Severity::Error,
    file: include_str!("git_conflict.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let Some(w) = ctx.workshop() else {
        return;
    };
    if let Some(conflict) = w.facts.conflict {
        let line = conflict.line;
        sink.say(Subject::Line(line), line, ctx.text_span(line), "git has left both versions here")
            .help("Keep one, and take out the lines of marks");
    }
}
