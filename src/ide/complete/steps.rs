//! What may follow inside a step: behind a verb its phases and materials, behind `to` a temperature, behind `into` a phase.

use super::list::{List, listed};
use super::slot::is_blank;
use super::vocabulary::{labels, verbs};
use super::{Completion, CompletionKind};
use crate::chem::units::Unit;
use crate::ide::Snapshot;
use crate::syntax::VERBS;
use crate::syntax::tree::{Heat, Verb};
use crate::text::Span;
use rust_decimal::Decimal;

/// `clause`: what is typed of the step, or of the part of it behind the last comma; `span` may reach behind the cursor.
pub fn offer(s: &Snapshot, line: u32, span: Span, clause: &str, invoked: bool) -> Vec<Completion> {
    let at = span.start as usize + clause.len();
    let part = |tail: &str| Span::new(at - tail.len(), span.end as usize);
    let Some((verb, rest)) = verb(clause) else {
        // A verb of several words: `measure pH`, `top up`.
        return listed(line, span, clause, &|l| verbs(s, l));
    };
    let (connector, tail) = connected(rest);
    if verb == Verb::AdjustPh && connector.is_none() {
        return listed(line, part(tail), tail, &|l| {
            l.add_beginning("pH", CompletionKind::Value, "of the whole", None)
        });
    }
    match connector {
        Some("into") => listed(line, part(tail), tail, &|l| labels(s, None, l)),
        Some("and") if takes_materials(verb) => listed(line, part(tail), tail, &|l| objects(s, l)),
        Some("and") if takes_phases(verb) => {
            listed(line, part(tail), tail, &|l| labels(s, None, l))
        }
        Some("and") => Vec::new(),
        Some(_) => temperatures(s, line, part(tail), tail, verb, invoked),
        None => {
            let tail = behind_quantity(tail);
            if takes_materials(verb) {
                return listed(line, part(tail), tail, &|l| objects(s, l));
            }
            let asks = matches!(verb, Verb::Hold | Verb::TopUp | Verb::Pour);
            if takes_phases(verb) && (asks || invoked || !tail.is_empty()) {
                return listed(line, part(tail), tail, &|l| labels(s, None, l));
            }
            if verb == Verb::Cool {
                return temperatures(s, line, part(tail), tail, verb, invoked);
            }
            Vec::new()
        }
    }
}

fn starts(whole: &str, beginning: &str) -> bool {
    let beginning = beginning.trim_end_matches(is_blank);
    whole
        .get(..beginning.len())
        .is_some_and(|w| w.eq_ignore_ascii_case(beginning))
}

/// The longest verb that the clause begins with, and what is typed behind it.
fn verb(clause: &str) -> Option<(Verb, &str)> {
    let found = VERBS
        .iter()
        .filter(|(word, _)| starts(clause, word) && clause[word.len()..].starts_with(is_blank));
    let (word, verb) = found.max_by_key(|(word, _)| word.len())?;
    Some((*verb, clause[word.len()..].trim_start_matches(is_blank)))
}

/// The last word that asks for more, and what is typed behind it.
fn connected(rest: &str) -> (Option<&'static str>, &str) {
    const WORDS: [&str; 7] = ["to", "at", "below", "above", "until", "into", "and"];
    let mut found = (None, rest);
    let mut from = 0;
    for word in rest.split_inclusive(is_blank) {
        let bare = word.trim_end_matches(is_blank);
        from += word.len();
        if bare.len() < word.len()
            && let Some(w) = WORDS.iter().find(|w| w.eq_ignore_ascii_case(bare))
        {
            found = (Some(*w), rest[from..].trim_start_matches(is_blank));
        }
    }
    found
}

/// `0.60 g lactic acid`: what stands behind the amount.
fn behind_quantity(tail: &str) -> &str {
    let digits = tail
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
        .unwrap_or(0);
    let behind = tail[digits..].trim_start_matches(is_blank);
    match Unit::prefix(behind) {
        Some((_, unit)) if digits > 0 && behind[unit..].starts_with(is_blank) => {
            behind[unit..].trim_start_matches(is_blank)
        }
        _ => tail,
    }
}

fn takes_materials(verb: Verb) -> bool {
    matches!(
        verb,
        Verb::Weigh
            | Verb::Slurry
            | Verb::Sprinkle
            | Verb::Hydrate
            | Verb::Dissolve
            | Verb::Melt
            | Verb::Grind
            | Verb::Sieve
            | Verb::Heat
            | Verb::Add
            | Verb::Neutralize
            | Verb::Thicken
    )
}

fn takes_phases(verb: Verb) -> bool {
    matches!(
        verb,
        Verb::Hold | Verb::TopUp | Verb::Pour | Verb::Blend | Verb::Stir | Verb::Homogenize
    )
}

/// The phases, then the materials of the formula.
fn objects(s: &Snapshot, list: &mut List) {
    labels(s, None, list);
    let Some(f) = &s.formula else { return };
    for r in &f.rows {
        let phase = r.phase.map(|p| &f.phases[p]);
        let detail = phase
            .filter(|p| !p.label.is_empty())
            .map_or(String::new(), |p| format!("of phase {}", p.label));
        list.add_beginning(&r.name.value, CompletionKind::Ingredient, &detail, None);
    }
}

/// What a cream is commonly cooled to before heat-sensitive things go in, and before the pH is read (practice).
const COOLED_TO: [i64; 2] = [40, 25];

/// The temperatures that the phases name. Digits may be the whole of it, so behind them the maker has to ask.
fn temperatures(
    s: &Snapshot,
    line: u32,
    span: Span,
    tail: &str,
    verb: Verb,
    invoked: bool,
) -> Vec<Completion> {
    let warms = matches!(verb, Verb::Heat | Verb::Hold | Verb::Cool | Verb::Add);
    let digits = tail.starts_with(|c: char| c.is_ascii_digit());
    if !warms || digits && !invoked {
        return Vec::new();
    }
    let to = match verb {
        // `cool` alone, or `cool down`.
        Verb::Cool if !follows_connector(s.text(line), span) => "to ",
        _ => "",
    };
    let degrees = s.degrees();
    listed(line, span, tail, &|l| {
        let phases = s.formula.iter().flat_map(|f| &f.phases);
        for p in phases {
            let (t, fits) = match p.heat.as_ref().map(|h| h.value) {
                Some(Heat::At(t)) => (t, verb != Verb::Cool),
                Some(Heat::Below(t)) => (t, verb != Verb::Heat),
                _ => continue,
            };
            if fits {
                let shown = format!("{to}{}", degrees.show(t.celsius));
                let detail = format!("as phase {} says", p.label);
                l.add_beginning(&shown, CompletionKind::Value, &detail, None);
            }
        }
        if verb == Verb::Cool {
            for celsius in COOLED_TO {
                let shown = format!("{to}{}", degrees.show(Decimal::from(celsius)));
                l.add_beginning(&shown, CompletionKind::Value, "", None);
            }
        }
    })
}

fn follows_connector(text: &str, span: Span) -> bool {
    let before = text[..span.start as usize].trim_end_matches(is_blank);
    let word = before.rsplit(is_blank).next().unwrap_or_default();
    ["to", "at", "below", "above", "until"]
        .iter()
        .any(|w| w.eq_ignore_ascii_case(word))
}
