//! What can stand at the cursor, from the text before it and the section around it: a half-typed line has no tree yet.

use crate::ide::Snapshot;
use crate::syntax::tree::{Heading, Node, SectionKind};
use crate::text::Span;

/// What is being written, the bytes it takes, and what is typed of it so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Slot {
    /// A heading's keyword.
    Keyword {
        span: Span,
        typed: String,
    },
    /// The name in a row; `open`: nothing follows it.
    Name {
        span: Span,
        typed: String,
        open: bool,
    },
    /// A row begun at the left edge, where a heading may be meant too.
    Edge {
        span: Span,
        typed: String,
    },
    /// The amount of a row: what stands there so far, and the name before it.
    Amount {
        span: Span,
        typed: String,
        name: String,
    },
    /// `as ...` behind an amount.
    Purpose {
        span: Span,
        typed: String,
    },
    /// A file between quotes.
    File {
        span: Span,
        typed: String,
    },
    FieldKey {
        span: Span,
        typed: String,
    },
    FieldValue {
        span: Span,
        typed: String,
        key: String,
    },
    /// The first word of a step, or of a part of it.
    Verb {
        span: Span,
        typed: String,
    },
    /// A part of a step of more than one word, up to the cursor.
    Clause {
        span: Span,
        typed: String,
    },
    /// The label behind `phase` or `premix`.
    Label {
        span: Span,
        typed: String,
    },
    /// The phase that a premix goes into.
    Into {
        span: Span,
        typed: String,
    },
    /// What may follow label and name.
    PhaseTail {
        span: Span,
        typed: String,
        premix: bool,
    },
    /// The code in `# except CODE`.
    Code {
        span: Span,
        typed: String,
    },
    /// `# ex`
    Except {
        span: Span,
        typed: String,
    },
    Lot {
        span: Span,
        typed: String,
    },
}

pub fn is_blank(c: char) -> bool {
    c == ' ' || c == '\t' || c == '\u{A0}'
}

/// The last word before the cursor, and the byte at which it begins.
fn last_word(before: &str) -> (usize, &str) {
    let start = before.rfind(is_blank).map_or(0, |at| {
        at + before[at..].chars().next().map_or(1, char::len_utf8)
    });
    (start, &before[start..])
}

pub fn slot(s: &Snapshot, line: u32, byte: u32) -> Option<Slot> {
    let l = s.line(line)?;
    let text = l.text.as_str();
    let mut at = (byte as usize).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let before = &text[..at];
    if let Some(c) = l.comment.filter(|c| (c.start as usize) < at) {
        return comment(text, c.start as usize, at);
    }
    let section = s.section_before(line);
    let start = before.len() - before.trim_start_matches(is_blank).len();
    let indented = text.starts_with(is_blank);
    if !indented {
        return edge(s, line, section, before);
    }
    match section {
        SectionKind::Top | SectionKind::Formula | SectionKind::Batch | SectionKind::Lot => {
            field(text, start, at)
        }
        SectionKind::Phase | SectionKind::Premix => row(text, &l.node, start, at),
        SectionKind::Method => Some(step(text, start, at)),
        SectionKind::Weighed => weighed(text, &l.node, start, at),
        SectionKind::Notes
        | SectionKind::Log
        | SectionKind::Observations
        | SectionKind::Packed
        | SectionKind::Complaints
        | SectionKind::Ledger
        | SectionKind::Unknown => None,
    }
}

fn comment(text: &str, start: usize, at: usize) -> Option<Slot> {
    let inside = &text[start + 1..at];
    let body = inside.trim_start_matches(is_blank);
    let body_at = at - body.len();
    let span = |from: usize| Span::new(from, word_end(text, at));
    match body.get(..6) {
        Some(word) if word.eq_ignore_ascii_case("except") && body[6..].starts_with(is_blank) => {
            let code = body[6..].trim_start_matches(is_blank);
            let plain = code.chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
            plain.then(|| Slot::Code {
                span: span(at - code.len()),
                typed: code.to_owned(),
            })
        }
        _ => ["except", "write why"]
            .iter()
            .any(|w| w.starts_with(body))
            .then(|| Slot::Except {
                span: span(body_at),
                typed: body.to_owned(),
            }),
    }
}

/// Where the word under the cursor ends: letters, digits and hyphens.
fn word_end(text: &str, at: usize) -> usize {
    text[at..]
        .char_indices()
        .find(|(_, c)| !(c.is_alphanumeric() || *c == '-'))
        .map_or(text.len(), |(n, _)| at + n)
}

