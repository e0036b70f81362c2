//! Headings: `phase B "oil" at 75 °C`, `batch HC-031 of "x.formula" version 4`, `lot GLY-07 of glycerin`.

mod phase;
mod record;

use super::measure::syntax;
use super::row::unclosed;
use super::scan::{self, Part, same};
use super::tree::{FileKind, Heading, LineFix, Node, PhaseHeading, SectionKind, SyntaxError};
use super::words;
use crate::text::Spanned;
use phase::phase;
pub use phase::{by_another_word, named_first};
use record::{batch, lot};

/// A line at the left edge that begins with a keyword, or with a word near to one.
pub struct Found<'a> {
    pub section: SectionKind,
    keyword: &'static str,
    word: Part<'a>,
    rest: Part<'a>,
    colon: Option<Part<'a>>,
}

impl<'a> Found<'a> {
    /// A keyword as a whole word: a blank, a quote, a colon or the end follows.
    pub fn exact(kind: FileKind, line: Part<'a>) -> Option<Found<'a>> {
        let end = line
            .text
            .find(|c: char| !c.is_ascii_alphabetic())
            .unwrap_or(line.text.len());
        let word = line.to(end);
        let rest = line.from(end);
        let (keyword, section) = words::keyword(kind, word.text)?;
        match rest.text.chars().next() {
            None => {}
            Some(c) if scan::is_blank(c) || scan::is_quote(c) => {}
            Some(':') => {
                return Some(Found {
                    section,
                    keyword,
                    word,
                    rest: rest.from(1),
                    colon: Some(rest.to(1)),
                });
            }
            Some(_) => return None,
        }
        Some(Found {
            section,
            keyword,
            word,
            rest,
            colon: None,
        })
    }

    /// A word that is nearly a keyword.
    pub fn near(kind: FileKind, line: Part<'a>) -> Option<Found<'a>> {
        let end = line
            .text
            .find(|c: char| scan::is_blank(c) || scan::is_quote(c) || c == ':')
            .unwrap_or(line.text.len());
        let word = line.to(end);
        let (keyword, section) = words::nearest_heading(kind, word.text)?;
        let rest = line.from(end);
        let colon = rest.text.starts_with(':').then(|| rest.to(1));
        let rest = if colon.is_some() { rest.from(1) } else { rest };
        Some(Found {
            section,
            keyword,
            word,
            rest,
            colon,
        })
    }

    /// What follows the keyword.
    pub fn rest(&self) -> Part<'a> {
        self.rest.trim()
    }

    pub fn read(&self, errors: &mut Vec<SyntaxError>) -> Node {
        if !same(self.word.text, self.keyword) {
            errors.push(*syntax(
                self.word.span(),
                format!(
                    "\"{}\" is read as the heading \"{}\"\nWrite it so",
                    self.word.text, self.keyword
                ),
                vec![LineFix {
                    title: format!("Change to {}", self.keyword),
                    span: self.word.span(),
                    text: self.keyword.to_string(),
                }],
            ));
        }
        if let Some(colon) = self.colon {
            errors.push(*syntax(
                colon.span(),
                format!(
                    "a heading has no colon behind it\nWrite \"{}\" without it",
                    self.keyword
                ),
                vec![LineFix {
                    title: "Delete the colon".to_string(),
                    span: colon.span(),
                    text: String::new(),
                }],
            ));
        }
        let rest = self.rest();
        Node::Heading(match self.section {
            SectionKind::Formula => Heading::Formula {
                name: title(self.word, rest, errors),
            },
            SectionKind::Phase => Heading::Phase(phase(self.word, rest, false, errors)),
            SectionKind::Premix => Heading::Premix(phase(self.word, rest, true, errors)),
            SectionKind::Batch => batch(self.word, rest, errors),
            SectionKind::Lot => lot(self.word, rest, errors),
            section => {
                nothing_more(self.keyword, rest, errors);
                match section {
                    SectionKind::Method => Heading::Method,
                    SectionKind::Notes => Heading::Notes,
                    SectionKind::Weighed => Heading::Weighed,
                    SectionKind::Log => Heading::Log,
                    SectionKind::Observations => Heading::Observations,
                    SectionKind::Packed => Heading::Packed,
                    SectionKind::Complaints => Heading::Complaints,
                    SectionKind::Ledger => Heading::Ledger,
                    _ => Heading::Broken,
                }
            }
        })
    }
}

fn spanned<'a, T: From<&'a str>>(part: Part<'a>) -> Spanned<T> {
    Spanned::new(part.text.into(), part.span())
}

fn nothing_more(keyword: &str, rest: Part<'_>, errors: &mut Vec<SyntaxError>) {
    if !rest.is_empty() {
        errors.push(*syntax(
            rest.span(),
            format!(
                "\"{keyword}\" stands alone on its line\nMove \"{}\" to the next line",
                rest.text
            ),
            vec![LineFix {
                title: "Move it to the next line".to_string(),
                span: rest.span(),
                text: format!("\n  {}", rest.text),
            }],
        ));
    }
}

/// The name behind `formula`, with quotes or without.
fn title(word: Part<'_>, rest: Part<'_>, errors: &mut Vec<SyntaxError>) -> Option<Spanned<String>> {
    let Some(q) = scan::quoted(rest) else {
        if rest.is_empty() {
            errors.push(*syntax(
                word.span(),
                "the formula has no name\nWrite one behind it, as in formula \"Hand cream\""
                    .to_string(),
                vec![],
            ));
            return None;
        }
        return Some(spanned(rest));
    };
    if !q.closed {
        errors.push(unclosed(q.inner));
    }
    let more = q.rest.trim();
    if !more.is_empty() {
        errors.push(*syntax(
            more.span(),
            format!(
                "\"{}\" is not understood behind the name\nWrite nothing but the name here",
                more.text
            ),
            vec![],
        ));
    }
    Some(spanned(q.inner))
}

/// Headings of other recipes: what stands for `method`, and what stands above the ingredients.
pub fn of_recipes(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Option<(Node, SectionKind)> {
    let bare = line.text.trim_end_matches([':', '.']);
    let is = |words: &[&str]| words.iter().any(|w| same(w, bare));
    let (node, section, written) = if is(&METHOD) {
        (Heading::Method, SectionKind::Method, "method")
    } else if is(&INGREDIENTS) {
        (
            Heading::Phase(PhaseHeading::default()),
            SectionKind::Phase,
            "phase A",
        )
    } else {
        return None;
    };
    errors.push(*syntax(
        line.span(),
        format!(
            "\"{}\" is read as the heading \"{written}\"\nWrite it so",
            line.text
        ),
        vec![LineFix {
            title: format!("Change to {written}"),
            span: line.span(),
            text: written.to_string(),
        }],
    ));
    Some((Node::Heading(node), section))
}

const METHOD: [&str; 11] = [
    "directions",
    "instructions",
    "procedure",
    "preparation",
    "process",
    "steps",
    "how to make",
    "how to make it",
    "making",
    "method of preparation",
    "manufacturing procedure",
];

const INGREDIENTS: [&str; 4] = ["ingredients", "ingredient list", "recipe", "materials"];
