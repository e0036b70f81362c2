//! # Something given twice that can be given once
//!
//! A field stands twice under its heading, or a file has two headings of the kind that it can have one of. Pasting does this.
//!
//! ## Why
//! Of two values one is not meant, and the file does not say which. The rows of two formulas in one file are added up as if they were one.
//!
//! ## What to do
//! Keep one of the two. A second formula goes into a file of its own.
//!
//! ```formula,bad
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!   product: foot balm
//!   ^^^^^^^ line 2
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```
//!
//! ```formula,fixed
//! formula "Lip balm"
//!   product: lip balm
//!   type: anhydrous
//!   # product: foot balm
//!
//! phase A at 75 °C
//!   beeswax        20 %
//!   shea butter    30 %
//!   sunflower oil  50 %
//! ```

use crate::rules::{Context, Edit, Fix, Group, Rule, Severity, Sink, Subject};
use crate::syntax::field_written;
use crate::syntax::tree::{FileKind, Heading, Node};
use crate::text::Place;
use std::collections::HashMap;

pub static RULE: Rule = Rule {
    code: "given-twice",
    title: "Something given twice that can be given once",
    group: Group::Writing,
    loudest: Severity::Error,
    file: include_str!("given_twice.rs"),
    check,
    ..Rule::DEFAULT
};

fn check(ctx: &Context, sink: &mut Sink) {
    let mut whole: Vec<Place> = Vec::new();
    let mut fields: HashMap<&str, Place> = HashMap::new();
    for (n, at) in ctx.tree.lines.iter().enumerate() {
        let line = n as u32;
        match &at.line.node {
            Node::Heading(heading) => {
                fields.clear();
                let is_whole = matches!(heading, Heading::Formula { .. } | Heading::Batch { .. });
                let here = Place { line, span: ctx.text_span(line) };
                whole.extend(is_whole.then_some(here));
            }
            Node::Field(field) => {
                let here = Place { line, span: field.key.span };
                match fields.get(field.key.value.as_str()) {
                    Some(first) => second_field(sink, field_written(&field.key.value), *first, here),
                    None => {
                        fields.insert(&field.key.value, here);
                    }
                }
            }
            _ => {}
        }
    }
    let ends = whole.iter().skip(2).map(|next| next.line).chain([u32::MAX]);
    for (here, end) in whole.iter().skip(1).zip(ends) {
        second_heading(ctx, sink, whole[0], *here, end);
    }
}

fn second_field(sink: &mut Sink, key: &str, first: Place, here: Place) {
    let message = format!("\"{key}:\" stands on line {} already", first.line + 1);
    let start = (here.line, here.span.start);
    let remark = Fix::new("Keep this line as a remark", vec![Edit { start, end: start, text: "# ".into() }]);
    sink.say(Subject::Line(here.line), here.line, here.span, message).help("Keep one of them").related(first.line, first.span, "the first time").fix(remark);
}

/// `end`: the line of the heading after this one.
fn second_heading(ctx: &Context, sink: &mut Sink, first: Place, here: Place, end: u32) {
    let what = if ctx.tree.kind == FileKind::Batch { "batch" } else { "formula" };
    let message = format!(
        "a second {what} begins here: the first is on line {}",
        first.line + 1
    );
    let row_from = |line: u32| ctx.formula.rows.partition_point(|r| r.line < line);
    let below = (row_from(here.line)..row_from(end)).map(Subject::Row);
    sink.say(Subject::Line(here.line), here.line, here.span, message)
        .help("Put this one into a file of its own")
        .why("a file holds one; until then, what both hold is taken together".to_owned())
        .covers(below)
        .covers([Subject::Formula])
        .related(first.line, first.span, format!("the first {what}"));
}
