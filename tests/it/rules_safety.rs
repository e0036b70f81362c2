//! Rules that keep a product safe, each from both sides of its threshold: what must be said, and what must not.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Edit, Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::sync::LazyLock;

mod chemistry;
mod false_alarms;
mod heat;
mod maxima;
mod microbes;
mod missed_once;
mod mixtures;
mod partners;
mod ph;
mod preservation;
mod said_once;
mod skin;
mod sun;
mod use_and_law;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

fn findings(text: &str) -> Vec<Finding> {
    let settings = Settings::on("2026-11-01".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("test.formula"), &KB, &settings, &NoFiles)
        .findings()
        .to_vec()
}

/// A leave-on product for the EU with these fields and rows.
fn product(fields: &str, rows: &[&str]) -> String {
    let mut text = String::from("formula \"Test\"\n  sold in: EU\n");
    for field in fields.split("; ").filter(|f| !f.is_empty()) {
        text.push_str(&format!("  {field}\n"));
    }
    text.push_str("\nphase A\n");
    for row in rows {
        text.push_str(&format!("  {row}\n"));
    }
    text
}

/// The severities at which a code is said, in order.
fn levels(text: &str, code: &str) -> Vec<Severity> {
    findings(text)
        .iter()
        .filter(|f| f.code == code)
        .map(|f| f.severity)
        .collect()
}

#[track_caller]
fn says(text: &str, code: &str, level: Severity) {
    let found = findings(text);
    let mine: Vec<&Finding> = found.iter().filter(|f| f.code == code).collect();
    let all: Vec<String> = found
        .iter()
        .map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.whole()))
        .collect();
    assert!(
        mine.len() == 1 && mine[0].severity == level,
        "wanted one {} {code} in\n{text}\nfound\n  {}",
        level.name(),
        all.join("\n  ")
    );
}

#[track_caller]
fn silent(text: &str, code: &str) {
    let found: Vec<String> = findings(text)
        .iter()
        .filter(|f| f.code == code)
        .map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.whole()))
        .collect();
    assert!(
        found.is_empty(),
        "wanted no {code} in\n{text}\nfound\n  {}",
        found.join("\n  ")
    );
}

/// What the only finding with this code says: the fact, what to do, why.
#[track_caller]
fn message(text: &str, code: &str) -> String {
    let found = findings(text);
    let mine: Vec<&Finding> = found.iter().filter(|f| f.code == code).collect();
    assert_eq!(mine.len(), 1, "{code} in\n{text}\n{mine:?}");
    format!(
        "{}\n{}",
        mine[0].whole(),
        mine[0].why.as_deref().unwrap_or_default()
    )
}

/// A slip of the keyboard writes amounts that no sum holds: the rules speak or are silent, and none fails.
#[test]
fn no_amount_makes_a_rule_fail() {
    let materials = [
        "water",
        "propylene glycol",
        "glycolic acid",
        "sodium lactate",
        "sodium benzoate",
        "phenoxyethanol",
        "propylparaben",
        "lavender oil",
        "soybean oil",
        "disodium EDTA",
        "ethanol 96 %",
        "glycerin",
        "polysorbate 80",
        "xanthan gum",
        "salicylic acid",
        "allantoin",
        "honey",
        "milk",
        "tocopherol",
    ];
    for big in materials {
        for amount in [
            "7922816251426433759354395033 %",
            "0.0000000000000000000000001 %",
        ] {
            let rows: Vec<String> = materials
                .iter()
                .map(|m| format!("{m}  {}", if *m == big { amount } else { "1 %" }))
                .collect();
            let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
            for fields in [
                "product: face cream, leave-on; pH: 5",
                "product: toner, leave-on; type: solution; pH: 3",
                "type: oil-in-water",
            ] {
                silent(&product(fields, &rows), "internal");
            }
        }
    }
}

/// A fix applied is a fault gone, and no new one come.
#[test]
fn fixes_mend_and_harm_nothing() {
    let bad = [
        product("product: face gel, leave-on; type: gel; pH: 5", &["water  q.s.", "xanthan gum  0.02 %", "phenoxyethanol (and) ethylhexylglycerin  0.9 %"]),
        product("product: face gel, leave-on; type: gel; pH: 6", &["water  q.s.", "disodium EDTA  12 %", "phenoxyethanol (and) ethylhexylglycerin  0.9 %"]),
        product("product: face gel, leave-on; type: gel; pH: 6", &["water  q.s.", "honey  1 %  as preservative", "phenoxyethanol (and) ethylhexylglycerin  0.9 %"]),
        "formula \"T\"\nphase A\n  water  100 %\n\nphase B\n".to_owned(),
        "formula \"T\"\n  pH: 5\nphase A\n  water  q.s.\nphase B\n  phenoxyethanol (and) ethylhexylglycerin  0.9 %\nmethod\n  stir A\n  add B".to_owned(),
    ];
    let mut applied = 0;
    for text in &bad {
        let before = findings(text);
        for f in before.iter().filter(|f| {
            [
                "below-usual-use",
                "above-solubility",
                "not-a-preservative",
                "empty-phase",
                "ph-measurement",
            ]
            .contains(&f.code)
        }) {
            let Some(fix) = f.fixes.first() else { continue };
            applied += 1;
            let after = findings(&apply(text, &fix.edits));
            assert!(
                after.iter().all(|a| a.code != f.code),
                "{} is still there after \"{}\"",
                f.code,
                fix.title
            );
            assert!(
                after.iter().all(|a| a.severity < Severity::Information
                    || before.iter().any(|b| b.code == a.code)),
                "{}: something new: {after:?}",
                fix.title
            );
        }
    }
    assert_eq!(applied, bad.len(), "each of them has its fix");
}

fn apply(text: &str, edits: &[Edit]) -> String {
    let starts: Vec<usize> = std::iter::once(0)
        .chain(text.match_indices('\n').map(|(n, _)| n + 1))
        .collect();
    let at = |(line, byte): (u32, u32)| {
        starts
            .get(line as usize)
            .map_or(text.len(), |s| (s + byte as usize).min(text.len()))
    };
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|e| std::cmp::Reverse(e.start));
    let mut out = text.to_owned();
    for e in edits {
        out.replace_range(at(e.start)..at(e.end), &e.text);
    }
    out
}
