//! The formatter: indentation, one blank line between sections, amounts in one column. It never changes meaning: a line
//! that would read otherwise when laid out anew, or that has an error, stays as it is.

use super::line;
use super::scan::{is_blank, is_quote};
use super::tree::*;
use crate::text::Span;
use std::ops::Range;

/// Puts `text` in place of a range of bytes of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    pub range: Range<usize>,
    pub text: String,
}

/// Blanks before a line of a section.
const INDENT: &str = "  ";
/// Blanks between a name and its amount, between a line and its comment, at the least.
const GAP: usize = 2;
/// A longer name does not push the column of amounts.
const LONGEST_NAME: usize = 56;

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
    /// Lines of `range` are laid out anew; the columns of the others are taken as they are.
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

/// The line laid out anew says what it said.
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

// ------------------------------------------------------------------------------------------------ one line

/// A line before its comment, laid out.
enum Body {
    /// As it is, comment and all; trailing blanks may go.
    Untouched(String),
    /// New text; the comment is still to be put behind, at a column.
    New {
        text: String,
        comment: Option<(Span, usize)>,
    },
}

impl Body {
    fn untouched(line: &Line) -> Body {
        Body::Untouched(line.text.clone())
    }

    fn text(self, line: &Line) -> String {
        match self {
            Body::Untouched(text) => text,
            Body::New {
                text,
                comment: None,
            } => text,
            Body::New {
                mut text,
                comment: Some((span, column)),
            } => {
                let alone = line.node == Node::Comment;
                let gap = if alone {
                    0
                } else {
                    column.saturating_sub(width(&text)).max(GAP)
                };
                text.extend(std::iter::repeat_n(' ', gap));
                text.push_str(line.text_of(span).trim_end_matches(is_blank));
                text
            }
        }
    }
}

fn body(line: &Line, columns: &Columns) -> Body {
    let trimmed = || Body::Untouched(line.text.trim_end_matches(is_blank).to_string());
    let indented = line.text.starts_with(is_blank);
    if !line.errors.is_empty() {
        let clean = matches!(
            line.node,
            Node::Row(_)
                | Node::Step(_)
                | Node::Field(_)
                | Node::Weighed(_)
                | Node::Log(_)
                | Node::Observation(_)
                | Node::Packs(_)
                | Node::Packaging(_)
                | Node::Ledger(_)
                | Node::Complaint(_)
        );
        return match clean && indented {
            true => Body::Untouched(format!("{INDENT}{}", line.text.trim_matches(is_blank))),
            false => trimmed(),
        };
    }
    // A correction stands in the middle of what it corrects: the line keeps its own layout.
    if !line.corrections.is_empty() {
        let text = single_blanks(line.text_of(line.body_span()));
        return Body::New {
            text: format!("{INDENT}{text}"),
            comment: line.comment.map(|c| (c, 0)),
        };
    }
    let span = line.body_span();
    let words = line.text_of(span);
    let text = match &line.node {
        Node::Blank => String::new(),
        Node::Broken | Node::Kept => return trimmed(),
        Node::Note => return note(line),
        Node::Comment if indented => INDENT.to_string(),
        Node::Comment => String::new(),
        Node::Heading(_) => heading(words),
        Node::Field(f) => {
            let key = single_blanks(line.text_of(f.key.span));
            format!("{INDENT}{key}: {}", f.value.value)
                .trim_end_matches(is_blank)
                .to_string()
        }
        Node::Row(row) => columns.row(line, row),
        Node::Packs(_) | Node::Packaging(_) => format!("{INDENT}{}", single_blanks(words)),
        Node::Ledger(LedgerLine { date, .. }) | Node::Complaint(Complaint { date, .. }) => {
            let rest = &line.text[date.span.range().end..span.range().end];
            let rest = rest.trim_start_matches(|c| is_blank(c) || c == ',');
            format!(
                "{INDENT}{}  {}",
                line.text_of(date.span),
                single_blanks(rest)
            )
        }
        Node::Step(_) => format!("{INDENT}{}", single_blanks(words)),
        Node::Weighed(w) => columns.weighed(line, w),
        Node::Log(LogLine { time, .. }) | Node::Observation(Observation { time, .. }) => match time
        {
            Some(time) => {
                let events = line.text[time.span.range().end..span.range().end]
                    .trim_start_matches(|c| is_blank(c) || c == ',');
                let time = single_blanks(line.text_of(time.span));
                let pad = columns.time.saturating_sub(width(&time)) + GAP;
                format!("{INDENT}{time}{}{}", " ".repeat(pad), single_blanks(events))
                    .trim_end_matches(is_blank)
                    .to_string()
            }
            None => format!("{INDENT}{}", single_blanks(words)),
        },
    };
    // A whole-line comment stands at its indentation; one behind a body gets its column later.
    Body::New {
        text,
        comment: line.comment.map(|c| (c, 0)),
    }
}

