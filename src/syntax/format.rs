//! The formatter: indentation, one blank line between sections, amounts in one column. It never changes meaning: a line
//! that would read otherwise when laid out again, or that has an error, stays as it is.

mod body;
mod columns;
mod comments;

use super::line;
use super::tree::*;
use body::{Body, body};
use columns::Columns;
use comments::comments;
use std::ops::Range;

/// Puts `text` in place of a range of bytes of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    pub range: Range<usize>,
    pub text: String,
}

/// Blanks before a line of a section.
const INDENT: &str = "  ";

/// The whole file, formatted.
pub fn format(tree: &Tree) -> String {
    let mark = if tree.lines.first().is_some_and(|l| l.start > 0) {
        "\u{FEFF}"
    } else {
        ""
    };
    let newline = tree.line_break;
    let layout = Layout::of(tree, 0..tree.lines.len());
    let mut out = String::with_capacity(tree.len() + 64);
    out.push_str(mark);
    for line in &layout.lines {
        if line.blank_before {
            out.push_str(newline);
        }
        out.push_str(&line.text);
        out.push_str(newline);
    }
    out
}

/// The edits that format lines `lines`; for the whole file they lead to what [`format`] answers. In file order, none overlap.
pub fn format_edits(tree: &Tree, lines: Range<usize>) -> Vec<Edit> {
    let count = tree.lines.len();
    let lines = lines.start.min(count)..lines.end.min(count);
    let newline = tree.line_break;
    let layout = Layout::of(tree, lines.clone());
    let mut edits = Vec::new();
    let end_of = |n: usize| tree.lines[n].start + tree.lines[n].line.text.len();
    // From here on nothing is settled yet: the beginning of the first line of the range.
    let mut next = lines.start;
    for line in &layout.lines {
        if !lines.contains(&line.n) {
            continue;
        }
        if line.n > next {
            push(
                &mut edits,
                tree.lines[next].start..tree.lines[line.n].start,
                "",
            );
        }
        let at = &tree.lines[line.n];
        let before = if line.blank_before { newline } else { "" };
        if line.text != at.line.text || line.blank_before {
            push(
                &mut edits,
                at.start..end_of(line.n),
                &format!("{before}{}", line.text),
            );
        }
        next = line.n + 1;
    }
    if lines.end == count {
        finish(tree, &layout, lines.start, newline, &mut edits);
    } else if next < lines.end {
        // Blank lines that lead up to a kept line outside the range stay.
        let first_kept = layout
            .lines
            .iter()
            .find(|l| l.n >= lines.end)
            .map_or(count, |l| l.n);
        if first_kept > lines.end || !layout.lines.iter().any(|l| l.n + 1 == next) {
            return edits;
        }
        push(
            &mut edits,
            tree.lines[next].start..tree.lines[lines.end].start,
            "",
        );
    }
    edits
}

/// The edits for a line that was just typed to its end: its own layout, nothing else. A line of blanks, as an editor
/// that indents leaves it, becomes empty.
pub fn format_typed(tree: &Tree, n: usize) -> Vec<Edit> {
    let layout = Layout::of(tree, n..n + 1);
    let Some(at) = tree.lines.get(n) else {
        return Vec::new();
    };
    let typed = &at.line.text;
    let text = match layout.lines.into_iter().find(|l| l.n == n) {
        Some(line) => line.text,
        None if typed.trim().is_empty() => String::new(),
        None => return Vec::new(),
    };
    if text == *typed {
        return Vec::new();
    }
    vec![Edit {
        range: at.start..at.start + typed.len(),
        text,
    }]
}

/// The file ends in one line break.
fn finish(tree: &Tree, layout: &Layout, from: usize, newline: &str, edits: &mut Vec<Edit>) {
    let total = tree.len();
    match layout.lines.last() {
        Some(last) if last.n >= from => {
            let end = tree.lines[last.n].start + tree.lines[last.n].line.text.len();
            let ends_well = tree.lines.len() == last.n + 2 && total == tree.lines[last.n + 1].start;
            if !ends_well {
                push(edits, end..total, newline);
            }
        }
        Some(_) => {}
        None => push(
            edits,
            tree.lines.get(from).map_or(total, |l| l.start)..total,
            "",
        ),
    }
}

