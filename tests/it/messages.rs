//! Messages are read at a glance: the fact is short, what to do stands apart from it.

use crate::support::formulas::{self, Case};
use phasewright::ide::Snapshot;
use phasewright::ide::actions::{Action, ActionKind, actions};
use phasewright::kb::Kb;
use phasewright::kb::schema::Ingredient;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::page::markdown;
use phasewright::rules::{Finding, all};
use phasewright::syntax::{FileKind, parse};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// The longest first line, in characters, and the middle of all that differ.
const LONGEST: usize = 110;
const MEDIAN: usize = 80;

/// Each fact once, with the formula in which it is said.
fn facts() -> BTreeMap<String, (String, Finding)> {
    let mut out = BTreeMap::new();
    for Case { name, findings, .. } in formulas::judged() {
        for f in findings {
            out.entry(f.message.clone()).or_insert((name.clone(), f));
        }
    }
    assert!(out.len() >= 400, "{} facts", out.len());
    out
}

#[test]
fn no_first_line_is_long() {
    let long: Vec<String> = facts()
        .iter()
        .filter(|(fact, _)| fact.chars().count() > LONGEST)
        .map(|(fact, (name, f))| format!("{} {} in {name}: {fact}", fact.chars().count(), f.code))
        .collect();
    assert!(
        long.is_empty(),
        "{} first lines have more than {LONGEST} characters\n{}",
        long.len(),
        long.join("\n")
    );
}

#[test]
fn half_of_the_first_lines_are_short() {
    let mut lengths: Vec<usize> = facts().keys().map(|fact| fact.chars().count()).collect();
    lengths.sort_unstable();
    let (median, longest) = (lengths[lengths.len() / 2], lengths.last().copied());
    println!(
        "{} facts, median {median}, longest {longest:?}",
        lengths.len()
    );
    assert!(median <= MEDIAN, "the median is {median}");
}

/// One fact in one line, one way out: neither holds the other.
#[test]
fn the_fact_and_the_way_out_stand_apart() {
    let mut wrong = Vec::new();
    for (fact, (name, f)) in facts() {
        let fault = match () {
            () if fact.contains('\n') || f.help.contains('\n') => "a line break",
            () if fact.ends_with('.') && !fact.ends_with("q.s.") => "a full stop behind the fact",
            () if f.help.is_empty() => "no way out",
            () if f.help.chars().next().is_some_and(char::is_lowercase)
                && !f.help.starts_with("pH") =>
            {
                "a way out in lower case"
            }
            () if f.help.ends_with('.') && !f.help.ends_with("q.s.") => {
                "a full stop behind the way out"
            }
            () => continue,
        };
        wrong.push(format!("{name}: {}: {fault}: {fact} | {}", f.code, f.help));
    }
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));
}

/// Words that nobody says today, by their beginnings.
const QUAINT: [&str; 14] = [
    "reckon",
    "shall",
    "beside",
    "anew",
    "nought",
    "foret",
    "forthwith",
    "lest",
    "hitherto",
    "aught",
    "thereof",
    "therein",
    "whence",
    "amiss",
];

/// The first word of a text that nobody says today.
fn quaint(text: &str) -> Option<&str> {
    // "besides" is said.
    let odd = |w: &&str| *w != "besides" && QUAINT.iter().any(|q| w.starts_with(q));
    text.split(|c: char| !c.is_alphabetic())
        .find(|w| odd(&w.to_lowercase().as_str()))
}

/// What makers read is said in words of today: findings, fixes, the pages of the rules, and what the base says of its materials.
#[test]
fn the_words_are_of_today() {
    let mut wrong = BTreeSet::new();
    let mut read = 0;
    let mut look = |name: &str, text: &str| {
        read += 1;
        if let Some(word) = quaint(text) {
            wrong.insert(format!("{name}: \"{word}\": {text}"));
        }
    };
    for Case { name, findings, .. } in formulas::judged() {
        for f in findings {
            let fixes = f.fixes.iter().map(|x| &x.title);
            for text in [&f.message, &f.help].into_iter().chain(&f.why).chain(fixes) {
                look(&name, text);
            }
        }
    }
    for rule in all() {
        for line in markdown(rule).lines() {
            look(rule.code, line);
        }
    }
    let kb = Kb::bundled();
    for one in kb.ids().map(|id| kb.get(id)) {
        let needs = one.preservative.iter().flat_map(|p| &p.needs);
        for text in one.note.iter().chain(needs) {
            look(&one.id, text);
        }
    }
    assert!(read > 5_000, "{read} texts");
    assert!(
        wrong.is_empty(),
        "{}\n{}",
        wrong.len(),
        wrong.into_iter().collect::<Vec<_>>().join("\n")
    );
}

