//! What a selection grows into: the word, the part of the line, the line, the section, the file.

use super::Snapshot;
use crate::syntax::tree::{Heading, Node};
use crate::text::Span;

/// From (line, byte) to (line, byte), end exclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    pub start: (u32, u32),
    pub end: (u32, u32),
}

/// From the innermost outward, each larger than the one before.
pub fn selection(s: &Snapshot, line: u32, byte: u32) -> Vec<Region> {
    let at = byte as usize;
    let text = s.text(line);
    let mut out: Vec<Region> = Vec::new();
    let mut push = |r: Region| {
        if r.start < r.end
            && out.last().is_none_or(|last: &Region| {
                r.start <= last.start && r.end >= last.end && r != *last
            })
        {
            out.push(r);
        }
    };
    let here = |span: Span| Region {
        start: (line, span.start),
        end: (line, span.end),
    };
    push(here(word(text, at)));
    let mut spans: Vec<Span> = parts(s, line)
        .into_iter()
        .filter(|p| p.contains(at))
        .collect();
    spans.sort_by_key(|p| p.end - p.start);
    for span in spans {
        push(here(span));
    }
    push(here(s.whole_line(line).span));
    push(here(Span::new(0, text.len())));
    let last_byte = |n: u32| s.text(n).len() as u32;
    if let Some(section) = s
        .tree
        .sections
        .iter()
        .find(|x| (x.first..x.end).contains(&line))
    {
        let last = super::folding::last_written(s, section.first, section.end).max(line);
        push(Region {
            start: (section.first, 0),
            end: (last, last_byte(last)),
        });
    }
    let last = (s.tree.lines.len() as u32).saturating_sub(1);
    push(Region {
        start: (0, 0),
        end: (last, last_byte(last)),
    });
    out
}

fn word(text: &str, at: usize) -> Span {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '-' | '.');
    let start = text[..at]
        .char_indices()
        .rev()
        .take_while(|(_, c)| inside(*c))
        .last()
        .map_or(at, |(n, _)| n);
    let end = text[at..]
        .char_indices()
        .find(|(_, c)| !inside(*c))
        .map_or(text.len(), |(n, _)| at + n);
    Span::new(start, end)
}

fn parts(s: &Snapshot, line: u32) -> Vec<Span> {
    let Some(l) = s.line(line) else {
        return Vec::new();
    };
    let mut out: Vec<Span> = l.comment.into_iter().collect();
    match &l.node {
        Node::Row(r) => {
            out.extend([r.name.span, r.amount.span, r.name.span.cover(r.amount.span)]);
            out.extend(r.purpose.as_ref().map(|p| p.span));
        }
        Node::Field(f) => out.extend([f.key.span, f.value.span]),
        Node::Step(step) => out.extend(step.clauses.iter().map(|c| c.span)),
        Node::Heading(Heading::Formula { name: Some(n) }) => out.push(n.span),
        Node::Heading(Heading::Phase(p) | Heading::Premix(p)) => {
            out.extend(p.name.as_ref().map(|n| n.span));
            out.extend(p.heat.as_ref().map(|h| h.span));
        }
        Node::Weighed(w) => out.extend([w.name.span, w.actual_span]),
        _ => {}
    }
    out
}