/// Adds an edit; one that begins where the last ends is joined with it.
fn push(edits: &mut Vec<Edit>, range: Range<usize>, text: &str) {
    if range.is_empty() && text.is_empty() {
        return;
    }
    match edits.last_mut() {
        Some(last) if last.range.end == range.start => {
            last.range.end = range.end;
            last.text.push_str(text);
        }
        _ => edits.push(Edit {
            range,
            text: text.to_string(),
        }),
    }
}

/// A line that stays, and how.
struct Laid {
    n: usize,
    text: String,
    blank_before: bool,
}

struct Layout {
    lines: Vec<Laid>,
}

impl Layout {
    /// Lines of `range` are laid out again; the columns of the others are taken as they are.
    fn of(tree: &Tree, range: Range<usize>) -> Layout {
        let columns = Columns::of(tree, &range);
        let mut bodies: Vec<Body> = tree
            .lines
            .iter()
            .enumerate()
            .map(|(n, at)| {
                let after_unknown = n
                    .checked_sub(1)
                    .is_some_and(|b| tree.lines[b].line.section == SectionKind::Unknown);
                if range.contains(&n) && !after_unknown {
                    body(&at.line, &columns)
                } else {
                    Body::untouched(&at.line)
                }
            })
            .collect();
        for section in &tree.sections {
            let lines = section.first as usize..section.end as usize;
            comments(tree, lines, &mut bodies);
        }
        let mut lines: Vec<Laid> = Vec::with_capacity(bodies.len());
        for (n, body) in bodies.into_iter().enumerate() {
            let line = &tree.lines[n].line;
            let before = n
                .checked_sub(1)
                .map_or(SectionKind::Top, |b| tree.lines[b].line.section);
            let text = body.text(line);
            let text = if text == line.text || keeps_meaning(tree.kind, before, line, &text) {
                text
            } else {
                line.text.clone()
            };
            lines.push(Laid {
                n,
                text,
                blank_before: false,
            });
        }
        Layout {
            lines: blank_lines(tree, lines, &range),
        }
    }
}

/// The line laid out again says what it said.
fn keeps_meaning(kind: FileKind, before: SectionKind, line: &Line, text: &str) -> bool {
    // Within an unknown section nothing is laid out, so a line's section before it is the line's before or its own.
    let again = line::read(kind, before, text);
    again.means_the_same(line)
}

/// One blank line at the most, one before a heading, none at the ends of the file.
fn blank_lines(tree: &Tree, lines: Vec<Laid>, range: &Range<usize>) -> Vec<Laid> {
    let node = |n: usize| &tree.lines[n].line.node;
    let marked: Vec<bool> = lines
        .iter()
        .map(|l| l.text.starts_with('\u{FEFF}'))
        .collect();
    let mut out: Vec<Laid> = Vec::with_capacity(lines.len());
    for laid in lines {
        let inside = range.contains(&laid.n);
        if *node(laid.n) == Node::Blank {
            let follows_blank = out.last().is_none_or(|l| *node(l.n) == Node::Blank);
            let in_notes = tree.lines[laid.n].line.section == SectionKind::Notes && !out.is_empty();
            // A mark that stands at the beginning of a later line must not come to stand at the beginning of the file.
            let guards_mark =
                out.is_empty() && tree.lines[0].start == 0 && marked.get(laid.n + 1) == Some(&true);
            if inside && follows_blank && !in_notes && !guards_mark {
                continue;
            }
            let text = if inside { String::new() } else { laid.text };
            out.push(Laid { text, ..laid });
            continue;
        }
        let heading = matches!(node(laid.n), Node::Heading(_));
        if heading && inside {
            // Blank lines at the end of notes are one as well.
            while let [.., a, b] = out.as_slice()
                && *node(a.n) == Node::Blank
                && *node(b.n) == Node::Blank
                && range.contains(&b.n)
            {
                out.pop();
            }
        }
        out.push(laid);
        if heading && inside {
            part(tree, &mut out, range);
        }
    }
    while let Some(last) = out.last()
        && *node(last.n) == Node::Blank
        && (range.contains(&last.n) || range.end == tree.lines.len())
    {
        out.pop();
    }
    out
}

/// A blank line before the heading that is last in `out`, above the comments that belong to it.
fn part(tree: &Tree, out: &mut [Laid], range: &Range<usize>) {
    let mut at = out.len() - 1;
    while at > 0
        && tree.lines[out[at - 1].n].line.node == Node::Comment
        && range.contains(&out[at - 1].n)
    {
        at -= 1;
    }
    if at > 0 && tree.lines[out[at - 1].n].line.node != Node::Blank {
        out[at].blank_before = true;
    }
}
