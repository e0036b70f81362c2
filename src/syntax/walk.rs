//! Ways through a tree.

use super::file::{is_stray_row, is_stray_step};
use super::line;
use super::measure::syntax;
use super::tree::{
    FileKind, Heading, Line, LineFix, Node, PhaseHeading, Row, Section, SectionKind, SyntaxError,
    Tree,
};
use super::words;
use crate::text::{Place, Span};
use std::borrow::Cow;
use std::ops::Range;

impl Tree {
    pub fn line(&self, n: usize) -> Option<&Line> {
        self.lines.get(n).map(|l| &*l.line)
    }

    /// Bytes of the whole file, without a break behind the last line (there is none).
    pub fn len(&self) -> usize {
        self.lines.last().map_or(0, |l| l.start + l.line.text.len())
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The section that line `n` stands in.
    pub fn section_of(&self, n: usize) -> Option<&Section> {
        let at = self.sections.partition_point(|s| s.end as usize <= n);
        self.sections.get(at).filter(|s| s.first as usize <= n)
    }

    /// The line that holds byte `offset`; behind the end, the last.
    pub fn line_at(&self, offset: usize) -> usize {
        self.lines
            .partition_point(|l| l.start <= offset)
            .saturating_sub(1)
    }

    /// Line and byte inside it. Within a line break it is the end of the line.
    pub fn position(&self, offset: usize) -> (usize, usize) {
        let n = self.line_at(offset);
        match self.lines.get(n) {
            Some(l) => (n, offset.saturating_sub(l.start).min(l.line.text.len())),
            None => (0, 0),
        }
    }

    /// Byte in the file of a byte inside a line; clamped to the line.
    pub fn offset(&self, line: usize, byte: usize) -> usize {
        match self.lines.get(line) {
            Some(l) => l.start + byte.min(l.line.text.len()),
            None => self.len(),
        }
    }

    /// A place as bytes of the file.
    pub fn range(&self, place: Place) -> Range<usize> {
        let line = place.line as usize;
        self.offset(line, place.span.start as usize)..self.offset(line, place.span.end as usize)
    }

    /// Lines of a section, each with its number.
    pub fn lines_of(&self, section: &Section) -> impl Iterator<Item = (u32, &Line)> {
        let lines = self
            .lines
            .get(section.first as usize..section.end as usize)
            .unwrap_or(&[]);
        (section.first..).zip(lines.iter().map(|l| &*l.line))
    }

    /// Sections of a kind.
    pub fn sections_of(&self, kind: SectionKind) -> impl Iterator<Item = &Section> {
        self.sections.iter().filter(move |s| s.kind == kind)
    }

    /// Phases and premixes in file order, each with its heading where one can be read.
    pub fn phases(&self) -> impl Iterator<Item = (&Section, Option<&PhaseHeading>)> {
        self.sections
            .iter()
            .filter(|s| matches!(s.kind, SectionKind::Phase | SectionKind::Premix))
            .map(|s| (s, self.phase_heading(s)))
    }

    /// The heading of a phase or premix.
    pub fn phase_heading(&self, section: &Section) -> Option<&PhaseHeading> {
        match &self.line(section.heading? as usize)?.node {
            Node::Heading(Heading::Phase(h) | Heading::Premix(h)) => Some(h),
            _ => None,
        }
    }

    /// All rows of the file with their line and section.
    pub fn rows(&self) -> impl Iterator<Item = (u32, &Row, &Section)> {
        self.sections.iter().flat_map(move |s| {
            self.lines_of(s)
                .filter_map(move |(n, line)| match &line.node {
                    Node::Row(row) => Some((n, row, s)),
                    _ => None,
                })
        })
    }

    /// Every error of the file: those of lines, and those that only the whole file shows. In file order.
    pub fn errors(&self) -> impl Iterator<Item = (u32, Cow<'_, SyntaxError>)> {
        let mut whole = self.file_errors();
        whole.sort_by_key(|(n, _)| *n);
        let mut whole = whole.into_iter().peekable();
        self.lines.iter().enumerate().flat_map(move |(n, l)| {
            let n = n as u32;
            let mut out: Vec<(u32, Cow<'_, SyntaxError>)> = l
                .line
                .errors
                .iter()
                .map(|e| (n, Cow::Borrowed(e)))
                .collect();
            while let Some((_, error)) = whole.next_if(|(at, _)| *at == n) {
                out.push((n, Cow::Owned(error)));
            }
            out
        })
    }

    /// True if a line says the same once `fix` is applied, in the same letters and digits, with less wrong in it.
    pub fn fix_keeps_meaning(&self, line: usize, fix: &LineFix) -> bool {
        let Some(old) = self.line(line) else {
            return false;
        };
        let before = line.checked_sub(1).and_then(|n| self.line(n));
        let before = before.map_or(SectionKind::Top, |l| l.section);
        let Some(head) = old.text.get(..fix.span.start as usize) else {
            return false;
        };
        let Some(tail) = old.text.get(fix.span.end as usize..) else {
            return false;
        };
        let letters =
            |text: &str| -> String { text.chars().filter(|c| c.is_alphanumeric()).collect() };
        if letters(&fix.text) != letters(old.text_of(fix.span)) {
            return false;
        }
        let new = line::read(self.kind, before, &[head, &fix.text, tail].concat());
        !fix.text.contains('\n') && new.errors.len() < old.errors.len() && old.says_as(&new)
    }

    /// What is wrong with the file and with no line of it alone; said once.
    pub fn file_errors(&self) -> Vec<(u32, SyntaxError)> {
        let mut out = Vec::new();
        out.extend(self.first_heading_missing());
        if self.strays > 0 {
            out.extend(self.first(
                is_stray_row,
                "this ingredient stands in no phase\nPut a line such as \"phase A\" above it",
                "phase A",
            ));
            out.extend(self.first(
                is_stray_step,
                "this reads as a step, and the heading \"method\" is missing\nPut the heading above it",
                "method",
            ));
        }
        out
    }

    /// The first line of which `is` holds, with a message and the heading to put above it.
    fn first(
        &self,
        is: fn(&Line) -> bool,
        message: &str,
        heading: &str,
    ) -> Option<(u32, SyntaxError)> {
        let (n, at) = self.lines.iter().enumerate().find(|(_, l)| is(&l.line))?;
        let fix = LineFix {
            title: format!("Put \"{heading}\" above"),
            span: Span::default(),
            text: format!("{heading}\n"),
        };
        Some((
            n as u32,
            *syntax(at.line.body_span(), message.to_string(), vec![fix]),
        ))
    }

    /// Fields with no heading above them.
    fn first_heading_missing(&self) -> Option<(u32, SyntaxError)> {
        let top = self
            .sections
            .first()
            .filter(|s| s.kind == SectionKind::Top)?;
        let (n, line) = self
            .lines_of(top)
            .find(|(_, l)| matches!(l.node, Node::Field(_)))?;
        let (heading, text) = match self.kind {
            FileKind::Formula => ("formula", "formula \"Name\"\n"),
            FileKind::Batch => ("batch", "batch CODE of \"file.formula\"\n"),
            FileKind::Stock => ("lot", "lot CODE of ingredient\n"),
        };
        let title = format!("Put \"{}\" above", text.trim_end());
        let fix = LineFix {
            title,
            span: Span::default(),
            text: text.to_string(),
        };
        Some((
            n,
            *syntax(
                line.body_span(),
                format!("the heading \"{heading}\" is missing above this field\nPut it there"),
                vec![fix],
            ),
        ))
    }
}

impl Line {
    /// The line without indentation and comment.
    pub fn body_span(&self) -> Span {
        let end = self.comment.map_or(self.text.len(), |c| c.start as usize);
        let body = self.text[..end].trim_end_matches(super::scan::is_blank);
        let start = body.len() - body.trim_start_matches(super::scan::is_blank).len();
        Span::new(start, body.len())
    }

    /// The words that a span covers.
    pub fn text_of(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }
}

impl FileKind {
    pub const ALL: [FileKind; 3] = [FileKind::Formula, FileKind::Batch, FileKind::Stock];

    /// The extension of its files.
    pub fn extension(self) -> &'static str {
        match self {
            FileKind::Formula => "formula",
            FileKind::Batch => "batch",
            FileKind::Stock => "stock",
        }
    }

    /// The headings that it may have, with the section that each opens.
    pub fn headings(self) -> &'static [(&'static str, SectionKind)] {
        words::headings(self)
    }
}
