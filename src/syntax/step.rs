//! A step of the method: clauses, each with its verb, what it acts on and its numbers. Nothing here is an error for
//! want of understanding: a clause without a known verb is kept as text.

use super::grammar::{self, Rule, part_of};
use super::heat;
use super::measure::Figures;
use super::number;
use super::scan::{self, Part, same};
use super::tree::{Clause, Heat, Step, SyntaxError, Verb};
use super::verbs;
use crate::text::{Span, Spanned};
use pest::iterators::Pair;
use rust_decimal::Decimal;
use smol_str::SmolStr;

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

/// Parts the step at commas and semicolons, at `then`, and at `and` or `while` before a verb. A comma between two digits is
/// a decimal mark or part of a name, one inside brackets or quotes parts nothing, and so does one in a list of phases
/// (`heat A, B and C`).
fn parts(line: Part<'_>) -> Vec<Part<'_>> {
    let mut out = Vec::with_capacity(3);
    let text = line.text;
    let bytes = text.as_bytes();
    let mut start = 0;
    let mut depth = 0usize;
    let mut quoted = false;
    let mut push = |from: usize, to: usize| {
        let part = line.slice(from, to).trim();
        if !part.is_empty() {
            out.push(part);
        }
    };
    let mut at = 0;
    while at < bytes.len() {
        match bytes[at] {
            b'(' | b'[' => depth += 1,
            b')' | b']' => depth = depth.saturating_sub(1),
            b'"' => quoted = !quoted,
            b',' | b';' if depth == 0 && !quoted => {
                let digits = at > 0
                    && bytes[at - 1].is_ascii_digit()
                    && bytes.get(at + 1).is_some_and(u8::is_ascii_digit);
                let listed = bytes[at] == b','
                    && is_label(last_word(&text[start..at]))
                    && is_list_word(line.from(at + 1).first_word());
                if !digits && !listed {
                    push(start, at);
                    start = at + 1;
                }
            }
            b' ' | b'\t' if depth == 0 && !quoted => {
                if let Some((from, to)) = joint(line, start, at) {
                    push(start, from);
                    start = to;
                    at = to;
                    continue;
                }
            }
            _ => {}
        }
        at += 1;
    }
    push(start, text.len());
    out
}

fn last_word(text: &str) -> &str {
    text.rsplit(scan::is_blank).next().unwrap_or("")
}

/// `and then`, `then`, and `and`/`while` before a verb: from where to where the joint runs.
fn joint(line: Part<'_>, start: usize, at: usize) -> Option<(usize, usize)> {
    if line.slice(start, at).trim().is_empty() {
        return None;
    }
    let rest = line.from(at);
    let mut words = rest.words();
    let (first_at, first) = words.next()?;
    let after_first = at + first_at + first.len();
    if same(first, "then") {
        return Some((at, after_first));
    }
    if same(first, "and") || same(first, "while") {
        let (second_at, second) = words.next()?;
        if same(second, "then") {
            return Some((at, at + second_at + second.len()));
        }
        if verbs::begins(line.from(after_first)) {
            return Some((at, after_first));
        }
    }
    None
}

/// `A`, `B2`, `A1.`
fn is_label(word: &str) -> bool {
    let word = word.trim_end_matches(['.', ',']);
    let mut chars = word.chars();
    chars.next().is_some_and(|c| c.is_ascii_uppercase())
        && chars.clone().count() <= 3
        && chars.all(|c| c.is_ascii_digit() || c.is_ascii_uppercase())
}

fn is_list_word(word: &str) -> bool {
    is_label(word) || same(word, "phase")
}

/// Where the words of a clause go.
#[derive(Clone, Copy, PartialEq)]
enum Slot {
    Objects,
    Into,
    With,
    Nowhere,
}

struct Reader<'a> {
    base: Part<'a>,
    slot: Slot,
    /// First and last byte of the words that are being gathered.
    open: Option<(usize, usize)>,
    objects: Vec<Spanned<SmolStr>>,
    into: Option<Spanned<SmolStr>>,
    with: Option<Spanned<SmolStr>>,
}

impl<'a> Reader<'a> {
    fn word(&mut self, part: Part<'a>) {
        if self.slot == Slot::Nowhere {
            return;
        }
        let start = part.at - self.base.at;
        let end = start + part.text.len();
        self.open = Some(self.open.map_or((start, end), |(from, _)| (from, end)));
    }

    /// Ends the words that are being gathered; more of the same may follow.
    fn pause(&mut self) {
        self.close(self.slot);
    }

    /// Ends the words that are being gathered and goes on with `slot`.
    fn close(&mut self, slot: Slot) {
        let from = std::mem::replace(&mut self.slot, slot);
        let Some((start, end)) = self.open.take() else {
            return;
        };
        let part = strip(self.base.slice(start, end));
        if part.is_empty() {
            return;
        }
        let value = Spanned::new(part.text.into(), part.span());
        match from {
            Slot::Objects => self.objects.push(value),
            Slot::Into => self.into = self.into.take().or(Some(value)),
            // `with stirring` says how, not with what.
            Slot::With if !verbs::begins(part) => self.with = self.with.take().or(Some(value)),
            _ => {}
        }
    }
}

