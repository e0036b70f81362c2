//! The headings of phases and premixes, in the order of the language and as makers write them.

use super::spanned;
use crate::syntax::grammar::{self, Rule, part_of};
use crate::syntax::heat;
use crate::syntax::measure::syntax;
use crate::syntax::row::unclosed;
use crate::syntax::scan::{self, Part, same};
use crate::syntax::tree::{Heading, LineFix, Node, PhaseHeading, SyntaxError};
use crate::text::{Span, Spanned};

/// Words that go on after label and name, and so are no labels.
fn is_starter(word: &str) -> bool {
    [
        "at", "below", "under", "above", "over", "between", "dry", "hold", "held", "into",
    ]
    .iter()
    .any(|s| same(s, word))
        || word.starts_with(['<', '>', '(', '\u{2264}', '\u{2265}'])
}

pub(super) fn phase(
    word: Part<'_>,
    rest: Part<'_>,
    premix: bool,
    errors: &mut Vec<SyntaxError>,
) -> PhaseHeading {
    let mut heading = PhaseHeading::default();
    let mut rest = rest;
    let first = rest
        .text
        .split([',', '"', '\u{201C}', '\u{201E}'])
        .next()
        .unwrap_or("");
    let first = Part::new(first, rest.at).first_word();
    // `phase A: water`
    let label = first.strip_suffix(':').unwrap_or(first);
    if label.is_empty() || is_starter(label) {
        let (what, such) = if premix {
            ("premix", "premix A1")
        } else {
            ("phase", "phase A")
        };
        errors.push(*syntax(
            word.span(),
            format!("the {what} has no label\nWrite one behind it, as in \"{such}\""),
            vec![],
        ));
    } else {
        let part = rest.to(label.len());
        heading.label = Some(spanned(part));
        rest = rest.from(label.len());
        let behind = rest.trim();
        if first.len() > label.len() {
            rest = after_mark(&mut heading, rest, errors);
        } else if parting_mark(behind) {
            rest = after_mark(&mut heading, behind, errors);
        } else if let Some(name) = bracketed_name(behind) {
            rest = in_quotes(&mut heading, behind, name, errors);
        }
        rest = rest.trim();
    }
    if let Some(q) = scan::quoted(rest) {
        heading.name = Some(spanned(q.inner));
        if !q.closed {
            errors.push(unclosed(q.inner));
        }
        rest = q.rest;
    }
    if !rest.trim().is_empty() {
        phase_tail(&mut heading, rest, premix, errors);
    }
    if premix
        && heading.into.is_none()
        && heading.label.is_some()
        && !errors.iter().any(|e| e.span.start >= rest.at as u32)
    {
        let end = rest.trim_end().span().end;
        let at = Span { start: end, end };
        errors.push(*syntax(
            word.span(),
            "the line does not say which phase takes the premix\nWrite \"into\" and its label at the end of the line, as in \"into A\"".to_string(),
            vec![LineFix { title: "Add \", into A\"".to_string(), span: at, text: ", into A".to_string() }],
        ));
    }
    heading
}

/// `phase A - water`, `phase A / water`: a mark by itself.
fn parting_mark(rest: Part<'_>) -> bool {
    let mut chars = rest.text.chars();
    let mark = chars.next();
    matches!(mark, Some('-' | '–' | '—' | '/' | '=' | ':' | '|'))
        && chars.next().is_some_and(scan::is_blank)
}

/// `phase A (water)`: a name and nothing else in brackets.
fn bracketed_name(rest: Part<'_>) -> Option<Part<'_>> {
    let inside = rest.text.strip_prefix('(')?;
    let end = inside.find(')')?;
    let name = rest.slice(1, 1 + end);
    (bare_name(name)?.text.len() == name.text.len()).then_some(name)
}

fn in_quotes<'a>(
    heading: &mut PhaseHeading,
    rest: Part<'a>,
    name: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) -> Part<'a> {
    let whole = rest.to(name.text.len() + 2);
    heading.name = Some(spanned(name));
    let quoted = format!("\"{}\"", name.text);
    errors.push(*syntax(
        whole.span(),
        format!("the name of a phase stands in quotes\nWrite {quoted}"),
        vec![LineFix {
            title: format!("Change to {quoted}"),
            span: whole.span(),
            text: quoted,
        }],
    ));
    rest.from(whole.text.len())
}

