//! A line of the file as it is shown: made safe for a terminal, cut to its width around what is marked.

use crate::text::Span;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

#[derive(Debug, PartialEq, Eq)]
pub struct Excerpt {
    pub text: String,
    /// Columns before the mark, and columns that it takes.
    pub before: usize,
    pub marks: usize,
}

/// The line with its mark, at most `width` columns wide.
pub fn excerpt(line: &str, span: Span, width: usize) -> Excerpt {
    let line = line.trim_end();
    let at = |byte: u32| {
        let mut byte = (byte as usize).min(line.len());
        while !line.is_char_boundary(byte) {
            byte -= 1;
        }
        byte
    };
    let (start, end) = (at(span.start), at(span.end.max(span.start)));
    let (before, marked, after) = (
        clean(&line[..start]),
        clean(&line[start..end]),
        clean(&line[end..]),
    );
    let room = width.max(20);
    let marks = marked.width().max(1);
    if before.width() + marked.width() + after.width() <= room {
        return Excerpt {
            before: before.width(),
            marks,
            text: before + &marked + &after,
        };
    }
    // What is marked comes first; a third of the rest may stand before it.
    let marked = head(&marked, room - 2);
    let left = room - 2 - marked.width().min(room - 2);
    let keep = before
        .width()
        .min((left / 3).max(left.saturating_sub(after.width())));
    let cut = tail(&before, keep);
    let before = if cut.len() < before.len() {
        format!("…{cut}")
    } else {
        before
    };
    let rest = (room - 1).saturating_sub(before.width() + marked.width());
    let shown = head(&after, rest);
    let more = if shown.len() < after.len() { "…" } else { "" };
    Excerpt {
        before: before.width(),
        marks: marked.width().max(1),
        text: format!("{before}{marked}{shown}{more}"),
    }
}

/// Tabs become blanks; what could steer a terminal becomes visible.
pub fn clean(text: &str) -> String {
    let steers =
        |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    // Most texts hold nothing of the kind.
    if !text.contains(steers) {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\t' => out.push_str("  "),
            '\n' | '\r' => out.push(' '),
            c if steers(c) => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// The beginning of a text, at most so wide.
fn head(text: &str, width: usize) -> &str {
    let mut used = 0;
    let end = text.char_indices().find(|(_, c)| {
        used += c.width().unwrap_or(0);
        used > width
    });
    &text[..end.map_or(text.len(), |(at, _)| at)]
}

/// The end of a text, at most so wide.
fn tail(text: &str, width: usize) -> &str {
    let mut used = 0;
    let start = text.char_indices().rev().take_while(|(_, c)| {
        used += c.width().unwrap_or(0);
        used <= width
    });
    &text[start.last().map_or(text.len(), |(at, _)| at)..]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_stand_under_what_they_mean() {
        let line = "\tpépin 水 oil   5 %  ";
        let start = line.find("oil").unwrap_or_default();
        let e = excerpt(line, Span::new(start, start + 3), 80);
        assert_eq!(
            e,
            Excerpt {
                text: "  pépin 水 oil   5 %".into(),
                before: 11,
                marks: 3
            }
        );
    }

    #[test]
    fn nothing_marked_is_one_mark_and_a_wild_span_is_tamed() {
        assert_eq!(excerpt("water", Span::new(5, 5), 80).marks, 1);
        let e = excerpt("é", Span { start: 1, end: 90 }, 80);
        assert_eq!((e.before, e.marks), (0, 1));
    }

    #[test]
    fn a_long_line_is_cut_around_its_mark() {
        let line = format!("{}HERE{}", "a".repeat(300), "b".repeat(300));
        let e = excerpt(&line, Span::new(300, 304), 60);
        assert!(e.text.width() <= 60, "{}", e.text.width());
        assert!(e.text.starts_with('…') && e.text.ends_with('…'));
        let marked: String = e.text.chars().skip(e.before).take(e.marks).collect();
        assert_eq!(marked, "HERE");
    }

    #[test]
    fn escapes_do_not_reach_the_terminal() {
        assert_eq!(clean("a\u{1b}[31mb\u{202e}c"), "a\u{fffd}[31mb\u{fffd}c");
    }
}
