//! A step of the method: clauses, each with its verb, what it acts on and its numbers. Nothing here is an error for
//! want of understanding: a clause without a known verb is kept as text.

mod parts;
mod quantity;
mod words;

use super::grammar::{self, Rule};
use super::scan::{self, Part, same};
use super::tree::{Clause, Heat, Step, SyntaxError, Verb};
use super::verbs;
use crate::text::{Span, Spanned};
use parts::{is_label, parts};
use quantity::{quantity, quantity_rule};
use rust_decimal::Decimal;
use words::{Reader, Slot};

pub fn read(line: Part<'_>, errors: &mut Vec<SyntaxError>) -> Step {
    let mut clauses: Vec<Clause> = Vec::new();
    let mut previous = line.to(0);
    for part in parts(unnumbered(line.trim())) {
        let clause = clause(part, errors);
        match clauses.last_mut() {
            // `when below 40 °C, add C`: the condition belongs to what follows.
            Some(before)
                if is_condition(before) && clause.heat.is_none() && clause.verb.is_some() =>
            {
                let condition = clauses.pop();
                let heat = condition.as_ref().and_then(|c| c.heat.clone());
                let span = condition.map_or(clause.span, |c| c.span.cover(clause.span));
                clauses.push(Clause {
                    span,
                    heat,
                    ..clause
                });
            }
            // `once everything has melted, stir`: a condition without a figure only says when. `when cool, add C`: it cools, nobody
            // says how far.
            Some(before)
                if before.verb.is_none()
                    && before.heat.is_none()
                    && clause.verb.is_some()
                    && says_when(previous) =>
            {
                if previous
                    .words()
                    .any(|(_, w)| COOLED.iter().any(|c| same(c, w)))
                {
                    before.verb = Some(Spanned::new(Verb::Cool, before.span));
                    before.objects.clear();
                    clauses.push(clause);
                } else {
                    let span = before.span.cover(clause.span);
                    clauses.pop();
                    clauses.push(Clause { span, ..clause });
                }
            }
            // `heat A to 75 °C, covered`, `test the pH, should be 5`: how and why, not what.
            Some(before)
                if clause.verb.is_none()
                    && before.verb.is_some()
                    && (is_manner(part) || same(part.first_word(), "should")) =>
            {
                before.span = before.span.cover(clause.span);
            }
            // `heat to 75 °C, 20 min`, `stir, 5 min`: a time alone belongs to what went before.
            Some(before)
                if clause.verb.is_none()
                    && is_time_alone(&clause)
                    && before.verb.is_some()
                    && before.minutes.is_none() =>
            {
                before.minutes = clause.minutes;
                before.span = before.span.cover(clause.span);
            }
            _ => clauses.push(clause),
        }
        previous = part;
    }
    Step { clauses }
}

fn is_condition(clause: &Clause) -> bool {
    clause.verb.is_none()
        && clause.heat.is_some()
        && clause.objects.is_empty()
        && clause.minutes.is_none()
        && clause.amount.is_none()
}

fn is_time_alone(clause: &Clause) -> bool {
    clause.minutes.is_some()
        && clause.objects.is_empty()
        && clause.heat.is_none()
        && clause.amount.is_none()
        && clause.into.is_none()
}

const COOLED: [&str; 5] = ["cool", "cooled", "cold", "lukewarm", "room"];

fn says_when(part: Part<'_>) -> bool {
    ["when", "once", "after", "as"]
        .iter()
        .any(|w| same(w, part.first_word()))
}

/// Words that say how a step is done: no number, no phase, nothing that is added.
fn is_manner(part: Part<'_>) -> bool {
    const BEGINS: [&str; 12] = [
        "covered",
        "uncovered",
        "lid",
        "lids",
        "with",
        "without",
        "under",
        "over",
        "in",
        "on",
        "until",
        "till",
    ];
    const MEANS: [&str; 18] = [
        "covered",
        "uncovered",
        "lid",
        "lids",
        "cover",
        "foil",
        "bath",
        "boiler",
        "heat",
        "flame",
        "hood",
        "melted",
        "smooth",
        "clear",
        "dissolved",
        "even",
        "thick",
        "uniform",
    ];
    let one_of =
        |list: &[&str], word: &str| list.iter().any(|w| same(w, word.trim_end_matches('.')));
    one_of(&BEGINS, part.first_word())
        && part.words().any(|(_, w)| one_of(&MEANS, w))
        && !part.text.bytes().any(|b| b.is_ascii_digit())
        && !part.words().any(|(_, w)| is_label(w))
}