/// Where an action belongs when the titles are sorted by letters.
fn rank(a: &Action) -> u8 {
    let excepts = a.edits.iter().any(|e| e.text.contains("# except "));
    match a.kind {
        ActionKind::Rewrite => 1,
        ActionKind::QuickFix | ActionKind::FixAll => u8::from(excepts) * 2,
    }
}

/// Some clients sort what they offer by letters.
#[test]
fn sorted_titles_keep_fixes_before_rewrites_before_exceptions() {
    let kb = Kb::bundled();
    let mut wrong = BTreeSet::new();
    let mut seen = [0; 3];
    for case in formulas::judged() {
        let snapshot = Snapshot::new(
            &case.path,
            FileKind::Formula,
            parse(FileKind::Formula, &case.text),
            &kb,
            &Settings::on("2026-11-25".parse().expect("a day")),
            &Disk,
        );
        for line in 0..case.text.lines().count() as u32 {
            let mut all = actions(&snapshot, line, line);
            all.sort_by_key(|a| a.title.to_lowercase());
            all.iter().for_each(|a| seen[rank(a) as usize] += 1);
            if !all.is_sorted_by_key(rank) {
                let titles: Vec<&str> = all.iter().map(|a| a.title.as_str()).collect();
                wrong.insert(format!("{}:{}: {titles:?}", case.name, line + 1));
            }
        }
    }
    assert!(seen.iter().all(|n| *n >= 100), "{seen:?}");
    assert!(
        wrong.is_empty(),
        "{}\n{}",
        wrong.len(),
        wrong.into_iter().collect::<Vec<_>>().join("\n")
    );
}

/// The level that a way out or a title asks for: "Lower it to 1 %, or ..." gives Lower and "1".
fn level(text: &str) -> Option<(&'static str, String)> {
    let verb = ["Lower", "Raise"]
        .into_iter()
        .find(|v| text.starts_with(v))?;
    let to = text
        .find(" % ")
        .or(text.find(" %,"))
        .or(text.strip_suffix(" %").map(str::len))?;
    Some((verb, text[..to].rsplit(' ').next()?.to_owned()))
}

/// What the findings of one formula ask of each line.
fn asked(findings: &[Finding]) -> BTreeMap<u32, BTreeSet<(&'static str, String)>> {
    let mut out: BTreeMap<u32, BTreeSet<_>> = BTreeMap::new();
    for f in findings {
        let texts = f.fixes.iter().map(|x| &x.title).chain([&f.help]);
        out.entry(f.place.line)
            .or_default()
            .extend(texts.filter_map(|t| level(t)));
    }
    out
}

fn opposed(name: &str, findings: &[Finding], wrong: &mut Vec<String>) -> usize {
    let all = asked(findings);
    for (line, levels) in all.iter().filter(|(_, levels)| levels.len() > 1) {
        wrong.push(format!("{name}:{}: {levels:?}", line + 1));
    }
    all.values().filter(|levels| !levels.is_empty()).count()
}

#[test]
fn one_row_is_asked_for_one_level() {
    let mut wrong = Vec::new();
    let mut count = 0;
    for case in formulas::judged() {
        count += opposed(&case.name, &case.findings, &mut wrong);
    }
    // Rows as nobody writes them: all that law, a safety figure or sunlight limits, far too much and a little too much.
    let kb = Kb::bundled();
    let limited = |e: &Ingredient| {
        !e.constituents.is_empty()
            || e.phototoxic_max_percent.is_some()
            || e.preservative.is_some()
            || e.r#use.iter().any(|u| u.safety)
    };
    for id in kb.ids().filter(|id| limited(kb.get(*id))) {
        for product in ["face cream, leave-on", "shampoo, rinse-off", "body oil"] {
            for percent in ["30", "2"] {
                let text = format!(
                    "formula \"x\"\n  product: {product}\n  pH: 5\n  sold in: EU, UK, US, CA\n\nphase A\n  water  q.s.\n  {}  {percent} %\n",
                    kb.name(id)
                );
                let case = formulas::case(
                    format!("{} {percent} in {product}", kb.name(id)),
                    Path::new("x.formula").into(),
                    text,
                );
                count += opposed(&case.name, &case.findings, &mut wrong);
            }
        }
    }
    assert!(count >= 300, "{count} rows");
    assert!(
        wrong.is_empty(),
        "{} of {count}\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
