//! On the pH line: what each ingredient needs, and whether one pH suits them all.

use crate::ide::{Snapshot, words::text};
use crate::kb::schema::{Ingredient, Range};
use crate::model::{Formula, system};
use crate::rules::words;
use rust_decimal::Decimal;

/// A window of one row: its name, what happens in it, the range.
struct Need<'a> {
    name: String,
    verb: &'static str,
    range: &'a Range,
}

pub(super) fn line(s: &Snapshot) -> Option<String> {
    let f = s.formula.as_ref()?;
    let aim = system::ph_aim(f);
    let mut out = match aim {
        Some(aim) => {
            format!("**Aims at pH {}**{}\n\n", super::heading::aim_words(aim), if aim.exact { ", as a q.s. row says" } else { "" })
        }
        None => "**pH of the product**\n\n".to_owned(),
    };
    let needs = needs(s, f);
    if needs.is_empty() {
        out.push_str("No ingredient here is known to need a certain pH.\n");
        return Some(out);
    }
    for n in &needs {
        let outside = aim.filter(|a| n.range.low.is_some_and(|l| a.low < l.0) || n.range.high.is_some_and(|h| a.high > h.0));
        let mark = if outside.is_some() { "**outside:** " } else { "" };
        let why = n.range.why.as_ref().map_or(String::new(), |w| format!(": {}", text(w)));
        out.push_str(&format!(
            "- {mark}{} {} {} ({}){why}\n",
            text(&n.name),
            n.verb,
            words::range(n.range),
            super::heading::kind(s, &n.range.source)
        ));
    }
    out.push_str(&common(&needs));
    Some(out)
}

fn needs<'a>(s: &'a Snapshot, f: &Formula) -> Vec<Need<'a>> {
    let mut out: Vec<Need> = Vec::new();
    for row in &f.rows {
        let Some(id) = row.id() else { continue };
        let entry = s.kb.get(id);
        let before = out.len();
        of_entry(entry, &row.name.value, &mut out);
        // A blend without windows of its own has those of its parts.
        if out.len() == before {
            for part in &entry.composition {
                if let Some((part_id, part)) = s.kb.substance(&part.of) {
                    of_entry(part, &format!("{} in {}", s.kb.name(part_id), row.name.value), &mut out);
                }
            }
        }
    }
    let mut seen: Vec<(String, &str)> = Vec::new();
    out.retain(|n| {
        let key = (n.name.clone(), n.verb);
        let new = !seen.contains(&key);
        if new {
            seen.push(key);
        }
        new
    });
    out
}

fn of_entry<'a>(entry: &'a Ingredient, name: &str, out: &mut Vec<Need<'a>>) {
    // What sets the pH does not ask for one.
    if entry.roles.first().is_some_and(|r| matches!(r.as_str(), "acid" | "base" | "buffer")) {
        return;
    }
    out.extend(entry.ph.works.as_ref().map(|range| Need { name: name.to_owned(), verb: "works at pH", range }));
    out.extend(
        entry
            .ph
            .bears
            .as_ref()
            .filter(|b| !entry.ph.works.as_ref().is_some_and(|w| w.low == b.low && w.high == b.high))
            .map(|range| Need { name: name.to_owned(), verb: "lasts at pH", range }),
    );
}

fn common(needs: &[Need]) -> String {
    let low: Option<Decimal> = needs.iter().filter_map(|n| n.range.low).map(|n| n.0).max();
    let high: Option<Decimal> = needs.iter().filter_map(|n| n.range.high).map(|n| n.0).min();
    match (low, high) {
        (Some(l), Some(h)) if l > h => "\n**No pH suits all of them.**\n".to_owned(),
        (Some(l), Some(h)) if l == h => format!("\n**Suits all:** pH {}\n", l.normalize()),
        (Some(l), Some(h)) => format!("\n**Suits all:** pH {} to {}\n", l.normalize(), h.normalize()),
        (Some(l), None) => format!("\n**Suits all:** pH {} or above\n", l.normalize()),
        (None, Some(h)) => format!("\n**Suits all:** pH {} or below\n", h.normalize()),
        (None, None) => String::new(),
    }
}