/// Without `1.`, `2)`, `-` or `*` before the step.
fn unnumbered(line: Part<'_>) -> Part<'_> {
    let first = line.first_word();
    let digits = first.trim_end_matches(['.', ')', ':']);
    let listed = !first.is_empty()
        && (matches!(first, "-" | "*" | "•" | "–")
            || digits.len() < first.len()
                && digits.len() <= 3
                && !digits.is_empty()
                && digits.bytes().all(|b| b.is_ascii_digit()));
    if listed {
        line.from(first.len()).trim()
    } else {
        line
    }
}

fn clause(part: Part<'_>, errors: &mut Vec<SyntaxError>) -> Clause {
    let whole = part.span();
    // A condition may stand before the verb: `when below 40 °C stir in phase C`, `at 40 °C add C`.
    let (verb, body, before) = match verbs::leading(part) {
        Some((verb, start, end)) => (Some((verb, part.slice(start, end))), part.from(end), None),
        None => match verb_behind_condition(part) {
            Some((verb, start, end)) => (
                Some((verb, part.slice(start, end))),
                part.from(end),
                Some(part.to(start).trim()),
            ),
            None => (None, part, None),
        },
    };
    let mut clause = Clause {
        span: whole,
        verb: verb.map(|(v, p)| Spanned::new(v, p.span())),
        objects: vec![],
        into: None,
        heat: None,
        minutes: None,
        ph: None,
        amount: None,
        with: None,
    };
    if let Some(before) = before {
        fill(&mut clause, before, errors);
        clause.objects.clear();
    }
    // `stir into A` and its like: the verb has taken the `into`.
    let slot = match verb {
        Some((_, p)) if p.text.to_ascii_lowercase().ends_with("into") => Slot::Into,
        _ => Slot::Objects,
    };
    fill_from(&mut clause, body, slot, errors);
    if matches!(
        clause.verb,
        Some(Spanned {
            value: Verb::Pour,
            ..
        })
    ) && let Some(into) = clause.into.as_ref().and_then(|i| pours_out(&i.value))
    {
        clause.verb = clause.verb.map(|v| Spanned::new(into, v.span));
    }
    clause
}

/// `pour into moulds`, `pour into jars`: what it is then.
fn pours_out(word: &str) -> Option<Verb> {
    let last = word.rsplit(' ').next().unwrap_or("");
    let one_of = |list: &[&str]| list.iter().any(|w| same(w, last));
    if one_of(&["mould", "moulds", "mold", "molds"]) {
        Some(Verb::Mould)
    } else if one_of(&[
        "jar",
        "jars",
        "bottle",
        "bottles",
        "tube",
        "tubes",
        "tin",
        "tins",
        "pots",
        "containers",
    ]) {
        Some(Verb::Fill)
    } else {
        None
    }
}

/// The first verb behind `when`, `once`, `at`, `below` and the like.
fn verb_behind_condition(part: Part<'_>) -> Option<(Verb, usize, usize)> {
    let first = part.first_word();
    let starts = [
        "when", "once", "in", "at", "below", "under", "above", "after", "as", "over", "between",
    ];
    if !starts.iter().any(|s| same(s, first)) {
        return None;
    }
    part.words().skip(1).find_map(|(at, word)| {
        // `cooled to` inside the condition is no verb of its own.
        if same(word, "cooled") || same(word, "cool") {
            return None;
        }
        let (verb, start, end) = verbs::leading(part.from(at))?;
        (start == 0).then_some((verb, at, at + end))
    })
}

fn fill(clause: &mut Clause, body: Part<'_>, errors: &mut Vec<SyntaxError>) {
    fill_from(clause, body, Slot::Objects, errors);
}

/// Goes word by word; where a condition or a quantity may begin, the grammar is asked.
fn fill_from<'a>(clause: &mut Clause, body: Part<'a>, slot: Slot, errors: &mut Vec<SyntaxError>) {
    let mut reader = Reader {
        base: body,
        slot,
        open: None,
        objects: vec![],
        into: None,
        with: None,
    };
    let mut done = 0;
    for (at, word) in body.words() {
        if at < done {
            continue;
        }
        let here = body.from(at);
        if let Some(pair) = quantity_rule(word).and_then(|rule| grammar::pair(rule, here)) {
            done = at + pair.as_str().trim_end_matches(scan::is_blank).len();
            quantity(clause, &mut reader, pair, here, errors);
            continue;
        }
        // `until it has cooled to 40 °C`: what lies between says nothing, the temperature does.
        if same(word, "until")
            && let Some(heat) = here.words().skip(1).find(|(at, w)| {
                quantity_rule(w)
                    .and_then(|rule| grammar::pair(rule, here.from(*at)))
                    .is_some_and(|p| p.as_rule() == Rule::step_heat)
            })
        {
            reader.pause();
            done = at + heat.0;
            continue;
        }
        if let Some(len) = manner(here) {
            reader.pause();
            done = at + len;
            continue;
        }
        let more = here.text.len() > word.len();
        match word {
            "and" | "&" | "+" if more => {
                reader.pause();
            }
            _ if more && same(word, "to") && is_purpose(here.from(word.len()).trim()) => {
                reader.close(Slot::Nowhere);
                break;
            }
            _ if more
                && ["into", "onto", "in", "to", "on", "over"]
                    .iter()
                    .any(|w| same(w, word)) =>
            {
                reader.close(Slot::Into)
            }
            _ if more && (same(word, "with") || same(word, "using")) => reader.close(Slot::With),
            // `under constant stirring`, `by hand`: how, not what.
            _ if more && (same(word, "under") || same(word, "by")) => reader.close(Slot::Nowhere),
            _ => match word.strip_suffix(',') {
                // A list of phases: `A, B and C`.
                Some(bare) => {
                    reader.word(here.to(bare.len()));
                    reader.pause();
                }
                None => reader.word(here.to(word.len())),
            },
        }
    }
    reader.close(Slot::Nowhere);
    clause.objects.append(&mut reader.objects);
    clause.into = clause.into.take().or(reader.into);
    clause.with = clause.with.take().or(reader.with);
}