/// A line that begins at the left edge: a heading, or a row without its blanks.
fn edge(s: &Snapshot, line: u32, section: SectionKind, before: &str) -> Option<Slot> {
    let text = s.text(line);
    let at = before.len();
    let first_end = before.find(is_blank);
    let Some(first_end) = first_end else {
        let end = word_end(text, at);
        let rest_is_empty = text[end..].trim().is_empty();
        return Some(match section {
            SectionKind::Phase | SectionKind::Premix if rest_is_empty && !before.is_empty() => {
                Slot::Edge {
                    span: Span::new(0, end),
                    typed: before.to_owned(),
                }
            }
            _ => Slot::Keyword {
                span: Span::new(0, end),
                typed: before.to_owned(),
            },
        });
    };
    match s.line(line).map(|l| &l.node) {
        Some(Node::Heading(Heading::Phase(_))) => Some(phase(text, before, first_end, false)),
        Some(Node::Heading(Heading::Premix(_))) => Some(phase(text, before, first_end, true)),
        Some(Node::Heading(Heading::Lot { .. })) => {
            let of = before.find(" of ")? + 4;
            let name = before[of..].trim_start_matches(is_blank);
            let start = at - name.len();
            Some(match name.strip_prefix('"') {
                Some(file) => Slot::File {
                    span: Span::new(start + 1, at),
                    typed: file.to_owned(),
                },
                None => Slot::Name {
                    span: Span::new(start, text.trim_end().len().max(at)),
                    typed: name.to_owned(),
                    open: false,
                },
            })
        }
        Some(Node::Heading(Heading::Batch { .. })) => {
            let quote = before.find('"')?;
            let file = &before[quote + 1..];
            (!file.contains('"')).then(|| Slot::File {
                span: Span::new(quote + 1, at),
                typed: file.to_owned(),
            })
        }
        Some(Node::Heading(Heading::Broken))
            if matches!(section, SectionKind::Phase | SectionKind::Premix) =>
        {
            Some(Slot::Edge {
                span: Span::new(0, text.trim_end().len().max(at)),
                typed: before.to_owned(),
            })
        }
        Some(Node::Row(_)) => s.line(line).and_then(|l| row(text, &l.node, 0, at)),
        Some(Node::Step(_)) => Some(step(text, 0, at)),
        Some(Node::Field(_)) => field(text, 0, at),
        _ => None,
    }
}

fn phase(text: &str, before: &str, first_end: usize, premix: bool) -> Slot {
    let at = before.len();
    let rest = before[first_end..].trim_start_matches(is_blank);
    let (word_at, word) = last_word(before);
    let end = word_end(text, at);
    if !rest.contains(is_blank) && !rest.contains(['"', ',']) {
        return Slot::Label {
            span: Span::new(at - rest.len(), end),
            typed: rest.to_owned(),
        };
    }
    let previous = last_word(before[..word_at].trim_end_matches(is_blank)).1;
    let (span, typed) = (Span::new(word_at, end), word.to_owned());
    if previous.eq_ignore_ascii_case("into") {
        return Slot::Into { span, typed };
    }
    Slot::PhaseTail {
        span,
        typed,
        premix,
    }
}

fn field(text: &str, start: usize, at: usize) -> Option<Slot> {
    let typed = &text[start..at];
    let Some(colon) = typed.find(':') else {
        let end = text[at..].find(':').map_or(word_end(text, at), |n| at + n);
        return Some(Slot::FieldKey {
            span: Span::new(start, end),
            typed: typed.to_owned(),
        });
    };
    let key = typed[..colon]
        .trim()
        .to_lowercase()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let value = &typed[colon + 1..];
    // Lists are parted by commas; the last item is being written.
    let item = value
        .rfind([',', ';'])
        .map_or(value, |c| &value[c + 1..])
        .trim_start_matches(is_blank);
    let rest = &text[at..];
    let end = rest.find([',', ';', '#']).unwrap_or(rest.len());
    Some(Slot::FieldValue {
        span: Span::new(at - item.len(), at + rest[..end].trim_end().len()),
        typed: item.to_owned(),
        key,
    })
}

