//! Ingredients by any name, what fits the phase first, with a usual amount to start from.

use super::index::{self, Hit};
use super::{Completion, CompletionKind};
use crate::ide::{Snapshot, place};
use crate::kb::schema::{Base, Ingredient, UseLevel};
use crate::model::{Formula, system};
use crate::syntax::tree::Amount;
use crate::text::Place;

/// How the row stands around the name.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Around {
    /// Nothing follows: an amount may be put behind the name.
    Open,
    /// An amount follows, or none belongs there.
    Name,
    /// The line begins at the left edge of a phase: blanks are put before the name.
    Edge,
}

/// What all offers of one request have in common.
struct Asked<'a> {
    typed: &'a str,
    typed_low: String,
    replace: Place,
    around: Around,
    /// Another row fills up to 100 % already.
    fills: bool,
}

pub fn offer(s: &Snapshot, line: u32, typed: &str, replace: Place, around: Around) -> Vec<Completion> {
    let wanted = s.formula.as_ref().zip(s.phase_around(line)).and_then(|(f, p)| place::kind_of(s, f, p));
    let fills = s.formula.as_ref().is_some_and(|f| f.rows.iter().any(|r| r.line != line && matches!(r.amount.value, Amount::Fill { .. })));
    let asked = Asked { typed, typed_low: typed.to_lowercase(), replace, around, fills };
    index::search(&s.kb, typed, wanted).iter().enumerate().map(|(n, h)| one(s, n, h, &asked)).collect()
}

fn one(s: &Snapshot, n: usize, h: &Hit, asked: &Asked) -> Completion {
    let entry: &Ingredient = &s.kb.glance(h.id);
    let found = index::written(entry, h.which);
    // A name that several materials share is not written down: the one that is meant is.
    let name = if index::is_loose(entry, h.which) { &h.shown } else { found };
    let level = usual(s.formula.as_ref(), entry);
    let before = if asked.around == Around::Edge { "  " } else { "" };
    let amount = (asked.around != Around::Name).then(|| amount_snippet(entry, level, asked.fills)).flatten();
    Completion {
        label: name.to_owned(),
        kind: CompletionKind::Ingredient,
        detail: detail(s, h, entry, name, level),
        replace: asked.replace,
        insert: format!("{before}{name}"),
        snippet: amount.map(|a| format!("{before}{}  {a}", escaped(name))),
        sort: format!("{n:04}"),
        filter: if found.to_lowercase().contains(&asked.typed_low) { found.to_owned() } else { asked.typed.to_owned() },
        id: Some(entry.id.clone()),
    }
}

fn detail(s: &Snapshot, h: &Hit, entry: &Ingredient, name: &str, level: Option<&UseLevel>) -> String {
    let mut out = String::with_capacity(64);
    let mut add = |part: &str| {
        if !part.is_empty() {
            if !out.is_empty() {
                out.push_str(", ");
            }
            out.push_str(part);
        }
    };
    if s.kb.own_file(h.id).is_some() {
        add("your own");
    }
    if name != h.shown {
        add(&h.shown);
    } else if let Some(inci) = entry.inci.as_deref().filter(|i| !i.eq_ignore_ascii_case(name)) {
        add(inci);
    }
    add(entry.roles.first().map_or("", String::as_str));
    if let Some(u) = level {
        let range = match (u.low, u.high) {
            (Some(l), Some(h)) if l != h => format!("usually {l} to {h} %"),
            (Some(n), _) | (None, Some(n)) => format!("usually {n} %"),
            (None, None) => String::new(),
        };
        add(&range);
    }
    out
}

/// The level of use for this kind of product, else the general one.
pub(super) fn usual<'a>(f: Option<&Formula>, entry: &'a Ingredient) -> Option<&'a UseLevel> {
    let levels = || entry.r#use.iter().filter(|u| u.of == Base::Formula);
    let kind = |u: &&UseLevel| f.is_some_and(|f| f.fields.product_kind.is_some_and(|k| k.name == u.product));
    let word = |u: &&UseLevel| f.is_some_and(|f| f.product.has(&u.product));
    levels().find(kind).or_else(|| levels().find(word)).or_else(|| levels().find(|u| u.product == "any")).or_else(|| levels().next())
}

/// The low end of the usual range to start from; water fills up where nothing else does.
fn amount_snippet(entry: &Ingredient, level: Option<&UseLevel>, fills: bool) -> Option<String> {
    if system::is_water(entry) && !fills {
        return Some("${1:q.s.}$0".to_owned());
    }
    let start = level.and_then(|u| u.low.or(u.high))?;
    Some(format!("${{1:{start}}} %$0"))
}

/// No sign of a name may be taken for a mark of the snippet.
pub(super) fn escaped(name: &str) -> String {
    name.replace('\\', "\\\\").replace('$', "\\$").replace('}', "\\}")
}