/// How it is done, which changes nothing: `in portions`, `slowly`. Answers how long that is.
fn manner(text: Part<'_>) -> Option<usize> {
    const WAYS: [&str; 31] = [
        "in portions",
        "in small portions",
        "in parts",
        "in batches",
        "in steps",
        "in a thin stream",
        "in a fine stream",
        "in a slow stream",
        "in short bursts",
        "in bursts",
        "in order",
        "drop by drop",
        "little by little",
        "a little at a time",
        "one by one",
        "one at a time",
        "one after another",
        "one after the other",
        "bit by bit",
        "all at once",
        "dropwise",
        "gradually",
        "slowly",
        "gently",
        "carefully",
        "thoroughly",
        "together",
        "separately",
        "briefly",
        "again",
        "well",
    ];
    let found = WAYS.iter().find_map(|way| {
        let rest = scan::strip_prefix(text.text, way)?;
        rest.chars()
            .next()
            .is_none_or(|c| scan::is_blank(c) || matches!(c, '.' | ';' | ')'))
            .then_some(way.len())
    });
    // `until smooth`: to the end.
    found.or_else(|| same(text.first_word(), "until").then_some(text.text.len()))
}

/// `to its starting weight`, `to make 250 g`, `to taste`: what it is for, not where it goes.
fn is_purpose(after_to: Part<'_>) -> bool {
    let mut words = after_to.words().map(|(_, w)| w.trim_end_matches('.'));
    let first = words.next().unwrap_or("");
    let second = words.next().unwrap_or("");
    [
        "its", "starting", "weight", "make", "replace", "taste", "finish", "form", "give",
    ]
    .iter()
    .any(|w| same(w, first))
        || same(first, "the")
            && ["starting", "start", "original", "target", "mark"]
                .iter()
                .any(|w| same(w, second))
}

/// The heat of a clause, where it names one temperature.
impl Clause {
    pub fn celsius(&self) -> Option<Decimal> {
        match self.heat.as_ref()?.value {
            Heat::At(t) | Heat::Below(t) | Heat::Above(t) => Some(t.celsius),
            Heat::Between(_, high) => Some(high.celsius),
            Heat::Room => None,
        }
    }

    /// From verb to end: what a message about the clause points at.
    pub fn verb_span(&self) -> Span {
        self.verb.as_ref().map_or(self.span, |v| v.span)
    }
}