fn row(text: &str, node: &Node, start: usize, at: usize) -> Option<Slot> {
    let typed = &text[start..at];
    if let Some(file) = typed.strip_prefix(['"', '\u{201C}', '\u{201E}']) {
        let file_at = at - file.len();
        return match file.find(['"', '\u{201D}', '\u{201C}']) {
            None => {
                let end = text[at..]
                    .find(['"', '\u{201D}'])
                    .map_or(text.trim_end().len().max(at), |n| at + n);
                Some(Slot::File {
                    span: Span::new(file_at, end),
                    typed: file.to_owned(),
                })
            }
            Some(close) => {
                let after = file[close..].trim_start_matches(['"', '\u{201D}', '\u{201C}']);
                amount_slot(after, &file[..close], at)
            }
        };
    }
    if let Some(purpose) = purpose(typed, at) {
        return Some(purpose);
    }
    if let Some((name, tail)) = parted(typed) {
        return amount_slot(tail, name, at);
    }
    let (end, open) = match node {
        Node::Row(r) if r.name.span.contains(at) => {
            let end = (r.name.span.end as usize).max(at);
            (
                end,
                text[end..].trim().is_empty() || text[end..].trim_start().starts_with('#'),
            )
        }
        _ => (at, text[at..].trim().is_empty()),
    };
    Some(Slot::Name {
        span: Span::new(start, end),
        typed: typed.to_owned(),
        open,
    })
}

/// `phenoxyethanol  0.9 % as pr`.
fn purpose(typed: &str, at: usize) -> Option<Slot> {
    let found = typed.rfind(" as ")?;
    let amount = typed[..found].trim_end();
    let ends = amount.ends_with(['%', '.']) || amount.ends_with(" g") || amount.ends_with("parts");
    let word = typed[found + 4..].trim_start_matches(is_blank);
    ends.then(|| Slot::Purpose {
        span: Span::new(at - word.len(), at),
        typed: word.to_owned(),
    })
}

/// A name and what is typed of its amount: behind two blanks or a tab, or behind a number and a blank.
fn parted(typed: &str) -> Option<(&str, &str)> {
    let gap = typed
        .rfind("  ")
        .map(|g| g + 2)
        .into_iter()
        .chain(typed.rfind('\t').map(|g| g + 1))
        .max();
    if let Some(tail_at) = gap.filter(|g| !typed[..*g].trim().is_empty()) {
        return Some((typed[..tail_at].trim(), &typed[tail_at..]));
    }
    // `glycerin 5 m`: a number stands before what is typed.
    let (word_at, _) = last_word(typed);
    let head = typed[..word_at].trim_end_matches(is_blank);
    let (number_at, number) = last_word(head);
    let figure = number.starts_with(|c: char| c.is_ascii_digit())
        && number
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    let name = head[..number_at].trim();
    (figure && !name.is_empty() && word_at > 0).then_some((name, &typed[number_at..]))
}

fn amount_slot(tail: &str, name: &str, at: usize) -> Option<Slot> {
    let tail = tail.trim_start_matches(is_blank);
    Some(Slot::Amount {
        span: Span::new(at - tail.len(), at),
        typed: tail.to_owned(),
        name: name.to_owned(),
    })
}

fn step(text: &str, start: usize, at: usize) -> Slot {
    let typed = &text[start..at];
    let part = typed
        .rfind(',')
        .map(|c| c + 1)
        .into_iter()
        .chain(typed.rfind(" then ").map(|c| c + 6))
        .max()
        .unwrap_or(0);
    let clause = typed[part..].trim_start_matches(is_blank);
    if !clause.contains(is_blank) {
        return Slot::Verb {
            span: Span::new(at - clause.len(), word_end(text, at)),
            typed: clause.to_owned(),
        };
    }
    Slot::Clause {
        span: Span::new(at - clause.len(), word_end(text, at)),
        typed: clause.to_owned(),
    }
}

/// `glycerin 4`: a name that is typed in full, and the beginning of an amount behind a blank.
pub fn known_with_amount<'t>(
    typed: &'t str,
    known: &dyn Fn(&str) -> bool,
) -> Option<(&'t str, &'t str)> {
    let (word_at, word) = last_word(typed);
    let name = typed[..word_at].trim_end_matches(is_blank);
    let digits = word.starts_with(|c: char| c.is_ascii_digit());
    ((word.is_empty() || digits) && word_at > 0 && known(name)).then_some((name, word))
}

fn weighed(text: &str, node: &Node, start: usize, at: usize) -> Option<Slot> {
    let typed = &text[start..at];
    let (word_at, word) = last_word(typed);
    if last_word(typed[..word_at].trim_end_matches(is_blank))
        .1
        .eq_ignore_ascii_case("lot")
    {
        return Some(Slot::Lot {
            span: Span::new(start + word_at, at),
            typed: word.to_owned(),
        });
    }
    if typed.contains("  ") {
        return None;
    }
    let end = match node {
        Node::Weighed(w) if w.name.span.contains(at) => (w.name.span.end as usize).max(at),
        _ => at,
    };
    Some(Slot::Name {
        span: Span::new(start, end),
        typed: typed.to_owned(),
        open: false,
    })
}
