//! Ingredients by any name, what fits the phase first, with a usual amount to start from.

use super::index::{self, Found, Level};
use super::{Completion, CompletionKind};
use crate::ide::{Snapshot, place};
use crate::kb::schema::{Base, Ingredient, UseLevel};
use crate::model::Formula;
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

pub fn offer(
    s: &Snapshot,
    line: u32,
    typed: &str,
    replace: Place,
    around: Around,
) -> Vec<Completion> {
    let wanted = s
        .formula
        .as_ref()
        .zip(s.phase_around(line))
        .and_then(|(f, p)| place::kind_of(s, f, p));
    let fills = s.formula.as_ref().is_some_and(|f| {
        f.rows
            .iter()
            .any(|r| r.line != line && matches!(r.amount.value, Amount::Fill { .. }))
    });
    let asked = Asked {
        typed,
        typed_low: typed.to_lowercase(),
        replace,
        around,
        fills,
    };
    index::search(&s.kb, typed, wanted, |n, found| one(s, n, &found, &asked))
}

fn one(s: &Snapshot, n: usize, found: &Found, asked: &Asked) -> Completion {
    // A name that several materials share is not written down: the one that is meant is.
    let name = if found.loose {
        found.shown
    } else {
        found.written
    };
    let level = choose(s.formula.as_ref(), &found.uses, |u| u.product);
    let before = if asked.around == Around::Edge {
        "  "
    } else {
        ""
    };
    let amount = (asked.around != Around::Name)
        .then(|| amount_snippet(found, level, asked.fills))
        .flatten();
    Completion {
        label: name.to_owned(),
        kind: CompletionKind::Ingredient,
        detail: detail(s, found, name, level),
        replace: asked.replace,
        insert: format!("{before}{name}"),
        snippet: amount.map(|a| format!("{before}{}  {a}", escaped(name))),
        sort: format!("{n:04}"),
        filter: if found.written.to_lowercase().contains(&asked.typed_low) {
            found.written.to_owned()
        } else {
            asked.typed.to_owned()
        },
        id: Some(found.written_id.to_owned()),
    }
}

fn detail(s: &Snapshot, found: &Found, name: &str, level: Option<&Level>) -> String {
    let own = if s.kb.own_file(found.id).is_some() {
        "your own"
    } else {
        ""
    };
    let other = match name == found.shown {
        false => found.shown,
        true if found.inci.eq_ignore_ascii_case(name) => "",
        true => found.inci,
    };
    let range = level.map_or(String::new(), |u| match (u.low, u.high) {
        ("", "") => String::new(),
        (n, "") | ("", n) => format!("usually {n} %"),
        (l, h) if l == h => format!("usually {l} %"),
        (l, h) => format!("usually {l} to {h} %"),
    });
    let parts: Vec<&str> = [own, other, found.role, &range]
        .into_iter()
        .filter(|p| !p.is_empty())
        .collect();
    parts.join(", ")
}

/// The level of use for this kind of product, else the general one, else the first.
fn choose<'a, T>(
    f: Option<&Formula>,
    levels: &'a [T],
    product: impl Fn(&T) -> &str,
) -> Option<&'a T> {
    let find = |fits: &dyn Fn(&str) -> bool| levels.iter().find(|u| fits(product(u)));
    let kind = f
        .and_then(|f| f.fields.product_kind)
        .and_then(|k| find(&|p| p == k.name));
    let word = || f.and_then(|f| find(&|p| f.product.has(p)));
    kind.or_else(word)
        .or_else(|| find(&|p| p == "any"))
        .or(levels.first())
}

/// The level of use of the whole formula that fits its product.
pub(super) fn usual<'a>(f: Option<&Formula>, entry: &'a Ingredient) -> Option<&'a UseLevel> {
    let levels: Vec<&UseLevel> = entry
        .r#use
        .iter()
        .filter(|u| u.of == Base::Formula)
        .collect();
    choose(f, &levels, |u| u.product.as_str()).copied()
}

/// The low end of the usual range to start from; water fills up where nothing else does.
fn amount_snippet(found: &Found, level: Option<&Level>, fills: bool) -> Option<String> {
    if found.water && !fills {
        return Some("${1:q.s.}$0".to_owned());
    }
    let start = level
        .map(|u| if u.low.is_empty() { u.high } else { u.low })
        .filter(|n| !n.is_empty())?;
    Some(format!("${{1:{start}}} %$0"))
}

/// No sign of a name may be taken for a mark of the snippet.
pub(super) fn escaped(name: &str) -> String {
    name.replace('\\', "\\\\")
        .replace('$', "\\$")
        .replace('}', "\\}")
}
