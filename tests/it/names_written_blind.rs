//! `tests/names/everyday.tsv`: names as makers say them, written down before anyone looked what the base holds. Each must come
//! to its material, with the strength that it says, or be asked back.

use phasewright::kb::names::key;
use phasewright::kb::{Id, Kb, Lookup};
use rust_decimal::Decimal;
use std::collections::BTreeMap;

/// A line of the table.
struct Row<'a> {
    kind: &'a str,
    name: &'a str,
    must: &'a str,
    strength: Option<Decimal>,
    materials: Vec<&'a str>,
}

fn rows(table: &str) -> Vec<Row<'_>> {
    let lines = table.lines().filter(|l| !l.starts_with('#')).skip(1);
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            let [kind, name, must, strength, material, _first] = cells[..] else {
                panic!("not six columns: {line}");
            };
            assert!(["is", "is or ask", "ask", "none"].contains(&must), "{line}");
            Row {
                kind,
                name,
                must,
                strength: (!strength.is_empty()).then(|| strength.parse().expect("a strength")),
                materials: material.split(" | ").filter(|m| !m.is_empty()).collect(),
            }
        })
        .collect()
}

/// Small letters, without brackets and what is in them; blanks and points are alike.
fn plain(inci: &str) -> String {
    let mut out = String::new();
    let mut depth = 0;
    for c in inci.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth -= 1,
            '.' | ',' => out.push(' '),
            _ if depth == 0 => out.extend(c.to_lowercase()),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// True if the text is the pattern, in which "*" stands for any words.
fn fits(pattern: &str, text: &str) -> bool {
    let parts: Vec<&str> = pattern.split('*').map(str::trim).collect();
    let [first, middle @ .., last] = &parts[..] else {
        return pattern == text;
    };
    let Some(mut rest) = text.strip_prefix(first) else {
        return false;
    };
    for part in middle {
        let Some(at) = rest.find(part) else {
            return false;
        };
        rest = &rest[at + part.len()..];
    }
    rest.ends_with(last)
}

/// The INCI names of a material and its number among the colours; where it has none, its everyday names.
fn says(kb: &Kb, id: Id) -> Vec<String> {
    let one = kb.get(id);
    let mut names: Vec<String> = [&one.inci, &one.inci_us]
        .into_iter()
        .flatten()
        .map(|n| plain(n))
        .collect();
    names.extend(one.ci.iter().map(|n| plain(&format!("CI {n}"))));
    if names.is_empty() {
        names.extend(one.names.iter().map(|n| plain(n)));
    }
    names
}

/// The INCI names of the parts of a mixture.
fn parts(kb: &Kb, id: Id) -> Vec<String> {
    let parts = kb.get(id).composition.iter();
    let parts = parts.filter_map(|p| kb.by_id(&p.of));
    parts
        .filter_map(|p| kb.get(p).inci.as_deref().map(plain))
        .collect()
}

/// A mixture is what it is made of, in whatever order; what has no INCI name at all (food) is what is called so.
fn is_one_of(kb: &Kb, id: Id, materials: &[&str]) -> bool {
    let (names, parts) = (says(kb, id), parts(kb, id).join(" "));
    let named = |m: &&str| names.iter().any(|n| fits(&plain(m), n));
    let held = |m: &&str| {
        let plain = plain(m);
        !parts.is_empty() && plain.split('*').map(str::trim).all(|p| parts.contains(p))
    };
    materials.iter().any(|m| named(m) || held(m))
}

fn is_called_so(kb: &Kb, id: Id, name: &str) -> bool {
    let one = kb.get(id);
    let bare = one.inci.is_none() && one.ci.is_none() && one.composition.is_empty();
    let mut names = one.names.iter().chain([&one.id]);
    bare && names.any(|n| key(n) == key(name))
}

/// How much of the material itself is in what was found: what the name says, or what a solution of the base holds.
fn strength_found(kb: &Kb, id: Id, said: Option<Decimal>, materials: &[&str]) -> Vec<Decimal> {
    let parts = kb.get(id).composition.iter();
    let held = parts
        .filter(|p| {
            kb.by_id(&p.of)
                .is_some_and(|of| is_one_of(kb, of, materials))
        })
        .map(|p| p.percent.decimal());
    said.into_iter().chain(held).collect()
}

/// What comes, in words, where it is not what must come.
fn miss(kb: &Kb, row: &Row) -> Option<String> {
    let may_be = row.must.starts_with("is");
    let may_ask = row.must.ends_with("ask");
    let ids = |ids: &[Id]| {
        let ids: Vec<String> = ids.iter().map(|i| kb.get(*i).id.to_string()).collect();
        ids.join(", ")
    };
    let comes = match kb.lookup(row.name) {
        Lookup::Unknown if row.must == "none" => return None,
        Lookup::Unknown => "not found".to_owned(),
        Lookup::Ambiguous(several) => {
            let offered = row.materials.is_empty()
                || several.iter().any(|i| is_one_of(kb, *i, &row.materials));
            if may_ask && offered {
                return None;
            }
            format!("asked back: {}", ids(&several))
        }
        Lookup::Known { id, strength } => {
            let right =
                may_be && (is_one_of(kb, id, &row.materials) || is_called_so(kb, id, row.name));
            let strong = row.strength.is_none_or(|s| {
                strength_found(kb, id, strength.map(|s| s.percent), &row.materials).contains(&s)
            });
            // A strength that the name does not say is made up.
            let invented = row.strength.is_none() && strength.is_some();
            if right && strong && !invented {
                return None;
            }
            format!(
                "{} = {}, strength {:?}",
                ids(&[id]),
                says(kb, id).join(" / "),
                strength.map(|s| s.percent)
            )
        }
    };
    Some(format!(
        "{} [{}]: {} {}: {comes}",
        row.name,
        row.kind,
        row.must,
        row.materials.join(" | ")
    ))
}

#[test]
fn names_written_blind_come_right_or_are_asked_back() {
    let kb = Kb::bundled();
    let all = rows(include_str!("../names/everyday.tsv"));
    assert!(all.len() >= 1500, "only {} names", all.len());
    let mut kinds: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    let mut missed = Vec::new();
    for row in &all {
        let of_kind = kinds.entry(row.kind).or_default();
        of_kind.1 += 1;
        match miss(&kb, row) {
            None => of_kind.0 += 1,
            Some(words) => missed.push(words),
        }
    }
    for (kind, (right, of)) in kinds {
        println!("{right:4} of {of:4}  {kind}");
    }
    let right = all.len() - missed.len();
    let share = 100.0 * right as f64 / all.len() as f64;
    println!("{right} of {}: {share:.1} %", all.len());
    println!("{}", missed.join("\n"));
    assert!(
        share >= 97.0,
        "{share:.1} % come right:\n{}",
        missed.join("\n")
    );
}

#[test]
fn a_pattern_stands_for_any_words() {
    assert!(fits("rosa * water", "rosa damascena flower water"));
    assert!(fits("*calendula*", "olive oil, calendula flower extract"));
    assert!(!fits("rosa * water", "rosa canina fruit oil"));
    assert!(!fits("glycerin", "glycerin oil"));
}
