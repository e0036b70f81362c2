//! Between the core's places (line, byte) and the client's positions; between URIs and paths.

use crate::rules::Edit;
use crate::syntax::Tree;
use crate::text::{self, Document, Encoding, Place};
use std::path::{Path, PathBuf};
use tower_lsp::gen_lsp_types::{MarkupContent, MarkupKind, Position, Range, TextEdit, Uri};
use url::Url;

/// A byte order mark is part of the first line for editors, and no part of it for the core.
const BOM: char = '\u{FEFF}';

/// Turns places of one text into positions of one encoding.
#[derive(Clone, Copy)]
pub struct Converter<'a> {
    pub text: &'a Document,
    pub encoding: Encoding,
    /// The lines as they were read from this very text, where there are such: they are at hand in one piece.
    pub tree: Option<&'a Tree>,
}

impl Converter<'_> {
    /// How many bytes of the mark stand before what the core takes for the line.
    fn mark(line: u32, text: &str) -> usize {
        if line == 0 && text.starts_with(BOM) {
            BOM.len_utf8()
        } else {
            0
        }
    }

    /// A byte behind the end of a line stands for its end, a line behind the last for the end of the text.
    pub fn position(&self, line: u32, byte: u32) -> Position {
        match self.text.line(line as usize) {
            Some(text) => self.within(line, &text, byte),
            None => self.at(self.text.len()),
        }
    }

    fn within(&self, line: u32, text: &str, byte: u32) -> Position {
        let byte = (Self::mark(line, text) + byte as usize).min(text.len());
        let before = text
            .get(..byte)
            .unwrap_or_else(|| &text[..floor(text, byte)]);
        Position {
            line,
            character: self.encoding.width(before) as u32,
        }
    }

    fn at(&self, offset: usize) -> Position {
        let at = self.text.position(offset, self.encoding);
        Position {
            line: at.line,
            character: at.column,
        }
    }

    /// Bytes of the whole text.
    pub fn byte_range(&self, bytes: std::ops::Range<usize>) -> Range {
        Range {
            start: self.at(bytes.start),
            end: self.at(bytes.end),
        }
    }

    pub fn range(&self, place: Place) -> Range {
        if let Some(at) = self
            .tree
            .and_then(|tree| tree.lines.get(place.line as usize))
            .filter(|_| place.line > 0)
        {
            let ends = [place.span.start, place.span.end]
                .map(|byte| self.within(place.line, &at.line.text, byte));
            return Range {
                start: ends[0],
                end: ends[1],
            };
        }
        let Some(text) = self.text.line(place.line as usize) else {
            let end = self.at(self.text.len());
            return Range { start: end, end };
        };
        Range {
            start: self.within(place.line, &text, place.span.start),
            end: self.within(place.line, &text, place.span.end),
        }
    }

    /// From the beginning of one line to the end of another.
    pub fn line_range(&self, first: u32, last: u32) -> Range {
        Range {
            start: self.position(first, 0),
            end: self.position(last, u32::MAX),
        }
    }

    /// Line and byte of a position; every position has one.
    pub fn to_line_byte(self, at: Position) -> (u32, u32) {
        let offset = self
            .text
            .offset(text::Position::new(at.line, at.character), self.encoding);
        let line = self.text.line_of(offset);
        let mark = self
            .text
            .line(line)
            .map_or(0, |text| Self::mark(line as u32, &text));
        (
            line as u32,
            offset.saturating_sub(self.text.line_start(line) + mark) as u32,
        )
    }

    pub fn edits(&self, edits: &[Edit]) -> Vec<TextEdit> {
        let line_break = text::first_break(&self.text.lines(0..1));
        edits
            .iter()
            .map(|e| TextEdit {
                range: Range {
                    start: self.position(e.start.0, e.start.1),
                    end: self.position(e.end.0, e.end.1),
                },
                new_text: text::with_breaks(&e.text, line_break).into_owned(),
            })
            .collect()
    }
}

/// The beginning of the character that holds a byte.
fn floor(text: &str, byte: usize) -> usize {
    (0..=byte)
        .rev()
        .find(|at| text.is_char_boundary(*at))
        .unwrap_or(0)
}

