//! One line laid out, without its comment.

use super::INDENT;
use super::columns::{Columns, GAP, single_blanks, width};
use crate::syntax::scan::{is_blank, is_quote};
use crate::syntax::tree::*;
use crate::text::Span;

/// A line before its comment, laid out.
pub(super) enum Body {
    /// As it is, comment and all; trailing blanks may go.
    Untouched(String),
    /// New text; the comment is still to be put behind, at a column.
    New {
        text: String,
        comment: Option<(Span, usize)>,
    },
}

impl Body {
    pub(super) fn untouched(line: &Line) -> Body {
        Body::Untouched(line.text.clone())
    }

    pub(super) fn text(self, line: &Line) -> String {
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

pub(super) fn body(line: &Line, columns: &Columns) -> Body {
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
pub(super) fn heading(words: &str) -> String {
    let end = words
        .find(|c: char| !c.is_ascii_alphabetic())
        .unwrap_or(words.len());
    let rest = single_blanks(&words[end..]);
    let gap = if rest.starts_with(is_quote) { " " } else { "" };
    format!("{}{gap}{rest}", words[..end].to_ascii_lowercase())
}
