//! Words that several messages share: numbers, temperatures and lists as a maker reads them.

use crate::kb::Market;
use crate::kb::schema::Range;
use crate::model::{Basis, Formula, Total};
use crate::syntax::tree::{Heading, Heat, Node, Tree};
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::borrow::Cow;
use std::fmt::Write;

/// At most `digits` after the point, no trailing zeros; a tiny amount is never shown as none.
pub fn number(n: Decimal, digits: u32) -> String {
    let rounded = n.round_dp(digits);
    let shown = if rounded.is_zero() && !n.is_zero() {
        n.round_sf(2).unwrap_or(n)
    } else {
        rounded
    };
    // Room for a unit behind it too.
    let mut out = String::with_capacity(16);
    // Writing to a text never fails.
    let _ = write!(out, "{}", shown.normalize());
    out
}

/// A figure as people write it: up to three decimals as it is, else two, or three figures of what is below 1.
pub fn readable(n: Decimal) -> Decimal {
    let n = n.normalize();
    if n.scale() <= 3 {
        n
    } else if n.abs() >= Decimal::ONE {
        n.round_dp(2).normalize()
    } else {
        n.round_sf(3).unwrap_or(n).normalize()
    }
}

/// Percent as people write it.
pub fn readable_percent(n: Decimal) -> String {
    format!("{} %", readable(n))
}

pub fn percent(n: Decimal) -> String {
    number(n, 4) + " %"
}

/// "1.2 % phenoxyethanol"; a name that holds its strength is set apart: "0.9 % of "sodium hydroxide 10 %"".
pub fn dosed(n: Decimal, name: &str) -> String {
    let (before, after) = if name.contains('%') {
        (" of \"", "\"")
    } else {
        (" ", "")
    };
    [&percent(n), before, &brief(name), after].concat()
}

/// A share that was worked out: three figures that mean something.
pub fn share(n: Decimal) -> String {
    percent(n.round_sf(3).unwrap_or(n))
}

/// "it" or "them", and the like: the word for this many.
pub fn by_count<'a>(count: usize, one: &'a str, more: &'a str) -> &'a str {
    if count == 1 { one } else { more }
}

/// "a", "a and b", "a, b and c".
pub fn list(words: &[impl AsRef<str>]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [all @ .., last] => format!(
            "{} and {}",
            all.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", "),
            last.as_ref()
        ),
    }
}

/// A fact in one line has at most so many characters.
pub const LONGEST: usize = 110;

/// Two materials and why they do not go together; a long reason stands behind the fact.
pub fn pair(a: &str, b: &str, why: &str) -> (String, Option<String>) {
    let whole = format!("{a} and {b}: {why}");
    if whole.chars().count() <= LONGEST {
        (whole, None)
    } else {
        (
            format!("{a} and {b} do not go together"),
            Some(why.to_owned()),
        )
    }
}

/// A fact of law with the products that it is about; where they are many, they stand behind it.
pub fn scoped(fact: String, kinds: &[SmolStr], why: &mut Vec<String>) -> String {
    if kinds.is_empty() {
        return fact;
    }
    let whole = format!("{fact} in {}", scope(kinds));
    if whole.chars().count() <= LONGEST - ROOM_BEHIND {
        return whole;
    }
    why.push(format!("that is: in {}", scope(kinds)));
    format!("{fact} in this kind of product")
}

/// Room for what a fact says after its products.
const ROOM_BEHIND: usize = 25;

/// A name that has room in a fact with another: a long one is cut after some of its parts.
pub fn brief(name: &str) -> Cow<'_, str> {
    const LONG: usize = 48;
    if name.chars().count() <= LONG {
        return name.into();
    }
    let end = name
        .char_indices()
        .nth(LONG - 2)
        .map_or(name.len(), |(at, _)| at);
    let parts = name[..end].rfind(" (and)").or(name[..end].rfind(' '));
    format!("{} …", &name[..parts.unwrap_or(end)]).into()
}

/// With a capital, as a sentence begins.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// "a, b or c".
pub fn list_or<S: AsRef<str>>(all: &[S]) -> String {
    match all {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [all @ .., last] => {
            let all: Vec<&str> = all.iter().map(AsRef::as_ref).collect();
            [&all.join(", "), " or ", last.as_ref()].concat()
        }
    }
}

/// Names in a fact: as many as it has room for, the rest counted.
pub fn several(names: &[&str]) -> String {
    let mut room = 60;
    let fit = names
        .iter()
        .take_while(|name| {
            let fits = name.chars().count() <= room;
            room -= name.chars().count().min(room);
            fits
        })
        .count()
        .max(1);
    let rest = names.len().saturating_sub(fit);
    let mut shown: Vec<String> = names.iter().take(fit).map(|n| (*n).to_owned()).collect();
    if rest > 0 {
        shown.push(format!("{rest} more"));
    }
    list(&shown)
}

/// Each once, in order.
pub fn sorted<T: Ord>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut all: Vec<T> = all.collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Markets as a sentence names them: "the EU", "the EU and the UK", "CA and the US".
pub fn markets(all: &[Market]) -> String {
    let named: Vec<String> = all.iter().map(|m| market(*m)).collect();
    list(&named)
}

