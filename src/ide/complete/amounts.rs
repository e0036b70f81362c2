//! Amounts of a row: the usual range, `q.s.` in its forms, units.

use super::list::List;
use super::{CompletionKind, ingredients};
use crate::ide::Snapshot;
use crate::kb::Lookup;
use crate::model::Basis;
use crate::text::Span;

/// Numbers have their unit, q.s. its forms; nothing typed: the usual range of the material.
pub fn amounts(s: &Snapshot, name: &str, typed: &str, list: &mut List) {
    let digits = typed
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .count();
    if digits > 0 {
        return units(s, &typed[digits..], list);
    }
    let value = CompletionKind::Value;
    if typed.is_empty()
        && let Lookup::Known { id, .. } = s.kb.lookup(name)
        && let Some(u) = ingredients::usual(s.formula.as_deref(), s.kb.get(id))
    {
        for (n, which) in [
            (u.low, "the low end of the usual range"),
            (u.high, "the high end of the usual range"),
        ] {
            if let Some(n) = n {
                list.add_beginning(&format!("{n} %"), value, which, None);
            }
        }
    }
    let forms = [
        ("q.s.", "fills up to 100 %", None),
        (
            "q.s. to pH 5.2, about 1 %",
            "as much as it takes to reach a pH",
            Some("q.s. to pH ${1:5.2, about 1 %}"),
        ),
        (
            "q.s., about 0.5 %, at most 2 %",
            "as much as it takes",
            Some("q.s., about ${1:0.5 %, at most 2 %}"),
        ),
    ];
    for (label, detail, snippet) in forms {
        list.add_beginning(label, value, detail, snippet.map(str::to_owned));
    }
}

/// The unit behind a number; what stands between them stays as it is.
fn units(s: &Snapshot, behind_number: &str, list: &mut List) {
    let typed = behind_number.trim_start();
    let gap = if typed.len() < behind_number.len() {
        ""
    } else {
        " "
    };
    let end = list.place.span.end as usize;
    let span = Span::new(end - typed.len(), end);
    let mut units = List::new(list.place.line, span, typed);
    let weighed = s.formula.as_ref().is_some_and(|f| f.basis == Basis::Weight);
    let shares = [("%", "percent by weight")];
    let weights = [
        ("g", "grams"),
        ("mg", "milligrams"),
        ("kg", "kilograms"),
        ("oz", "ounces, by weight"),
    ];
    let others = [
        ("parts", "parts by weight"),
        ("mL", "millilitres: an estimate, better weighed"),
        ("tsp", "teaspoons: an estimate, better weighed"),
        ("tbsp", "tablespoons: an estimate, better weighed"),
        ("drops", "drops: an estimate, better weighed"),
    ];
    let all = match weighed {
        true => weights.iter().chain(&shares).chain(&others),
        false => shares.iter().chain(&weights).chain(&others),
    };
    for (unit, help) in all {
        let written = format!("{gap}{unit}");
        units.add(unit, CompletionKind::Unit, help, &written, None);
    }
    list.full = units.full;
    list.out = units.out;
}
