//! A whole file: its lines, each read once, and its sections. Reading never fails.

use super::cache::Cache;
use super::line;
use super::tree::{FileKind, Line, LineAt, Node, Section, SectionKind, Tree};
use crate::text::first_break;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// Reads a file.
pub fn parse(kind: FileKind, text: &str) -> Tree {
    build(kind, text, |_, before, text| {
        Arc::new(line::read(kind, before, text))
    })
}

/// Reads a file; lines that were read before, in this file or another, are taken from the cache.
pub fn parse_cached(kind: FileKind, text: &str, cache: &mut Cache) -> Tree {
    build(kind, text, |_, before, text| cache.line(kind, before, text))
}

/// Reads a file of which an earlier state is at hand: lines that are the same at its beginning and at its end are kept.
pub fn parse_with(kind: FileKind, text: &str, previous: Option<&Tree>) -> Tree {
    let Some(previous) = previous.filter(|p| p.kind == kind) else {
        return parse(kind, text);
    };
    let count = Lines::of(text).count();
    let old = &previous.lines;
    build(kind, text, |here, before, text| {
        let behind = (here + old.len()).checked_sub(count);
        let same = [Some(here), behind].into_iter().flatten().find_map(|n| {
            let found = old.get(n)?;
            let found_before = n
                .checked_sub(1)
                .map_or(SectionKind::Top, |b| old[b].line.section);
            (found_before == before && before != SectionKind::Unknown && found.line.text == text)
                .then_some(&found.line)
        });
        match same {
            Some(line) => line.clone(),
            None => Arc::new(line::read(kind, before, text)),
        }
    })
}

/// `read` is given the number of the line, the section before it and its text.
fn build(
    kind: FileKind,
    text: &str,
    mut read: impl FnMut(usize, SectionKind, &str) -> Arc<Line>,
) -> Tree {
    let mut tree = Tree {
        kind,
        lines: Vec::with_capacity(text.len() / 24 + 1),
        sections: Vec::new(),
        line_break: first_break(text),
        strays: 0,
    };
    let mut carry = Carry::TOP;
    let mut recent = Recent::default();
    for (start, text) in Lines::of(text) {
        let before = carry.before(text);
        let line = recent.or(before, text, || read(tree.lines.len(), before, text));
        carry = carry.after(&line);
        tree.strays += usize::from(is_stray(&line));
        tree.lines.push(LineAt { start, line });
    }
    let mut sections = Sections::default();
    for (n, at) in tree.lines.iter().enumerate() {
        sections.line(n as u32, &at.line);
    }
    tree.sections = sections.end(tree.lines.len() as u32);
    tree
}

/// The last lines that differ. One that repeats one of them, most often a blank one, is the same line and takes no memory of
/// its own.
#[derive(Default)]
struct Recent {
    lines: [Option<(SectionKind, Arc<Line>)>; 4],
    next: usize,
}

impl Recent {
    fn or(
        &mut self,
        before: SectionKind,
        text: &str,
        read: impl FnOnce() -> Arc<Line>,
    ) -> Arc<Line> {
        let same =
            |(section, line): &&(SectionKind, Arc<Line>)| *section == before && line.text == text;
        if let Some((_, line)) = self.lines.iter().flatten().find(same) {
            return line.clone();
        }
        let line = read();
        self.lines[self.next] = Some((before, line.clone()));
        self.next = (self.next + 1) % self.lines.len();
        line
    }
}

