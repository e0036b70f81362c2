//! Lines of `ledger` and of `complaints`: a day, and what happened on it. Each line stands for itself.

use super::grammar::{self, Rule, part_of};
use super::log::{is_date, turned_round};
use super::measure::{Figures, syntax};
use super::scan::{Part, same};
use super::tree::{
    Complaint, LedgerAmount, LedgerLine, LedgerVerb, LedgerWay, LineFix, Node, SyntaxError,
};
use crate::chem::date::Date;
use crate::text::Spanned;

const VERBS: [(&str, LedgerVerb); 8] = [
    ("sold", LedgerVerb::Sold),
    ("back", LedgerVerb::Back),
    ("gave", LedgerVerb::Gave),
    ("threw away", LedgerVerb::ThrewAway),
    ("used", LedgerVerb::Used),
    ("counted", LedgerVerb::Counted),
    ("sampled", LedgerVerb::Sampled),
    ("moved", LedgerVerb::Moved),
];

const SUCH: &str = "2026-03-28  sold 24 x 50 g HC-031 to a shop";

impl LedgerVerb {
    pub fn word(self) -> &'static str {
        VERBS
            .iter()
            .find(|(_, v)| *v == self)
            .map_or("", |(w, _)| w)
    }
}

/// A line of the ledger. What cannot be read is told; the line then counts for nothing.
pub fn read(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    match ledger_line(line.trim()) {
        Ok(line) => Node::Ledger(line),
        Err(error) => {
            errors.push(*error);
            Node::Broken
        }
    }
}

fn ledger_line(line: Part<'_>) -> Result<LedgerLine, Box<SyntaxError>> {
    let (date, rest) = day(line)?;
    let (verb, rest) = verb(rest)?;
    let (amount, rest) = amount(rest)?;
    let word = rest.first_word();
    let code = rest.to(word.trim_end_matches(',').len());
    if code.is_empty() || is_way(code.text).is_some() {
        let message =
            format!("the line does not say of which batch or lot\nWrite its code, as in {SUCH}");
        return Err(syntax(line.span(), message, vec![]));
    }
    let rest = rest.from(code.text.len()).trim();
    let (place, rest) = match is_way(rest.first_word()) {
        Some(way) => {
            let rest = rest.from(rest.first_word().len()).trim();
            let end = rest.text.find(',').unwrap_or(rest.text.len());
            let whom = rest.to(end).trim();
            let whom = (!whom.is_empty()).then(|| (way, spanned(whom)));
            (whom, rest.from(end))
        }
        None => (None, rest),
    };
    let rest = rest.trim();
    let note = match rest.text.strip_prefix(',') {
        Some(_) => rest.from(1).trim(),
        None if rest.is_empty() => rest,
        None => {
            let message = format!(
                "\"{}\" is not understood\nBehind the code write \"to\", \"from\" or \"at\" and where, or a comma and why",
                rest.text
            );
            return Err(syntax(rest.span(), message, vec![]));
        }
    };
    Ok(LedgerLine {
        date,
        verb,
        amount,
        code: spanned(code),
        place,
        note: (!note.is_empty()).then(|| spanned(note)),
    })
}

/// A complaint: its day and its words.
pub fn complaint(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Node {
    let (date, rest) = match day(line.trim()) {
        Ok(found) => found,
        Err(error) => {
            errors.push(*error);
            return Node::Broken;
        }
    };
    let serious = rest.text.split(',').find_map(|part| {
        let part = part.trim();
        if same(part, "not serious") {
            Some(false)
        } else if same(part, "serious") {
            Some(true)
        } else {
            None
        }
    });
    Node::Complaint(Complaint {
        date,
        words: spanned(rest),
        serious,
    })
}

fn day(line: Part<'_>) -> Result<(Spanned<Date>, Part<'_>), Box<SyntaxError>> {
    let word = line.first_word();
    let part = line.to(word.trim_end_matches(',').len());
    if let (true, Ok(date)) = (is_date(part.text), part.text.parse::<Date>()) {
        let rest = line.from(word.len()).trim();
        return Ok((Spanned::new(date, part.span()), rest));
    }
    let fixes = turned_round(part.text)
        .map(|text| LineFix {
            title: format!("Change to {text}"),
            span: part.span(),
            text,
        })
        .into_iter()
        .collect();
    let message = format!(
        "\"{}\" is not a day\nBegin the line with year-month-day, as in {SUCH}",
        part.text
    );
    Err(syntax(part.span(), message, fixes))
}

fn verb(rest: Part<'_>) -> Result<(Spanned<LedgerVerb>, Part<'_>), Box<SyntaxError>> {
    for (word, verb) in VERBS {
        let Some(head) = rest.text.get(..word.len()) else {
            continue;
        };
        let ends = rest.text[word.len()..]
            .chars()
            .next()
            .is_none_or(super::scan::is_blank);
        if same(head, word) && ends {
            let span = rest.to(word.len()).span();
            return Ok((Spanned::new(verb, span), rest.from(word.len()).trim()));
        }
    }
    let word = rest.to(rest.first_word().len());
    let message = format!(
        "\"{}\" is not a word of the ledger\nWrite sold, back, gave, threw away, used, counted, sampled or moved",
        word.text
    );
    let words: Vec<&str> = VERBS.iter().map(|(w, _)| *w).collect();
    let fixes = super::words::nearest(&words, &word.text.to_lowercase())
        .map(|near| LineFix {
            title: format!("Change to {near}"),
            span: word.span(),
            text: near.to_owned(),
        })
        .into_iter()
        .collect();
    let span = if word.is_empty() {
        rest.span()
    } else {
        word.span()
    };
    Err(syntax(span, message, fixes))
}

fn amount(rest: Part<'_>) -> Result<(LedgerAmount, Part<'_>), Box<SyntaxError>> {
    let none = || {
        let word = rest.to(rest.first_word().len());
        let message = format!(
            "the line does not say how much\nWrite 24 x 50 g, 430 g or 3 pieces before the code, as in {SUCH}"
        );
        syntax(word.span(), message, vec![])
    };
    let pair = grammar::pair(Rule::how_much, rest).ok_or_else(none)?;
    let after = rest.from(part_of(&pair, rest).text.len()).trim();
    let count = pair
        .clone()
        .into_inner()
        .find(|p| p.as_rule() == Rule::count)
        .map(|c| c.as_str().parse::<u32>());
    let measure = Figures::of(pair.into_inner(), rest)
        .ok_or_else(none)?
        .measure_or_count()?;
    let amount = match count {
        Some(Ok(count)) => LedgerAmount::Packs {
            count,
            each: measure,
        },
        Some(Err(_)) => return Err(none()),
        None => LedgerAmount::Measure(measure),
    };
    Ok((amount, after))
}

fn is_way(word: &str) -> Option<LedgerWay> {
    [
        ("to", LedgerWay::To),
        ("from", LedgerWay::From),
        ("at", LedgerWay::At),
    ]
    .into_iter()
    .find(|(w, _)| same(word, w))
    .map(|(_, way)| way)
}

fn spanned(part: Part<'_>) -> Spanned<String> {
    Spanned::new(part.text.to_owned(), part.span())
}