/// The path of a `file:` URI.
pub fn path_of(uri: &str) -> Option<PathBuf> {
    let uri = Url::parse(uri).ok()?;
    if uri.scheme() == "file" {
        uri.to_file_path().ok()
    } else {
        None
    }
}

pub fn uri_of(path: &Path) -> Option<Uri> {
    Url::from_file_path(path).ok().map(|url| Uri(url.into()))
}

/// Markdown as the client shows it.
pub fn markup(markdown: String, wanted: bool) -> MarkupContent {
    if wanted {
        MarkupContent {
            kind: MarkupKind::Markdown,
            value: markdown,
        }
    } else {
        MarkupContent {
            kind: MarkupKind::PlainText,
            value: markdown_to_plaintext(&markdown),
        }
    }
}

/// Markdown for a client that shows plain text: the same words without the marks.
pub fn markdown_to_plaintext(markdown: &str) -> String {
    let mut out = String::with_capacity(markdown.len());
    for line in markdown.lines() {
        let line = line
            .trim_start_matches('#')
            .replace("**", "")
            .replace('`', "");
        let line = if markdown.lines().any(|l| l.starts_with('#')) {
            line.trim_start_matches(' ').to_owned()
        } else {
            line
        };
        out.push_str(unlinked(&line).trim_end());
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out
}

/// `[words](address)` as `words`.
fn unlinked(line: &str) -> String {
    let mut out = String::new();
    let mut rest = line;
    while let Some(open) = rest.find('[') {
        let Some((words, after)) = rest[open + 1..].split_once("](") else {
            break;
        };
        let Some((_, after)) = after.split_once(')').filter(|_| !words.contains('[')) else {
            break;
        };
        out.push_str(&rest[..open]);
        out.push_str(words);
        rest = after;
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Span;

    #[test]
    fn the_byte_order_mark_counts_for_the_editor_only() {
        let text = Document::new("\u{FEFF}é🧴 water  5 %\r\nx");
        for (encoding, bom, start, end) in [
            (Encoding::Utf8, 3, 10, 15),
            (Encoding::Utf16, 1, 5, 10),
            (Encoding::Utf32, 1, 4, 9),
        ] {
            let c = Converter {
                text: &text,
                encoding,
                tree: None,
            };
            let place = Place {
                line: 0,
                span: Span::new(7, 12),
            };
            let range = c.range(place);
            assert_eq!(
                (range.start.character, range.end.character),
                (start, end),
                "{encoding:?}"
            );
            assert_eq!(c.to_line_byte(range.start), (0, 7));
            assert_eq!(c.position(0, 0).character, bom);
            assert_eq!(c.to_line_byte(Position::default()), (0, 0));
            assert_eq!(
                c.to_line_byte(Position {
                    line: 9,
                    character: 9
                }),
                (1, 1)
            );
        }
    }

    #[test]
    fn edits_take_the_line_breaks_of_the_text() {
        let text = Document::new("a\r\nb\r\n");
        let c = Converter {
            text: &text,
            encoding: Encoding::Utf16,
            tree: None,
        };
        let edits = c.edits(&[Edit::insert_before(1, "c\n"), Edit::delete_line(1)]);
        assert_eq!(edits[0].new_text, "c\r\n");
        assert_eq!(
            (edits[1].range.start, edits[1].range.end),
            (
                Position {
                    line: 1,
                    character: 0
                },
                Position {
                    line: 2,
                    character: 0
                }
            )
        );
    }

    #[cfg(unix)]
    #[test]
    fn odd_uris_have_their_path() {
        for (uri, path) in [
            ("file:///a%20b/c.formula", "/a b/c.formula"),
            ("file:///a b/c.formula", "/a b/c.formula"),
            ("file:///a/[1]^.formula", "/a/[1]^.formula"),
            ("file:///a%3Ab/%C3%A9.formula", "/a:b/é.formula"),
        ] {
            assert_eq!(path_of(uri).as_deref(), Some(Path::new(path)), "{uri}");
        }
        assert_eq!(path_of("untitled:Untitled-1"), None);
        assert_eq!(path_of("no uri at all"), None);
    }

    #[test]
    fn plain_text_keeps_the_words() {
        assert_eq!(
            markdown_to_plaintext("## Water\n\n- **phase** `A`\n- see [the page](x.md) now\n"),
            "Water\n\n- phase A\n- see the page now"
        );
    }
}