/// `phase A: water`, `phase A - water`: takes the mark, and a name without quotes behind it; answers what follows.
fn after_mark<'a>(
    heading: &mut PhaseHeading,
    rest: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) -> Part<'a> {
    let mark = rest.to(rest.text.chars().next().map_or(0, char::len_utf8));
    let what = if mark.text == ":" { "colon" } else { "mark" };
    let behind = rest.from(mark.text.len()).trim();
    let Some(name) = bare_name(behind) else {
        errors.push(*syntax(
            mark.span(),
            format!("a label has no {what} behind it\nTake the {what} out"),
            vec![LineFix {
                title: format!("Delete the {what}"),
                span: mark.span(),
                text: String::new(),
            }],
        ));
        return rest.from(mark.text.len());
    };
    heading.name = Some(spanned(name));
    let quoted = format!("\"{}\"", name.text);
    let blank = if what == "colon" { " " } else { "" };
    errors.push(*syntax(
        mark.span().cover(name.span()),
        format!("a label has no {what} behind it, and the name stands in quotes\nWrite {quoted}"),
        vec![LineFix {
            title: format!("Change to {quoted}"),
            span: mark.span().cover(name.span()),
            text: format!("{blank}{quoted}"),
        }],
    ));
    behind.from(name.text.len())
}

/// The words of a name without quotes, up to a comma or to what says how warm the phase is.
fn bare_name(part: Part<'_>) -> Option<Part<'_>> {
    let mut end = 0;
    let mut words = part.words().peekable();
    while let Some((at, word)) = words.next() {
        let next = words.peek().map_or("", |(_, w)| *w);
        let heat = ["to", "at", "up"].iter().any(|w| same(w, next));
        if is_starter(word)
            || heat
                && ["heat", "heated", "warm", "warmed", "melt", "melted"]
                    .iter()
                    .any(|w| same(w, word))
            || ["no", "not", "without", "unheated"]
                .iter()
                .any(|w| same(w, word))
            || word.starts_with(|c: char| c.is_ascii_digit())
        {
            break;
        }
        let bare = word.trim_end_matches(',');
        let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '&' | '/' | '\'');
        if bare.is_empty() || !bare.chars().all(plain) {
            break;
        }
        end = at + bare.len();
        if bare.len() < word.len() {
            break;
        }
    }
    (end > 0).then(|| part.to(end))
}

/// A phase with its name first, as makers head it: `Water phase`, `A. Oil phase:`, `Cool down phase (below 40 °C)`. Only where
/// all of the line is understood.
pub fn named_first(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Option<Node> {
    let (at, word) = line
        .words()
        .skip(1)
        .take(4)
        .find(|(_, w)| same(w.trim_end_matches([':', ',', '.']), "phase"))?;
    let mut name = line.to(at).trim_end();
    let mut label = None;
    let first = name.first_word();
    let short = |w: &str| {
        (1..=2).contains(&w.len())
            && w.chars()
                .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit())
    };
    if let Some(found) = first.strip_suffix(['.', ')', ':']).filter(|w| short(w)) {
        label = Some(found);
        name = name.from(first.len()).trim();
    }
    let plain = |c: char| c.is_alphabetic() || scan::is_blank(c) || c == '-';
    if name.is_empty() || !name.text.chars().all(plain) {
        return None;
    }
    let mut tail = line.from(at + word.len()).trim();
    let next = tail.first_word();
    let bare = next.trim_matches(['(', ')', ':', ',']);
    let lettered = bare.starts_with(|c: char| c.is_ascii_uppercase());
    if label.is_none() && short(bare) && (lettered || next.len() == tail.text.len()) {
        label = Some(bare);
        tail = tail.from(next.len()).trim();
    }
    let words = name.text.to_lowercase();
    let written = match label {
        Some(label) => format!("phase {label} \"{words}\""),
        None => format!(
            "phase {}",
            words.split_whitespace().collect::<Vec<_>>().join("-")
        ),
    };
    let mut heading = PhaseHeading::default();
    let span = Span::new(line.at, tail.at.min(line.at + line.text.len())).range();
    let before = Part::new(&line.text[..span.end - line.at], line.at)
        .trim_end()
        .span();
    heading.label = Some(Spanned::new(
        label.map_or_else(|| written["phase ".len()..].into(), Into::into),
        before,
    ));
    heading.name = label.map(|_| Spanned::new(words.as_str().into(), name.span()));
    let mut faults = Vec::new();
    if !tail.is_empty() {
        phase_tail(&mut heading, tail, false, &mut faults);
    }
    if !faults.is_empty() {
        return None;
    }
    errors.push(*syntax(
        before,
        format!(
            "\"{}\" is read as the heading of a phase\nWrite {written}",
            line.to(before.end as usize - line.at).text
        ),
        vec![LineFix {
            title: format!("Change to {written}"),
            span: before,
            text: written,
        }],
    ));
    Some(Node::Heading(Heading::Phase(heading)))
}