/// Free text keeps its own indentation beyond the first two blanks.
fn note(line: &Line) -> Body {
    let text = line.text.trim_end_matches(is_blank);
    Body::Untouched(if text.starts_with(INDENT) {
        text.to_string()
    } else {
        format!("{INDENT}{}", text.trim_start_matches(is_blank))
    })
}

/// The keyword in small letters, one blank between words, what is in quotes as it is.
fn heading(words: &str) -> String {
    let end = words
        .find(|c: char| !c.is_ascii_alphabetic())
        .unwrap_or(words.len());
    let rest = single_blanks(&words[end..]);
    let gap = if rest.starts_with(is_quote) { " " } else { "" };
    format!("{}{gap}{rest}", words[..end].to_ascii_lowercase())
}

/// One blank for every run of blanks, but inside quotes.
fn single_blanks(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut quoted = false;
    let mut blank = false;
    for c in text.chars() {
        if is_quote(c) {
            quoted = !quoted;
        }
        if is_blank(c) && !quoted {
            blank = true;
            continue;
        }
        if std::mem::take(&mut blank) {
            out.push(' ');
        }
        out.push(c);
    }
    if blank {
        out.push(' ');
    }
    out
}

fn width(text: &str) -> usize {
    text.chars().count()
}

// ------------------------------------------------------------------------------------------------ columns

/// Where amounts and weights stand, the same in the whole file.
struct Columns {
    /// First character of an amount.
    amount: usize,
    /// Behind the last digit of what was weighed.
    weighed: usize,
    /// First character of `lot`.
    lot: usize,
    /// Longest time of a log line.
    time: usize,
}

impl Columns {
    fn of(tree: &Tree, range: &Range<usize>) -> Columns {
        let mut amounts = Column::default();
        let mut weights = Column::default();
        let mut time = 0;
        for (n, at) in tree.lines.iter().enumerate() {
            let line = &at.line;
            if !line.errors.is_empty() {
                continue;
            }
            let now = range.contains(&n);
            match &line.node {
                Node::Row(row) => {
                    let name = name_width(line, row.name.span, row.file);
                    amounts.add(
                        name,
                        INDENT.len() + name + GAP,
                        column_of(line, row.amount.span.start),
                        now,
                    );
                }
                Node::Weighed(w) => {
                    let number = number_span(w);
                    let name = name_width(line, w.name.span, w.file);
                    let digits = width(line.text_of(number));
                    weights.add(
                        name,
                        INDENT.len() + name + GAP + digits,
                        column_of(line, number.end),
                        now,
                    );
                }
                Node::Log(LogLine { time: Some(t), .. })
                | Node::Observation(Observation { time: Some(t), .. }) => {
                    time = time.max(width(&single_blanks(line.text_of(t.span))));
                }
                _ => {}
            }
        }
        let mut columns = Columns {
            amount: amounts.column(),
            weighed: weights.column(),
            lot: 0,
            time,
        };
        // The lots stand behind the longest pair of weights.
        for at in tree.lines.iter().filter(|l| l.line.errors.is_empty()) {
            if let Node::Weighed(w) = &at.line.node {
                columns.lot = columns
                    .lot
                    .max(width(&columns.weights(&at.line, w)) + GAP + 1);
            }
        }
        columns
    }

    fn row(&self, line: &Line, row: &Row) -> String {
        let name = name_text(line, row.name.span, row.file);
        let mut out = pad(format!("{INDENT}{name}"), self.amount);
        match &row.amount.value {
            Amount::Measured(m) => {
                out.push_str(line.text_of(m.value_span));
                out.push(' ');
                out.push_str(&single_blanks(line.text_of(m.unit_span)));
            }
            _ => out.push_str(&single_blanks(line.text_of(row.amount.span))),
        }
        if let Some(purpose) = &row.purpose {
            out.push_str(" as ");
            out.push_str(&single_blanks(line.text_of(purpose.span)));
        }
        out
    }

