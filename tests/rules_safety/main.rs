//! Rules that keep a product safe, each from both sides of its threshold: what must be said, and what must not.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings, resolve};
use phasewright::rules::{Finding, Severity, judge};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::sync::LazyLock;

mod heat;
mod microbes;
mod ph;
mod preservation;
mod use_and_law;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

fn findings(text: &str) -> Vec<Finding> {
    let settings = Settings { today: "2026-11-01".into(), ..Settings::default() };
    let tree = parse(FileKind::Formula, text);
    let formula = resolve(&tree, Path::new("test.formula"), &KB, &settings, &NoFiles);
    judge(&tree, formula, &KB, &settings).findings
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
    findings(text).iter().filter(|f| f.code == code).map(|f| f.severity).collect()
}

#[track_caller]
fn says(text: &str, code: &str, level: Severity) {
    let found = findings(text);
    let mine: Vec<&Finding> = found.iter().filter(|f| f.code == code).collect();
    let all: Vec<String> = found.iter().map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.message)).collect();
    assert!(mine.len() == 1 && mine[0].severity == level, "wanted one {} {code} in\n{text}\nfound\n  {}", level.name(), all.join("\n  "));
}

#[track_caller]
fn silent(text: &str, code: &str) {
    let found: Vec<String> =
        findings(text).iter().filter(|f| f.code == code).map(|f| format!("{} {}: {}", f.severity.name(), f.code, f.message)).collect();
    assert!(found.is_empty(), "wanted no {code} in\n{text}\nfound\n  {}", found.join("\n  "));
}

/// The message of the only finding with this code.
#[track_caller]
fn message(text: &str, code: &str) -> String {
    let found = findings(text);
    let mine: Vec<&Finding> = found.iter().filter(|f| f.code == code).collect();
    assert_eq!(mine.len(), 1, "{code} in\n{text}\n{mine:?}");
    mine[0].message.clone()
}