impl Tree {
    /// Puts `text` in place of the lines `old`, line breaks included: `text` holds what now stands from the beginning of the
    /// first of them to the beginning of the line after the last (or to the end of the file). Only these lines are read again, and those
    /// after them whose section has changed.
    pub fn apply(&mut self, old: Range<usize>, text: &str) {
        let count = self.lines.len();
        let first = old.start.min(count.saturating_sub(1));
        let end = old.end.clamp(first, count);
        let start = self.lines.get(first).map_or(0, |l| l.start);
        let start = if first == 0 { 0 } else { start };
        if first == 0 {
            self.line_break = first_break(text);
        }
        let last = end == count;
        let carried_old = self.carry_before(end);
        let mut carry = self.carry_before(first);

        let mut fresh: Vec<LineAt> = Vec::new();
        let known: HashMap<(SectionKind, &str), &Arc<Line>> = (first..end)
            .map(|n| {
                let line = &self.lines[n].line;
                ((self.section_before(n), line.text.as_str()), line)
            })
            .collect();
        let bom = first == 0;
        let mut lines = Lines {
            text,
            at: 0,
            done: false,
            skip_bom: bom,
        };
        let mut recent = Recent::default();
        let mut new_end = start;
        while let Some((at, line_text)) = lines.next() {
            // What follows the last break is the next line, which stays; it is ours only at the end of the file.
            if !last && lines.done {
                new_end = start + at;
                break;
            }
            let before = carry.before(line_text);
            let reused = known
                .get(&(before, line_text))
                .filter(|_| carry.section != SectionKind::Unknown);
            let line = match reused {
                Some(line) => Arc::clone(line),
                None => recent.or(before, line_text, || {
                    Arc::new(line::read(self.kind, before, line_text))
                }),
            };
            carry = carry.after(&line);
            fresh.push(LineAt {
                start: start + at,
                line,
            });
        }
        let shift_from = self.lines.get(end).map(|l| l.start);
        let added = fresh.len();
        let stray = |lines: &[LineAt]| lines.iter().filter(|l| is_stray(&l.line)).count();
        self.strays -= stray(&self.lines[first..end]);
        self.strays += stray(&fresh);
        self.lines.splice(first..end, fresh);
        let mut at = first + added;
        if let Some(from) = shift_from {
            for line in &mut self.lines[at..] {
                line.start = line.start - from + new_end;
            }
        }
        // Lines below stand in another section now: read on until both agree.
        let mut carried = carried_old;
        let mut recent = Recent::default();
        while at < self.lines.len() && carry != carried {
            let line = self.lines[at].line.clone();
            carried = carried.after(&line);
            let before = carry.before(&line.text);
            let again = recent.or(before, &line.text, || {
                let again = line::read(self.kind, before, &line.text);
                if again == *line {
                    line.clone()
                } else {
                    Arc::new(again)
                }
            });
            carry = carry.after(&again);
            self.strays -= usize::from(is_stray(&self.lines[at].line));
            self.strays += usize::from(is_stray(&again));
            self.lines[at].line = again;
            at += 1;
        }
        self.mend_sections(first, at, count);
    }

    /// Sections from the one that holds line `first` to the one that holds line `upto` are made again; those after are shifted.
    fn mend_sections(&mut self, first: usize, upto: usize, old_count: usize) {
        let shift = self.lines.len() as i64 - old_count as i64;
        let moved = |n: u32| (i64::from(n) + shift).max(0) as u32;
        let old_upto = (upto as i64 - shift).max(0) as u32;
        let head = self.sections.partition_point(|s| s.end <= first as u32);
        // A section that begins at or behind `upto` is not touched.
        let mut tail = self.sections.partition_point(|s| s.first < old_upto);
        // Up to the next heading that is sure: a section taken up again may stand under one that has changed.
        let sure = |s: &Section| s.kind != SectionKind::Unknown && s.heading == Some(s.first);
        while self.sections.get(tail).is_some_and(|s| !sure(s)) {
            tail += 1;
        }
        let scan_from = self.sections.get(head).map_or(0, |s| s.first as usize);
        let scan_from = scan_from.min(first);
        let tail_first = self
            .sections
            .get(tail)
            .map_or(self.lines.len(), |s| moved(s.first) as usize);
        let rest: Vec<Section> = self.sections[tail.max(head)..]
            .iter()
            .map(|s| Section {
                kind: s.kind,
                heading: s.heading.map(moved),
                first: moved(s.first),
                end: moved(s.end),
            })
            .collect();
        self.sections.truncate(head);
        let mut sections = Sections {
            done: std::mem::take(&mut self.sections),
        };
        for n in scan_from..tail_first {
            sections.line(n as u32, &self.lines[n].line);
        }
        self.sections = sections.end(tail_first as u32);
        self.sections.extend(rest);
    }

    fn section_before(&self, line: usize) -> SectionKind {
        line.checked_sub(1)
            .and_then(|n| self.lines.get(n))
            .map_or(SectionKind::Top, |l| l.line.section)
    }

    fn carry_before(&self, line: usize) -> Carry {
        let section = self.section_before(line);
        let mut resume = section;
        if section == SectionKind::Unknown {
            let above = self.lines[..line]
                .iter()
                .rev()
                .map(|l| l.line.section)
                .find(|s| *s != SectionKind::Unknown);
            resume = above.unwrap_or(SectionKind::Top);
        }
        Carry { section, resume }
    }
}

/// A line whose heading is missing above it: a step in a phase, an ingredient in none.
pub fn is_stray(line: &Line) -> bool {
    is_stray_step(line) || is_stray_row(line)
}

pub fn is_stray_step(line: &Line) -> bool {
    matches!(line.node, Node::Step(_)) && line.section != SectionKind::Method
}

pub fn is_stray_row(line: &Line) -> bool {
    matches!(line.node, Node::Row(_))
        && !matches!(line.section, SectionKind::Phase | SectionKind::Premix)
}

