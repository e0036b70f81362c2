//! Ingredients by any name, what makers have first, with a usual amount to start from.

use super::index::{self, Asked, Found, Level};
use super::{Completion, CompletionKind, at_hand};
use crate::ide::{Snapshot, place};
use crate::kb::names::key;
use crate::kb::schema::{Ingredient, PhaseKind, UseBasis, UseLevel};
use crate::kb::{Kb, Lookup};
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
struct Row {
    replace: Place,
    around: Around,
    /// Another row fills up to 100 % already.
    fills: bool,
    typed: String,
}

/// Whether what is typed is a full name: one material goes by it, or several do and the maker is asked which.
pub fn is_name(kb: &Kb, name: &str) -> bool {
    !matches!(kb.lookup(name), Lookup::Unknown)
}

/// Materials by what is typed of their name. A name that is typed in full has no offers: Enter would change it. A longer name is offered
/// again at the next letter.
pub fn offer(
    s: &Snapshot,
    line: u32,
    typed: &str,
    replace: Place,
    around: Around,
) -> Vec<Completion> {
    if is_name(&s.kb, typed) {
        return Vec::new();
    }
    let f = s.formula.as_ref();
    let phase = f
        .zip(s.phase_around(line))
        .and_then(|(f, p)| place::kind_of(s, f, p));
    let fills = f.is_some_and(|f| {
        f.rows
            .iter()
            .any(|r| r.line != line && matches!(r.amount.value, Amount::Fill { .. }))
    });
    let asked = Asked {
        phase,
        at_hand: &at_hand::of(&s.path, &s.kb),
        hair: f.is_some_and(|f| f.product.has("hair")),
    };
    let row = Row {
        replace,
        around,
        fills,
        typed: key(typed),
    };
    if is_cas_begun(typed.trim()) {
        return by_cas(s, typed.trim(), &row);
    }
    index::search(&s.kb, typed, &asked, |n, found| one(s, n, &found, &row))
}

/// `56-8`: digits, a hyphen, and more of a CAS number.
fn is_cas_begun(typed: &str) -> bool {
    typed.split_once('-').is_some_and(|(first, rest)| {
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        (2..=7).contains(&first.len()) && digits(first) && digits(rest)
    })
}

/// Materials whose CAS number begins so. The name is written, for the number says nothing to who reads the formula.
fn by_cas(s: &Snapshot, typed: &str, row: &Row) -> Vec<Completion> {
    let before = if row.around == Around::Edge { "  " } else { "" };
    let mut found: Vec<(&str, &str, crate::kb::Id)> = Vec::new();
    for id in s.kb.ids() {
        let number = s.kb.get(id).cas.iter().find(|cas| cas.starts_with(typed));
        found.extend(number.map(|number| (number.as_str(), s.kb.name(id), id)));
    }
    found.sort_unstable();
    found.truncate(index::MAX_ITEMS);
    let offer = |(n, (number, name, id)): (usize, (&str, &str, crate::kb::Id))| Completion {
        label: name.to_owned(),
        kind: CompletionKind::Ingredient,
        aside: format!(" ({number})"),
        brief: "by its CAS number".to_owned(),
        detail: format!("CAS {number}"),
        replace: row.replace,
        insert: format!("{before}{name}"),
        snippet: None,
        sort: format!("{n:04}"),
        filter: String::new(),
        id: Some(s.kb.get(id).id.to_string()),
    };
    found.into_iter().enumerate().map(offer).collect()
}

fn one(s: &Snapshot, n: usize, found: &Found, row: &Row) -> Completion {
    // A name that several materials share is not written down: the one that is meant is.
    let plain = found.loose || [&row.typed, &key(found.shown)].contains(&&key(found.written));
    let name = if plain { found.shown } else { found.written };
    let level = choose(s.formula.as_deref(), &found.uses, |u| u.product);
    let before = if row.around == Around::Edge { "  " } else { "" };
    let amount = (row.around != Around::Name)
        .then(|| amount(found, level, row.fills))
        .flatten();
    let aside = match found.loose {
        true if key(found.written) != key(name) => format!(" ({})", found.written),
        _ => String::new(),
    };
    let (brief, detail) = words(s, found, name, level);
    Completion {
        label: name.to_owned(),
        kind: CompletionKind::Ingredient,
        aside,
        brief,
        detail,
        replace: row.replace,
        insert: format!("{before}{name}"),
        // The whole amount is what the next key replaces.
        snippet: amount.map(|a| format!("{before}{}  ${{1:{a}}}", escaped(name))),
        sort: format!("{n:04}"),
        filter: String::new(),
        id: Some(found.written_id.to_owned()),
    }
}

/// Role and usual amount; with them the phase, and by what other name the material goes.
fn words(s: &Snapshot, found: &Found, name: &str, level: Option<&Level>) -> (String, String) {
    let own = match s.kb.user_file(found.id).is_some() {
        true => "your own",
        false => "",
    };
    let role = found.role.replace('-', " ");
    let range = level.map_or(String::new(), |u| match (u.low, u.high) {
        ("", "") => String::new(),
        (n, "") | ("", n) => format!("{n} %"),
        (l, h) if l == h => format!("{l} %"),
        (l, h) => format!("{l} to {h} %"),
    });
    let usually = match range.is_empty() {
        true => String::new(),
        false => format!("usually {range}"),
    };
    let phase = match found.phase {
        Some(PhaseKind::Water) => "water phase",
        Some(PhaseKind::Oil) => "oil phase",
        Some(PhaseKind::CoolDown) => "cool-down",
        Some(PhaseKind::Surfactant) => "surfactants",
        Some(PhaseKind::Powder) => "powders",
        Some(PhaseKind::Any) | None => "",
    };
    let other = match name == found.shown {
        false => found.shown,
        true if found.inci.eq_ignore_ascii_case(name) => "",
        true => found.inci,
    };
    let joined = |parts: &[&str]| {
        let said: Vec<&str> = parts.iter().copied().filter(|p| !p.is_empty()).collect();
        said.join(", ")
    };
    (
        joined(&[own, &role, &range]),
        joined(&[own, &role, phase, &usually, other]),
    )
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
        .filter(|u| u.of == UseBasis::Formula)
        .collect();
    choose(f, &levels, |u| u.product.as_str()).copied()
}

/// The low end of the usual range to start from; water fills up where nothing else does.
fn amount(found: &Found, level: Option<&Level>, fills: bool) -> Option<String> {
    if found.water && !fills {
        return Some("q.s.".to_owned());
    }
    let start = level
        .map(|u| if u.low.is_empty() { u.high } else { u.low })
        .filter(|n| !n.is_empty())?;
    Some(format!("{start} %"))
}

/// No sign of a name may be taken for a mark of the snippet.
pub fn escaped(name: &str) -> String {
    name.replace('\\', "\\\\")
        .replace('$', "\\$")
        .replace('}', "\\}")
}
