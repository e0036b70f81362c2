//! Lines of `packed`: `48 x 50 g, 2 kept, 1 spoilt`, and jars and labels by the piece.

use super::grammar::{self, Rule, part_of};
use super::measure::{Figures, syntax};
use super::scan::{Part, same};
use super::tree::{Node, Packaging, Packs, SyntaxError};
use super::weighed;
use crate::chem::units::Dimension;
use crate::text::{Span, Spanned};

pub fn read(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let line = line.trim();
    match grammar::pair(Rule::some_packs, line) {
        Some(pair) => packs(pair, line, errors),
        None => packaging(line, errors),
    }
}

fn packs(
    pair: pest::iterators::Pair<'_, Rule>,
    line: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) -> Node {
    let head = part_of(&pair, line);
    let mut count = None;
    let mut pack_start = head.at;
    for child in pair.clone().into_inner() {
        let part = part_of(&child, line);
        match child.as_rule() {
            Rule::count => match part.text.parse::<u32>() {
                Ok(n) => count = Some(Spanned::new(n, part.span())),
                Err(_) => {
                    let message = format!(
                        "\"{}\" is more jars than can be counted\nWrite fewer",
                        part.text
                    );
                    errors.push(*syntax(part.span(), message, vec![]));
                }
            },
            rule if super::number::is_figure(rule) => pack_start = part.at,
            _ => {}
        }
    }
    let each = match Figures::of(pair.into_inner(), line).map(|f| f.measure()) {
        Some(Ok(measure)) => measure,
        Some(Err(error)) => {
            errors.push(*error);
            return Node::Broken;
        }
        None => return Node::Broken,
    };
    let Some(count) = count else {
        return Node::Broken;
    };
    let (mut kept, mut spoilt) = (0, 0);
    for (n, what) in counted(line.from(head.at + head.text.len() - line.at), errors) {
        match word_of(what.text) {
            Some(Fate::Kept) => kept += n,
            Some(Fate::Spoilt) => spoilt += n,
            None => {
                let message = format!(
                    "\"{}\" is not understood\nBehind the packs write how many and what, as in \"2 kept\" or \"1 spoilt\"",
                    what.text
                );
                errors.push(*syntax(what.span(), message, vec![]));
            }
        }
    }
    Node::Packs(Packs {
        count,
        each,
        pack_span: Span::new(pack_start, head.at + head.text.len()),
        kept,
        spoilt,
    })
}

enum Fate {
    Kept,
    Spoilt,
}

fn word_of(word: &str) -> Option<Fate> {
    let is_one_of = |list: &[&str]| list.iter().any(|w| same(word, w));
    if is_one_of(&["kept", "retained", "kept back", "for retain"]) {
        Some(Fate::Kept)
    } else if is_one_of(&["spoilt", "spoiled", "broken", "dropped", "torn", "leaking"]) {
        Some(Fate::Spoilt)
    } else {
        None
    }
}

/// `, 2 kept, 1 spoilt`: each number with its word.
fn counted<'a>(tail: Part<'a>, errors: &mut Vec<SyntaxError>) -> Vec<(u32, Part<'a>)> {
    let mut out = Vec::new();
    let mut at = 0;
    for piece in tail.text.split(',') {
        let part = tail.slice(at, at + piece.len()).trim();
        at += piece.len() + 1;
        if part.is_empty() {
            continue;
        }
        let number = part.first_word();
        let what = part.from(number.len()).trim();
        match number.parse() {
            Ok(n) if !what.is_empty() => out.push((n, what)),
            _ => {
                let message = format!(
                    "\"{}\" is not understood\nWrite how many and what, as in \"2 kept\" or \"1 spoilt\"",
                    part.text
                );
                errors.push(*syntax(part.span(), message, vec![]));
            }
        }
    }
    out
}

/// Jars and labels: a row in pieces, behind it how many could not be used.
fn packaging(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let mut spoilt = 0;
    let mut row = line;
    if let Some(comma) = line.text.rfind(',') {
        let tail = line.from(comma + 1).trim();
        let number = tail.first_word();
        let what = tail.from(number.len()).trim();
        if let (Ok(n), Some(Fate::Spoilt)) = (number.parse::<u32>(), word_of(what.text)) {
            spoilt = n;
            row = line.to(comma).trim_end();
        }
    }
    match weighed::read(row, errors) {
        Node::Weighed(row) => {
            for measure in [row.actual, row.planned].into_iter().flatten() {
                if measure.unit.dimension() != Dimension::Count {
                    let message = format!(
                        "jars and labels are counted, not measured in {}\nWrite pieces",
                        measure.unit.symbol()
                    );
                    errors.push(*syntax(measure.unit_span, message, vec![]));
                }
            }
            Node::Packaging(Packaging { row, spoilt })
        }
        other => other,
    }
}