/// What a line hands on to the next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
struct Carry {
    section: SectionKind,
    /// Within an unknown section: the section before it, which a row at the left edge takes up again.
    resume: SectionKind,
}

impl Carry {
    const TOP: Carry = Carry {
        section: SectionKind::Top,
        resume: SectionKind::Top,
    };

    fn before(self, text: &str) -> SectionKind {
        let phase = matches!(self.resume, SectionKind::Phase | SectionKind::Premix);
        if self.section == SectionKind::Unknown && phase && line::is_row_at_the_edge(text) {
            self.resume
        } else {
            self.section
        }
    }

    fn after(self, line: &Line) -> Carry {
        match line.section {
            SectionKind::Unknown => Carry {
                section: SectionKind::Unknown,
                resume: self.resume,
            },
            section => Carry {
                section,
                resume: section,
            },
        }
    }
}

/// Gathers sections line by line.
#[derive(Default)]
struct Sections {
    done: Vec<Section>,
}

impl Sections {
    fn line(&mut self, n: u32, line: &Line) {
        let opens = matches!(line.node, Node::Heading(_));
        let open = self.done.last_mut();
        match open {
            Some(open) if !opens && open.kind == line.section => open.end = n + 1,
            _ => {
                // A row that takes up its phase again stands under that phase's heading.
                let heading = if opens {
                    Some(n)
                } else {
                    self.done
                        .iter()
                        .rev()
                        .find(|s| s.kind == line.section)
                        .and_then(|s| s.heading)
                };
                self.done.push(Section {
                    kind: line.section,
                    heading,
                    first: n,
                    end: n + 1,
                });
            }
        }
    }

    fn end(mut self, count: u32) -> Vec<Section> {
        if let Some(last) = self.done.last_mut() {
            last.end = count;
        }
        self.done
    }
}

/// The lines of a text with where each begins, without their breaks: LF, CR LF or CR. A byte order mark at the start is
/// no part of the first line.
pub struct Lines<'a> {
    text: &'a str,
    at: usize,
    done: bool,
    skip_bom: bool,
}

impl<'a> Lines<'a> {
    pub fn of(text: &'a str) -> Self {
        Lines {
            text,
            at: 0,
            done: false,
            skip_bom: true,
        }
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = (usize, &'a str);

    fn next(&mut self) -> Option<(usize, &'a str)> {
        if self.done {
            return None;
        }
        if std::mem::take(&mut self.skip_bom) && self.text.starts_with('\u{FEFF}') {
            self.at = '\u{FEFF}'.len_utf8();
        }
        let start = self.at;
        let bytes = self.text.as_bytes();
        match bytes[start..]
            .iter()
            .position(|&b| b == b'\n' || b == b'\r')
        {
            Some(len) => {
                let end = start + len;
                let crlf = bytes[end] == b'\r' && bytes.get(end + 1) == Some(&b'\n');
                self.at = end + if crlf { 2 } else { 1 };
                Some((start, &self.text[start..end]))
            }
            None => {
                self.done = true;
                Some((start, &self.text[start..]))
            }
        }
    }
}

impl FileKind {
    /// From the extension of the path.
    pub fn of_path(path: &std::path::Path) -> Option<FileKind> {
        let extension = path.extension()?.to_str()?;
        [
            ("formula", FileKind::Formula),
            ("batch", FileKind::Batch),
            ("stock", FileKind::Stock),
        ]
        .into_iter()
        .find(|(e, _)| extension.eq_ignore_ascii_case(e))
        .map(|(_, k)| k)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    /// Lines in memory: those that are the same line count once.
    fn held(tree: &Tree) -> usize {
        let lines = tree.lines.iter().map(|at| Arc::as_ptr(&at.line));
        lines.collect::<HashSet<_>>().len()
    }

    #[test]
    fn a_file_of_line_breaks_holds_one_line_however_it_came_about() {
        let breaks = "\n".repeat(1_000);
        assert_eq!(held(&parse(FileKind::Formula, &breaks)), 1);
        assert_eq!(held(&parse(FileKind::Formula, &"\n \n".repeat(500))), 2);

        let mut pasted = parse(FileKind::Formula, "");
        pasted.apply(0..1, &breaks);
        assert_eq!(pasted.lines.len(), 1_001);
        assert_eq!(held(&pasted), 1);

        // A line that closes the section above makes all lines below it be read again.
        let mut typed = parse(FileKind::Formula, &breaks);
        typed.apply(10..11, "Sonnenschein\n");
        assert_eq!(typed.lines[999].line.section, SectionKind::Unknown);
        assert!(held(&typed) <= 3, "{}", held(&typed));
    }
}
