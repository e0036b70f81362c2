//! Places as the world outside counts them: lines and columns from 1, columns in Unicode scalar values, ends exclusive.

use super::report::{Report, SourceText};
use crate::cli::files;
use crate::rules::{Edit, Related};
use crate::text::Place;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    pub line: u32,
    pub column: u32,
    pub end_line: u32,
    pub end_column: u32,
}

pub fn region(source: &SourceText, place: Place) -> Region {
    let text = source.line(place.line);
    Region {
        line: place.line + 1,
        column: column(text, place.span.start),
        end_line: place.line + 1,
        end_column: column(text, place.span.end),
    }
}

/// What an edit replaces. Behind the last line stands for its end.
pub fn edited(source: &SourceText, edit: &Edit) -> Region {
    let (line, column) = point(source, edit.start);
    let (end_line, end_column) = point(source, edit.end);
    Region {
        line,
        column,
        end_line,
        end_column,
    }
}

fn point(source: &SourceText, (line, byte): (u32, u32)) -> (u32, u32) {
    match source.count() {
        count if line >= count && count > 0 => (count, column(source.line(count - 1), u32::MAX)),
        _ => (line + 1, column(source.line(line), byte)),
    }
}

/// Path, line and column of something related; it may lie in another file.
pub fn related(report: &Report, r: &Related) -> (String, u32, u32) {
    match &r.path {
        None => {
            let at = region(&report.source, r.place);
            (report.shown(), at.line, at.column)
        }
        Some(path) => {
            let text = files::read(path).unwrap_or_default();
            let line = text.lines().nth(r.place.line as usize).unwrap_or_default();
            (
                files::shown(&files::tidy(path)),
                r.place.line + 1,
                column(line, r.place.span.start),
            )
        }
    }
}

/// The column (from 1) of a byte.
fn column(line: &str, byte: u32) -> u32 {
    1 + line
        .char_indices()
        .take_while(|(at, _)| *at < byte as usize)
        .count() as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Span;

    #[test]
    fn columns_count_characters_and_ends_are_exclusive() {
        let source = SourceText::Lines(vec!["  pépin 5 %".into(), "last".into()]);
        let at = region(
            &source,
            Place {
                line: 0,
                span: Span { start: 2, end: 8 },
            },
        );
        assert_eq!(
            at,
            Region {
                line: 1,
                column: 3,
                end_line: 1,
                end_column: 8
            }
        );
    }

    #[test]
    fn deleting_the_last_line_ends_at_its_end() {
        let source = SourceText::Lines(vec!["first".into(), "last".into()]);
        let at = edited(&source, &Edit::delete_line(1));
        assert_eq!(
            at,
            Region {
                line: 2,
                column: 1,
                end_line: 2,
                end_column: 5
            }
        );
        let at = edited(&source, &Edit::delete_line(0));
        assert_eq!(
            at,
            Region {
                line: 1,
                column: 1,
                end_line: 2,
                end_column: 1
            }
        );
    }
}