/// Without `the`, `of`, `some` before and stops behind.
fn strip(part: Part<'_>) -> Part<'_> {
    let mut part = Part::new(part.text.trim_end_matches(['.', ';', ':']), part.at).trim();
    loop {
        let first = part.first_word();
        let skip = ["the", "of", "some", "all", "a", "remaining", "rest"].contains(&first);
        if !skip || first.len() == part.text.len() {
            return part;
        }
        part = part.from(first.len()).trim();
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

/// What to ask the grammar for at a word: a figure, or one that leads to a figure.
fn quantity_rule(word: &str) -> Option<Rule> {
    const LEADS: [&str; 23] = [
        "to",
        "at",
        "for",
        "below",
        "under",
        "above",
        "over",
        "between",
        "when",
        "once",
        "as",
        "after",
        "while",
        "until",
        "till",
        "down",
        "up",
        "about",
        "around",
        "approximately",
        "approx",
        "room",
        "ambient",
    ];
    match word.as_bytes()[0] {
        b'0'..=b'9' | b'.' => Some(Rule::a_count),
        b'~' => Some(Rule::quantity),
        b'p' | b'P' => same(word, "ph").then_some(Rule::a_ph),
        _ if word.starts_with(['½', '¼', '¾']) => Some(Rule::a_count),
        _ => LEADS
            .iter()
            .any(|l| same(l, word))
            .then_some(Rule::quantity),
    }
}

/// How it is done, which changes nothing: `in portions`, `slowly`. Answers how long that is.
fn manner(text: Part<'_>) -> Option<usize> {
    const WAYS: [&str; 20] = [
        "in portions",
        "in small portions",
        "in parts",
        "in batches",
        "in steps",
        "in a thin stream",
        "in a fine stream",
        "in a slow stream",
        "drop by drop",
        "bit by bit",
        "all at once",
        "dropwise",
        "gradually",
        "slowly",
        "gently",
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

fn quantity<'a>(
    clause: &mut Clause,
    reader: &mut Reader<'a>,
    pair: Pair<'a, Rule>,
    base: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) {
    let part = part_of(&pair, base).trim();
    let span = part.span();
    if pair.as_rule() == Rule::counted {
        let unit = pair.clone().into_inner().last().map(|u| u.as_rule());
        match unit {
            Some(Rule::dose_unit) => dose(clause, reader, pair, part, base, errors),
            Some(Rule::celsius | Rule::fahrenheit | Rule::no_scale) => {
                reader.pause();
                keep(heat::warmth(pair, base), errors, |(low, high)| {
                    let heat = heat::at(low, high);
                    clause.heat = clause.heat.take().or(Some(Spanned::new(heat, span)));
                });
            }
            _ => {
                reader.pause();
                keep(heat::minutes(pair, base), errors, |m| {
                    clause.minutes = clause.minutes.take().or(Some(Spanned::new(m, span)))
                });
            }
        }
        return;
    }
    reader.pause();
    match pair.as_rule() {
        Rule::step_heat => keep(heat::heat(pair, base), errors, |h| {
            clause.heat = clause.heat.take().or(h.map(|h| Spanned::new(h, span)));
        }),
        Rule::step_for => {
            if let Some(d) = pair.into_inner().find(|p| p.as_rule() == Rule::duration) {
                keep(heat::minutes(d, base), errors, |m| {
                    clause.minutes = clause.minutes.take().or(Some(Spanned::new(m, span)))
                });
            }
        }
        Rule::step_ph => keep(heat::numbers(pair, base), errors, |n| {
            clause.ph = clause.ph.take().or(Some(Spanned::new(n, span)))
        }),
        _ => {
            let verb = clause.verb.as_ref().map(|v| v.value);
            bare(clause, verb, pair, part, base, errors);
        }
    }
}

fn keep<T>(
    read: Result<T, Box<SyntaxError>>,
    errors: &mut Vec<SyntaxError>,
    mut take: impl FnMut(T),
) {
    match read {
        Ok(value) => take(value),
        Err(error) => errors.push(*error),
    }
}

/// `to 75`: a pH where pH is adjusted; where heat is due, its scale is missing.
fn bare(
    clause: &mut Clause,
    verb: Option<Verb>,
    piece: Pair<'_, Rule>,
    part: Part<'_>,
    body: Part<'_>,
    errors: &mut Vec<SyntaxError>,
) {
    let figures: Vec<Part<'_>> = piece
        .clone()
        .into_inner()
        .filter(|c| number::is_figure(c.as_rule()))
        .map(|c| part_of(&c, body))
        .collect();
    match verb {
        Some(Verb::AdjustPh | Verb::MeasurePh | Verb::Neutralize) => {
            keep(
                heat::numbers(piece, body),
                errors,
                |n: (Decimal, Decimal)| clause.ph = Some(Spanned::new(n, part.span())),
            );
        }
        Some(Verb::Heat | Verb::Cool | Verb::Melt | Verb::Hold) => {
            if let Some(last) = figures.last() {
                errors.push(*heat::scale_missing(*last));
            }
        }
        _ => {}
    }
}

/// `0.60 g` before a name is what is added; `10 %` behind one is a strength and part of it.
fn dose<'a>(
    clause: &mut Clause,
    reader: &mut Reader<'a>,
    piece: Pair<'a, Rule>,
    part: Part<'a>,
    body: Part<'a>,
    errors: &mut Vec<SyntaxError>,
) {
    let Some(figures) = Figures::of(piece.into_inner(), body) else {
        return;
    };
    let percent = figures
        .unit
        .is_some_and(|u| u.text.starts_with(['%', '\u{FF05}']));
    let named = reader.open.is_some();
    if clause.amount.is_some() || percent && named || reader.slot == Slot::Nowhere {
        reader.word(part);
        return;
    }
    match figures.measure() {
        Ok(measure) => clause.amount = Some(measure),
        Err(error) => errors.push(*error),
    }
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
