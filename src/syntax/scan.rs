//! The hand-written scans that come before the grammar: blanks, words, quotes, comments.

use crate::text::Span;

/// A piece of a line and the byte at which it begins there.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    pub text: &'a str,
    pub at: usize,
}

impl<'a> Part<'a> {
    pub fn new(text: &'a str, at: usize) -> Self {
        Part { text, at }
    }

    pub fn span(self) -> Span {
        Span::new(self.at, self.at + self.text.len())
    }

    pub fn is_empty(self) -> bool {
        self.text.is_empty()
    }

    /// From byte `start` of the part to its end.
    pub fn from(self, start: usize) -> Part<'a> {
        Part::new(&self.text[start..], self.at + start)
    }

    pub fn to(self, end: usize) -> Part<'a> {
        Part::new(&self.text[..end], self.at)
    }

    pub fn slice(self, start: usize, end: usize) -> Part<'a> {
        Part::new(&self.text[start..end], self.at + start)
    }

    /// Without the blanks around it.
    pub fn trim(self) -> Part<'a> {
        let start = self.text.len() - self.text.trim_start_matches(is_blank).len();
        let text = self.text[start..].trim_end_matches(is_blank);
        Part::new(text, self.at + start)
    }

    pub fn trim_end(self) -> Part<'a> {
        Part::new(self.text.trim_end_matches(is_blank), self.at)
    }

    /// The words, parted by blanks, with where each begins inside the part.
    pub fn words(self) -> Words<'a> {
        Words {
            rest: self.text,
            at: 0,
        }
    }

    /// The first word.
    pub fn first_word(self) -> &'a str {
        self.words().next().map_or("", |(_, w)| w)
    }
}

pub struct Words<'a> {
    rest: &'a str,
    at: usize,
}

impl<'a> Iterator for Words<'a> {
    type Item = (usize, &'a str);

    fn next(&mut self) -> Option<(usize, &'a str)> {
        let start = run(self.rest, true);
        let rest = &self.rest[start..];
        if rest.is_empty() {
            return None;
        }
        let len = run(rest, false);
        let at = self.at + start;
        self.at = at + len;
        self.rest = &rest[len..];
        Some((at, &rest[..len]))
    }
}

/// How many bytes of blanks, or of what is none, the text begins with.
fn run(text: &str, blanks: bool) -> usize {
    let bytes = text.as_bytes();
    let mut at = 0;
    while let Some(&b) = bytes.get(at) {
        let (blank, len) = match b {
            b' ' | b'\t' => (true, 1),
            0..0x80 => (false, 1),
            _ => text[at..]
                .chars()
                .next()
                .map_or((false, 1), |c| (is_blank(c), c.len_utf8())),
        };
        if blank != blanks {
            break;
        }
        at += len;
    }
    at
}

/// Blanks that keyboards and word processors put between words.
pub fn is_blank(c: char) -> bool {
    matches!(
        c,
        ' ' | '\t' | '\u{A0}' | '\u{2007}' | '\u{2009}' | '\u{202F}' | '\u{3000}'
    )
}

/// A quote that opens or closes: straight, or as a word processor sets it.
pub fn is_quote(c: char) -> bool {
    matches!(c, '"' | '\u{201C}' | '\u{201D}' | '\u{201E}')
}

/// A quoted text at the beginning of the part.
pub struct Quoted<'a> {
    /// Between the quotes.
    pub inner: Part<'a>,
    /// What follows the closing quote.
    pub rest: Part<'a>,
    /// False where the closing quote is missing; the text then runs to the end.
    pub closed: bool,
}

pub fn quoted(part: Part<'_>) -> Option<Quoted<'_>> {
    let open = part.text.chars().next().filter(|&c| is_quote(c))?;
    let start = open.len_utf8();
    let body = part.from(start);
    Some(match body.text.char_indices().find(|&(_, c)| is_quote(c)) {
        Some((end, close)) => Quoted {
            inner: body.to(end),
            rest: body.from(end + close.len_utf8()),
            closed: true,
        },
        None => Quoted {
            inner: body.trim_end(),
            rest: body.from(body.text.len()),
            closed: false,
        },
    })
}

/// Where the comment of a line begins: a `#` at the start or after a blank, not directly before a digit and not
/// inside quotes. A quote that is never closed guards nothing.
pub fn comment_start(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut from = 0;
    while let Some(found) = bytes[from..].iter().position(|&b| b == b'#') {
        let at = from + found;
        let after_blank = text[..at].chars().next_back().is_none_or(is_blank);
        let before_digit = bytes.get(at + 1).is_some_and(u8::is_ascii_digit);
        if after_blank && !before_digit && !inside_quotes(text, at) {
            return Some(at);
        }
        from = at + 1;
    }
    None
}

fn inside_quotes(text: &str, at: usize) -> bool {
    let open = text[..at].chars().filter(|&c| is_quote(c)).count() % 2 == 1;
    open && text[at..].chars().any(is_quote)
}

/// Case aside, ASCII alone.
pub fn same(a: &str, b: &str) -> bool {
    a.eq_ignore_ascii_case(b)
}

/// The byte after `prefix`, case aside, if the text begins with it.
pub fn strip_prefix<'a>(text: &'a str, prefix: &str) -> Option<&'a str> {
    let head = text.get(..prefix.len())?;
    same(head, prefix).then(|| &text[prefix.len()..])
}
