//! The text of an open file as a rope: edits in place, positions as editors count them, cheap snapshots by `clone`.

use ropey::{Rope, RopeSlice};
use std::borrow::Cow;
use std::fmt;
use std::ops::Range;

/// What an editor counts columns in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Encoding {
    Utf8,
    /// What editors speak unless another is agreed.
    #[default]
    Utf16,
    /// Unicode scalar values.
    Utf32,
}

impl Encoding {
    /// How long `text` is in it.
    pub fn width(self, text: &str) -> usize {
        match self {
            Encoding::Utf8 => text.len(),
            _ if text.is_ascii() => text.len(),
            Encoding::Utf16 => text.chars().map(char::len_utf16).sum(),
            Encoding::Utf32 => text.chars().count(),
        }
    }

    /// The byte of `text` at a column; behind its end the end, within a character its beginning.
    pub fn byte(self, text: &str, column: usize) -> usize {
        let mut left = column;
        for (at, c) in text.char_indices() {
            let width = self.char_width(c);
            if left < width {
                return at;
            }
            left -= width;
        }
        text.len()
    }

    fn char_width(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
            Encoding::Utf32 => 1,
        }
    }
}

/// A line and a column, both from 0, the column in some [`Encoding`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Position {
    pub line: u32,
    pub column: u32,
}

impl Position {
    pub fn new(line: u32, column: u32) -> Self {
        Position { line, column }
    }
}

/// Which lines an edit has touched: `old` as they were counted before, `new` as they are now. What lies before and
/// behind is the same but for its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Change {
    pub old: Range<usize>,
    pub new: Range<usize>,
}

/// The text of a file. Lines end in LF, CR LF or CR. A byte order mark is kept, and is part of the first line.
#[derive(Clone, Debug, Default)]
pub struct Document {
    rope: Rope,
}

impl Document {
    pub fn new(text: &str) -> Self {
        Document {
            rope: Rope::from_str(text),
        }
    }

    /// Bytes of the whole text.
    pub fn len(&self) -> usize {
        self.rope.len_bytes()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// At least one; behind a last break stands an empty line.
    pub fn line_count(&self) -> usize {
        self.rope.len_lines()
    }

    /// Line `n` without its break.
    pub fn line(&self, n: usize) -> Option<Cow<'_, str>> {
        let line = self.rope.get_line(n)?;
        Some(text_of(line.byte_slice(..body_len(line))))
    }

    /// Where line `n` begins; behind the last line, the end of the text.
    pub fn line_start(&self, n: usize) -> usize {
        if n >= self.line_count() {
            self.len()
        } else {
            self.rope.line_to_byte(n)
        }
    }

    /// The line that holds byte `offset`.
    pub fn line_of(&self, offset: usize) -> usize {
        self.rope.byte_to_line(offset.min(self.len()))
    }

    /// The text of some lines, breaks included.
    pub fn lines(&self, lines: Range<usize>) -> String {
        self.slice(self.line_start(lines.start)..self.line_start(lines.end))
    }

    /// The text of a range of bytes, clamped to what there is.
    pub fn slice(&self, range: Range<usize>) -> String {
        let (start, end) = self.clamp(range);
        self.rope.byte_slice(start..end).to_string()
    }

    /// Line and column of a byte. Every byte has one: behind the end that of the end, within a character that of its beginning,
    /// within a line break that of the end of the line.
    pub fn position(&self, offset: usize, encoding: Encoding) -> Position {
        let offset = self.floor(offset);
        let n = self.line_of(offset);
        let line = self.rope.line(n);
        let byte = (offset - self.line_start(n)).min(body_len(line));
        let before = line.byte_slice(..byte);
        let column = match encoding {
            Encoding::Utf8 => before.len_bytes(),
            Encoding::Utf16 => before.len_utf16_cu(),
            Encoding::Utf32 => before.len_chars(),
        };
        Position {
            line: to_u32(n),
            column: to_u32(column),
        }
    }

    /// The byte of a position. Every position has one: behind the last line the end of the text, behind a line's end its
    /// end, within a character its beginning.
    pub fn offset(&self, position: Position, encoding: Encoding) -> usize {
        let n = position.line as usize;
        let Some(line) = self.rope.get_line(n) else {
            return self.len();
        };
        let body = line.byte_slice(..body_len(line));
        let column = position.column as usize;
        let byte = match encoding {
            Encoding::Utf8 if column >= body.len_bytes() => body.len_bytes(),
            Encoding::Utf8 => body.char_to_byte(body.byte_to_char(column)),
            Encoding::Utf16 if column >= body.len_utf16_cu() => body.len_bytes(),
            Encoding::Utf16 => body.char_to_byte(body.utf16_cu_to_char(column)),
            Encoding::Utf32 => body.char_to_byte(column.min(body.len_chars())),
        };
        self.line_start(n) + byte
    }

    /// Puts `text` in place of a range of bytes.
    pub fn edit(&mut self, range: Range<usize>, text: &str) -> Change {
        let (start, end) = self.clamp(range);
        let old_count = self.line_count();
        // A lone CR before the edit may marry a LF that the edit brings behind it.
        let after_cr = start > 0 && self.rope.byte(start - 1) == b'\r';
        let first = if after_cr {
            self.line_of(start - 1)
        } else {
            self.line_of(start)
        };
        let old_end = self.line_of(end) + 1;
        let (from, to) = (self.rope.byte_to_char(start), self.rope.byte_to_char(end));
        if from < to {
            self.rope.remove(from..to);
        }
        if !text.is_empty() {
            self.rope.insert(from, text);
        }
        let new_end = self.line_count() - (old_count - old_end);
        Change {
            old: first..old_end,
            new: first..new_end,
        }
    }

    /// The same between two positions, in either order.
    pub fn edit_between(
        &mut self,
        start: Position,
        end: Position,
        encoding: Encoding,
        text: &str,
    ) -> Change {
        let a = self.offset(start, encoding);
        let b = if end == start {
            a
        } else {
            self.offset(end, encoding)
        };
        self.edit(a.min(b)..a.max(b), text)
    }

    /// Puts a whole new text in place of the old.
    pub fn replace(&mut self, text: &str) -> Change {
        let old = 0..self.line_count();
        *self = Document::new(text);
        Change {
            old,
            new: 0..self.line_count(),
        }
    }

    fn clamp(&self, range: Range<usize>) -> (usize, usize) {
        let start = self.floor(range.start);
        (start, self.floor(range.end).max(start))
    }

    /// The beginning of the character that holds a byte.
    fn floor(&self, offset: usize) -> usize {
        let offset = offset.min(self.len());
        self.rope.char_to_byte(self.rope.byte_to_char(offset))
    }
}

impl fmt::Display for Document {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.rope.chunks().try_for_each(|chunk| f.write_str(chunk))
    }
}

impl From<&str> for Document {
    fn from(text: &str) -> Self {
        Document::new(text)
    }
}

impl PartialEq for Document {
    fn eq(&self, other: &Self) -> bool {
        self.rope == other.rope
    }
}

impl Eq for Document {}

/// Bytes of a line before its break.
fn body_len(line: RopeSlice<'_>) -> usize {
    let len = line.len_bytes();
    let byte = |back: usize| len.checked_sub(back).map(|at| line.byte(at));
    match (byte(2), byte(1)) {
        (Some(b'\r'), Some(b'\n')) => len - 2,
        (_, Some(b'\n' | b'\r')) => len - 1,
        _ => len,
    }
}

fn text_of(slice: RopeSlice<'_>) -> Cow<'_, str> {
    slice.into()
}

fn to_u32(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