/// `Part A`, `Stage 1 "oils"`: a phase by another word.
pub fn by_another_word(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Option<Node> {
    let word = line.to(line.first_word().len());
    let rest = line.from(word.text.len()).trim();
    let label = rest.first_word().trim_end_matches([':', '.', ')']);
    let short = (1..=2).contains(&label.len())
        && label
            .chars()
            .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    if !short || !["part", "stage"].iter().any(|w| same(w, word.text)) {
        return None;
    }
    let mut found = Vec::new();
    let heading = phase(word, rest, false, &mut found);
    errors.push(*syntax(
        word.span(),
        format!(
            "\"{}\" is read as the heading \"phase\"\nWrite it so",
            word.text
        ),
        vec![LineFix {
            title: "Change to phase".to_string(),
            span: word.span(),
            text: "phase".to_string(),
        }],
    ));
    errors.append(&mut found);
    Some(Node::Heading(Heading::Phase(heading)))
}

fn phase_tail(
    heading: &mut PhaseHeading,
    rest: Part<'_>,
    premix: bool,
    errors: &mut Vec<SyntaxError>,
) {
    let Some(tail) = grammar::pairs(Rule::phase_tail, rest).and_then(|mut p| p.next()) else {
        errors.push(not_understood(rest.trim(), heading.name.is_none()));
        return;
    };
    for pair in tail.into_inner() {
        let part = part_of(&pair, rest).trim();
        match pair.as_rule() {
            Rule::heat => match heat::heat(pair, rest) {
                Ok(Some(_)) if heading.heat.is_some() => errors.push(twice(part, "temperature")),
                Ok(found) => heading.heat = found.map(|h| Spanned::new(h, part.span())),
                Err(error) => errors.push(*error),
            },
            Rule::heat_loose => {
                let number = pair
                    .into_inner()
                    .filter(|p| p.as_rule() == Rule::unscaled)
                    .last();
                let number = number.map_or(part, |p| part_of(&p, rest).trim());
                errors.push(*heat::scale_missing(number));
            }
            Rule::dry => heading.dry = true,
            Rule::hold => {
                let duration = pair.into_inner().find(|p| p.as_rule() == Rule::duration);
                match duration.map(|d| heat::minutes(d, rest)) {
                    Some(Ok((_, longest))) => {
                        heading.hold_minutes = Some(Spanned::new(longest, part.span()))
                    }
                    Some(Err(error)) => errors.push(*error),
                    None => {}
                }
            }
            Rule::into => {
                let label = pair.into_inner().find(|p| p.as_rule() == Rule::into_label);
                if let Some(label) = label {
                    let label = part_of(&label, rest);
                    if premix {
                        heading.into = Some(spanned(label));
                    } else {
                        errors.push(*syntax(
                            part.span(),
                            "\"into\" belongs to a premix\nTake it out: a phase goes in where the method says"
                                .to_string(),
                            vec![],
                        ));
                    }
                }
            }
            Rule::stray => errors.push(not_understood(part, heading.name.is_none())),
            _ => {}
        }
    }
    // A name without quotes is still a name: hover and outline have it while the maker mends it.
    if heading.name.is_none()
        && let Some(name) = errors
            .last()
            .filter(|e| e.fixes.iter().any(|f| f.title == QUOTE_IT))
    {
        let text = &rest.text[name.span.start as usize - rest.at..name.span.end as usize - rest.at];
        heading.name = Some(Spanned::new(
            text.trim_matches(['(', ')', '\'']).into(),
            name.span,
        ));
    }
}

const QUOTE_IT: &str = "Put it in quotes as the name";

fn twice(part: Part<'_>, what: &str) -> SyntaxError {
    *syntax(
        part.span(),
        format!(
            "\"{}\" is a second {what}, and a heading has one\nTake one of them out",
            part.text
        ),
        vec![],
    )
}

fn not_understood(part: Part<'_>, nameless: bool) -> SyntaxError {
    let message = format!(
        "\"{}\" is not understood here\nAfter the label and a \"name\" may follow: at 75 °C, below 40 °C, between 70 and 75 °C, at room temperature, dry, hold 20 min{}",
        part.text, ", and for a premix into A"
    );
    let bare = part.text.trim_matches(['(', ')', '\'']);
    let starts = is_starter(part.first_word());
    let fixes = if nameless
        && !starts
        && !bare.is_empty()
        && bare
            .chars()
            .all(|c| c.is_alphanumeric() || scan::is_blank(c) || c == '-')
        && !bare.starts_with(|c: char| c.is_ascii_digit())
    {
        vec![LineFix {
            title: QUOTE_IT.to_string(),
            span: part.span(),
            text: format!("\"{bare}\""),
        }]
    } else {
        vec![]
    };
    *syntax(part.span(), message, fixes)
}
