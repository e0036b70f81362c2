//! What is shown under the cursor: short lists and bold, never a table.

mod amount;
mod field;
mod finding;
mod heading;
mod law;
mod material;
mod ph;
mod step;

use super::{Snapshot, definition};
use crate::rules::by_code;
use crate::syntax::tree::{Heading, Node};
use crate::text::{Place, Span};

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hover {
    pub place: Place,
    pub markdown: String,
}

pub fn hover(s: &Snapshot, line: u32, byte: u32) -> Option<Hover> {
    let at = byte as usize;
    let l = s.line(line)?;
    if l.comment.is_some_and(|c| c.start < byte && c.contains(at)) {
        return exception(s, line, at);
    }
    let found = finding::behind(s, line, byte);
    match node(s, line, byte, &found) {
        Some((span, markdown)) => whole(s, line, at, span, markdown),
        None => (!found.is_empty()).then(|| Hover {
            place: s.whole_line(line),
            markdown: found,
        }),
    }
}

/// What the part of the line under the cursor is, with the findings on it.
fn node(s: &Snapshot, line: u32, byte: u32, found: &str) -> Option<(Span, String)> {
    let at = byte as usize;
    let l = s.line(line)?;
    let (span, markdown) = match &l.node {
        Node::Row(r) if r.name.span.contains(at) => {
            return Some((r.name.span, material::row(s, line, found)?));
        }
        Node::Row(r) if r.amount.span.contains(at) && r.amount.span.end > r.amount.span.start => {
            (r.amount.span, amount::row(s, line)?)
        }
        Node::Row(r) => {
            let p = r.purpose.as_ref().filter(|p| p.span.contains(at))?;
            (
                p.span,
                format!(
                    "Counted by the law as **{}**, whatever else it can do.",
                    p.value
                ),
            )
        }
        Node::Field(f) => (f.key.span.cover(f.value.span), field::field(s, line, f)?),
        Node::Heading(h) => (s.whole_line(line).span, heading::heading(s, line, at, h)?),
        Node::Step(step) => match definition::phase_at(s, line, byte) {
            Some((span, phase)) => (span, heading::phase(s, phase)?),
            None => step::step(s, line, at, step)?,
        },
        Node::Weighed(w) if w.name.span.contains(at) && !w.file => {
            (w.name.span, material::named(s, &w.name.value)?)
        }
        _ => return None,
    };
    let gap = if markdown.is_empty() || found.is_empty() {
        ""
    } else {
        "\n"
    };
    Some((span, [&markdown, gap, found].concat()))
}

/// Nothing is shown next to the text.
fn whole(s: &Snapshot, line: u32, at: usize, span: Span, markdown: String) -> Option<Hover> {
    let inside = s.whole_line(line).span.contains(at);
    (inside && !markdown.is_empty()).then_some(Hover {
        place: Place { line, span },
        markdown,
    })
}

/// On the code of an exception: what the rule is about.
fn exception(s: &Snapshot, line: u32, at: usize) -> Option<Hover> {
    let e = s
        .line(line)?
        .exception
        .as_ref()
        .filter(|e| e.code.span.contains(at))?;
    let markdown = match by_code(&e.code.value) {
        Some(rule) => format!(
            "**{}** ({})\n\nThis exception keeps it quiet on this line. On what the law forbids it lowers it to a warning.",
            rule.title, rule.code
        ),
        None => format!("No rule has the code **{}**.", e.code.value),
    };
    Some(Hover {
        place: Place {
            line,
            span: e.code.span,
        },
        markdown,
    })
}

/// Where a lot or batch names its material.
fn of_heading(s: &Snapshot, h: &Heading, at: usize) -> Option<String> {
    match h {
        Heading::Lot {
            of: Some(of),
            of_file: false,
            ..
        } if of.span.contains(at) => material::named(s, &of.value),
        _ => None,
    }
}