    /// Name and weights; the numbers end in one column.
    fn weights(&self, line: &Line, w: &Weighed) -> String {
        let name = name_text(line, w.name.span, w.file);
        let number = number_span(w);
        let digits = line.text_of(number);
        let mut out = pad(
            format!("{INDENT}{name}"),
            self.weighed.saturating_sub(width(digits)),
        );
        out.push_str(digits);
        if let Some(m) = &w.actual {
            out.push(' ');
            out.push_str(&single_blanks(line.text_of(m.unit_span)));
        }
        if let Some(m) = &w.planned {
            out.push_str(" of ");
            out.push_str(line.text_of(m.value_span));
            out.push(' ');
            out.push_str(&single_blanks(line.text_of(m.unit_span)));
        }
        out
    }

    fn weighed(&self, line: &Line, w: &Weighed) -> String {
        let out = self.weights(line, w);
        match &w.lot {
            Some(lot) => format!("{}lot {}", pad(out, self.lot), lot.value),
            None => out,
        }
    }
}

/// The number that was weighed, or the `?`.
fn number_span(w: &Weighed) -> Span {
    w.actual.as_ref().map_or(w.actual_span, |m| m.value_span)
}

/// Blanks up to a column, two at the least.
fn pad(mut text: String, column: usize) -> String {
    let gap = column.saturating_sub(width(&text)).max(GAP);
    text.extend(std::iter::repeat_n(' ', gap));
    text
}

fn name_text(line: &Line, name: Span, file: bool) -> String {
    let name = line.text_of(name);
    if file {
        format!("\"{name}\"")
    } else {
        name.to_string()
    }
}

fn name_width(line: &Line, name: Span, file: bool) -> usize {
    width(line.text_of(name)) + if file { 2 } else { 0 }
}

/// The column of a byte, in characters; none where a tab makes that a matter of taste.
fn column_of(line: &Line, byte: u32) -> Option<usize> {
    let before = &line.text[..byte as usize];
    (!before.contains('\t')).then(|| width(before))
}

/// Finds one column for many lines. If all that are there agree on one that has room for every name, it stays: no line
/// moves because another was taken out.
#[derive(Default)]
struct Column {
    needed: usize,
    agreed: Option<Option<usize>>,
}

impl Column {
    /// `at`: where it stands now; `now`: it is laid out anew.
    fn add(&mut self, name: usize, needed: usize, at: Option<usize>, now: bool) {
        if name > LONGEST_NAME {
            return;
        }
        self.needed = self.needed.max(needed);
        // Where a part is laid out, it follows the rest.
        let _ = now;
        self.agreed = Some(match self.agreed {
            None => at,
            Some(before) if before == at => at,
            Some(_) => None,
        });
    }

    fn column(&self) -> usize {
        match self.agreed.flatten() {
            Some(column) if column >= self.needed => column,
            _ => self.needed,
        }
    }
}

/// Comments behind the lines of a section stand in one column: theirs, if they agree on one that has room, else two blanks
/// behind the longest.
fn comments(tree: &Tree, lines: Range<usize>, bodies: &mut [Body]) {
    let mut needed = 0;
    let mut agreed: Option<Option<usize>> = None;
    for n in lines.clone() {
        let line = &tree.lines[n].line;
        if let Body::New {
            text,
            comment: Some((span, _)),
        } = &bodies[n]
            && line.node != Node::Comment
        {
            needed = needed.max(width(text) + GAP);
            let at = column_of(line, span.start);
            agreed = Some(match agreed {
                None => at,
                Some(before) if before == at => at,
                Some(_) => None,
            });
        }
    }
    let column = match agreed.flatten() {
        Some(column) if column >= needed => column,
        _ => needed,
    };
    for n in lines {
        if tree.lines[n].line.node != Node::Comment
            && let Body::New {
                comment: Some((_, at)),
                ..
            } = &mut bodies[n]
        {
            *at = column;
        }
    }
}