fn market(market: Market) -> String {
    match market {
        Market::Canada => "Canada".to_owned(),
        Market::EuropeanUnion | Market::UnitedKingdom | Market::UnitedStates => {
            format!("the {market}")
        }
    }
}

/// Where a row of law applies, as words before or after "products".
pub fn scope(words: &[SmolStr]) -> String {
    let groups: Vec<String> = words.iter().map(|w| kinds(w)).collect();
    let (people, kinds): (Vec<&String>, Vec<&String>) =
        groups.iter().partition(|g| g.starts_with("for "));
    let mut out = kinds
        .iter()
        .map(|g| g.as_str())
        .chain(["products"])
        .collect::<Vec<_>>()
        .join(" ");
    for p in people {
        out.push_str(&format!(" {p}"));
    }
    out
}

/// "face", "spray, pump spray or loose powder": the words that a row of law sets apart by bars.
pub fn kinds(words: &str) -> String {
    let all: Vec<String> = words.split('|').map(kind).collect();
    match all.as_slice() {
        [first @ .., last] if !first.is_empty() => format!("{} or {last}", first.join(", ")),
        one => one.concat(),
    }
}

fn kind(word: &str) -> String {
    match word {
        "under-3" => "for children under 3".to_owned(),
        "under-6" => "for children under 6".to_owned(),
        "under-10" => "for children under 10".to_owned(),
        "propellant-spray" | "pump-spray" | "loose-powder" | "hair-dye" | "hair-straightening"
        | "hair-waving" | "artificial-nail" => word.replace('-', " "),
        "mucous" => "mucous membrane".to_owned(),
        other => other.to_owned(),
    }
}

/// "4 to 6", "6 or below", "3 or above".
pub fn range(r: &Range) -> String {
    match (r.low, r.high) {
        (Some(l), Some(h)) => format!("{l} to {h}"),
        (None, Some(h)) => format!("{h} or below"),
        (Some(l), None) => format!("{l} or above"),
        (None, None) => String::new(),
    }
}

/// The sum of a formula as a maker says it.
pub fn total(f: &Formula) -> String {
    let unit = match f.basis {
        Basis::Weight => "g",
        Basis::Parts => "parts",
        Basis::Percent | Basis::Mixed | Basis::Nothing => "%",
    };
    match f.total {
        Total::Unknown { line } => format!("sum unknown: line {} cannot be read", line + 1),
        Total::Known(_) if f.basis == Basis::Mixed => {
            "sum unknown: percent and weights are mixed".to_owned()
        }
        Total::Known(_) if f.basis == Basis::Nothing => "no amounts yet".to_owned(),
        Total::Known(sum) => format!("{} {unit}", number(sum, 4)),
    }
}

/// An estimate from and to: "4.7 to 5.7", one figure where both read the same.
pub fn about(low: f64, high: f64, places: usize) -> String {
    let (low, high) = (format!("{low:.places$}"), format!("{high:.places$}"));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// Shows temperatures in the unit that the file uses.
#[derive(Clone, Copy, Debug)]
pub struct Degrees {
    fahrenheit: bool,
}

impl Degrees {
    pub fn of(tree: &Tree) -> Degrees {
        let weigh =
            |heat: Heat| match heat {
                Heat::At(t) | Heat::Below(t) | Heat::Above(t) | Heat::Between(t, _) => {
                    if t.fahrenheit { 1 } else { -1 }
                }
                Heat::Room => 0,
            };
        let balance: i32 = tree
            .lines
            .iter()
            .map(|at| match &at.line.node {
                Node::Heading(Heading::Phase(h) | Heading::Premix(h)) => {
                    h.heat.as_ref().map_or(0, |h| weigh(h.value))
                }
                Node::Step(s) => s
                    .clauses
                    .iter()
                    .filter_map(|c| c.heat.as_ref())
                    .map(|h| weigh(h.value))
                    .sum(),
                _ => 0,
            })
            .sum();
        Degrees {
            fahrenheit: balance > 0,
        }
    }

    pub fn unit(self) -> &'static str {
        if self.fahrenheit { "°F" } else { "°C" }
    }

    /// The bare figure in that unit.
    pub fn figure(self, celsius: Decimal) -> Decimal {
        if self.fahrenheit {
            celsius * Decimal::from(9) / Decimal::from(5) + Decimal::from(32)
        } else {
            celsius
        }
    }

    pub fn show(self, celsius: Decimal) -> String {
        format!(
            "{} {}",
            self.bare(celsius),
            if self.fahrenheit { "°F" } else { "°C" }
        )
    }

    /// The number alone, for the lower end of a range.
    pub fn bare(self, celsius: Decimal) -> String {
        if self.fahrenheit {
            number(
                celsius * Decimal::from(9) / Decimal::from(5) + Decimal::from(32),
                0,
            )
        } else {
            number(celsius, 1)
        }
    }

    /// A difference of temperatures.
    pub fn span(self, celsius: Decimal) -> String {
        if self.fahrenheit {
            format!(
                "{} °F",
                number(celsius * Decimal::from(9) / Decimal::from(5), 0)
            )
        } else {
            format!("{} °C", number(celsius, 1))
        }
    }
}
