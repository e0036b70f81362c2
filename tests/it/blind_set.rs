//! The blind set, `tests/blind`: 60 formulas with one planted hazard each and 60 sound ones, by writers who had not read the rules.
//! It was judged once before any mending for it (`first-judgement.md`). Since then the program has been mended along it, so
//! this is a regression set: what was found once stays found, and what is said without cause stays unsaid.
//!
//! `cargo test --test it blind_set -- --nocapture` prints the table; `PHASEWRIGHT_WRITE_DOCS=1` before it writes
//! `docs/blind-set.md`.

use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::{Path, PathBuf};

const WRITE: &str = "PHASEWRIGHT_WRITE_DOCS";

/// Which codes name the planted hazard, from 01 on.
const CAUSES: [&[&str]; 60] = [
    &["preservative-ph"],
    &["preservative-ph"],
    &["preservative-ph"],
    &["no-preservative"],
    &["no-preservative"],
    &["preservative-too-low"],
    &["no-preservative"],
    &["no-preservative"],
    &["above-legal-limit"],
    &["above-legal-limit"],
    &["restricted-use"],
    &["restricted-use"],
    &["restricted-use"],
    &["above-legal-limit"],
    &["banned"],
    &["banned"],
    &["banned"],
    &["restricted-use", "banned"],
    &["banned"],
    &["banned"],
    &["banned"],
    &["banned"],
    &["above-legal-limit"],
    &["family-above-limit", "above-legal-limit"],
    &["restricted-use", "acid-too-strong"],
    &["above-legal-limit"],
    &["restricted-use", "acid-too-strong"],
    &["phototoxic"],
    &["phototoxic"],
    &["above-skin-maximum", "above-legal-limit"],
    &["above-skin-maximum", "above-legal-limit"],
    &["above-skin-maximum", "above-legal-limit"],
    &["caution-child", "above-skin-maximum"],
    &["above-skin-maximum", "banned"],
    &["above-skin-maximum", "restricted-use"],
    &["caution-eye"],
    &["restricted-use"],
    &["restricted-use"],
    &["restricted-use", "banned"],
    &["heat-sensitive"],
    &["heat-sensitive"],
    &["flammable"],
    &["charge-clash", "incompatible"],
    &["charge-clash", "incompatible"],
    &["no-emulsifier", "emulsifier-low"],
    &["emulsifier-low"],
    &["wrong-phase"],
    &["oil-oxidizes"],
    &["above-legal-limit"],
    &["above-legal-limit"],
    &["restricted-use"],
    &["family-above-limit", "above-legal-limit"],
    &["nitrosamine-risk"],
    &["above-legal-limit", "restricted-use"],
    &["inhalation"],
    &["ph-unstable"],
    &["needs-solubilizer"],
    &["restricted-use", "banned"],
    &["restricted-use"],
    &["incompatible"],
];

/// Hazards that are not found today, and why not.
const MISSED: &[(&str, &str)] = &[];

/// What is said of sound formulas today, and why it stays.
const FALSE: &[(&str, &str, &str)] = &[(
    "sound-49",
    "ambiguous-name",
    "four cedarwoods have the name, and the label must say which",
)];

struct Case {
    number: usize,
    hazard: String,
    /// Words of the lines that show it.
    words: Vec<String>,
    lines: Vec<String>,
    findings: Vec<Finding>,
}

impl Case {
    /// The loudest that is said of the planted hazard: by one of its codes, on one of its lines or of the formula as a whole.
    fn said(&self) -> Option<&Finding> {
        let codes = CAUSES[self.number - 1];
        let about = |f: &&Finding| {
            let line = self.lines[f.place.line as usize].to_lowercase();
            let own = self.words.iter().any(|w| line.contains(w));
            codes.contains(&f.code) && (own || f.place.line == 0)
        };
        self.findings
            .iter()
            .filter(about)
            .max_by_key(|f| f.severity)
    }

    fn found(&self) -> bool {
        self.said().is_some_and(|f| f.severity >= Severity::Warning)
    }

    fn loud(&self) -> impl Iterator<Item = &Finding> {
        self.findings
            .iter()
            .filter(|f| f.severity >= Severity::Warning)
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/blind")
}

/// The formulas of a kind, in the order of their numbers.
fn cases(kind: &str) -> Vec<Case> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-12-01".parse().expect("a day")),
    );
    let table = std::fs::read_to_string(folder().join("expected.tsv")).expect("it is there");
    let rows = table.lines().filter(|l| l.starts_with(kind));
    let cases: Vec<Case> = rows
        .enumerate()
        .map(|(n, row)| {
            let cells: Vec<&str> = row.split('\t').collect();
            assert_eq!(cells[0], format!("{kind}-{:02}.formula", n + 1));
            let path = folder().join(cells[0]);
            let text = std::fs::read_to_string(&path).expect("it is there");
            let tree = parse(FileKind::Formula, &text);
            Case {
                number: n + 1,
                hazard: cells[1].to_owned(),
                words: cells[2].split("; ").map(to_find).collect(),
                lines: text.lines().map(str::to_owned).collect(),
                findings: analyze(tree, &path, &kb, &settings, &Disk)
                    .findings()
                    .to_vec(),
            }
        })
        .collect();
    assert_eq!(cases.len(), 60, "{kind}");
    cases
}

/// "phenoxyethanol 1.6 %": the name; the amount stands elsewhere on the line.
fn to_find(words: &str) -> String {
    let words = words.to_lowercase();
    let amount = words.find(|c: char| c.is_ascii_digit()).filter(|at| {
        words.ends_with('%') && words[..*at].ends_with(' ') && !words.starts_with("ph:")
    });
    match amount {
        Some(at) => words[..at].trim_end().to_owned(),
        None => words,
    }
}

fn counts(hazards: &[Case], sound: &[Case]) -> String {
    let found = hazards.iter().filter(|c| c.found()).count();
    let wrong = sound.iter().filter(|c| c.loud().next().is_some()).count();
    let alarms: usize = sound.iter().map(|c| c.loud().count()).sum();
    format!(
        "{found} of 60 hazards found, {} missed; {} of 60 sound formulas without an error or a warning, {alarms} said of {wrong}.\n",
        60 - found,
        60 - wrong
    )
}

fn table(hazards: &[Case], sound: &[Case]) -> String {
    let mut out = String::from("| formula | planted hazard | today |\n|---|---|---|\n");
    for c in hazards {
        let today = match c.said() {
            Some(f) if c.found() => format!("{}: {}", f.severity.name(), f.code),
            Some(f) => format!("**missed**, only {}: {}", f.severity.name(), f.code),
            None => "**missed**".to_owned(),
        };
        let _ = writeln!(out, "| {:02} | {} | {today} |", c.number, c.hazard);
    }
    out.push_str("\nSound formulas of which an error or a warning is said:\n\n| formula | said | in words |\n|---|---|---|\n");
    for c in sound {
        for f in c.loud() {
            let _ = writeln!(
                out,
                "| {:02} | {} {} | {} |",
                c.number,
                f.severity.name(),
                f.code,
                f.whole()
            );
        }
    }
    out
}

fn page(hazards: &[Case], sound: &[Case]) -> String {
    let mut stays = String::new();
    for (name, why) in MISSED {
        let _ = writeln!(stays, "- {name} stays missed: {why}.");
    }
    for (name, code, why) in FALSE {
        let _ = writeln!(stays, "- {name} is still told of `{code}`: {why}.");
    }
    format!(
        "# The blind set\n\n\
         120 formulas by writers who had not read the rules, their pages or the knowledge base: 60 with one planted hazard each, 60 sound. The\n\
         formulas stand in `tests/blind` as written, with `expected.tsv`: the hazard, the words that show it, what it rests on, how grave it is.\n\n\
         ## First judgement\n\n{}\n\
         ## Today\n\n\
         The program has been mended along these formulas since, cause by cause, so this table is one of a regression set and no measure of what\n\
         is found in formulas that nobody here has seen. `cargo test --test it blind_set` holds it.\n\n{}\n{stays}\n{}",
        include_str!("../blind/first-judgement.md"),
        counts(hazards, sound),
        table(hazards, sound)
    )
}

#[test]
fn what_was_found_once_stays_found() {
    let (hazards, sound) = (cases("hazard"), cases("sound"));
    println!("{}\n{}", counts(&hazards, &sound), table(&hazards, &sound));

    let missed: BTreeSet<String> = hazards
        .iter()
        .filter(|c| !c.found())
        .map(|c| format!("hazard-{:02}", c.number))
        .collect();
    let known: BTreeSet<String> = MISSED.iter().map(|(n, _)| (*n).to_owned()).collect();
    assert_eq!(missed, known, "missed today, and known to be");

    let said: BTreeSet<(String, &str)> = sound
        .iter()
        .flat_map(|c| c.loud().map(|f| (format!("sound-{:02}", c.number), f.code)))
        .collect();
    let known: BTreeSet<(String, &str)> = FALSE
        .iter()
        .map(|(name, code, _)| ((*name).to_owned(), *code))
        .collect();
    assert_eq!(said, known, "said of sound formulas today, and known to be");

    let (path, wanted) = (
        Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/blind-set.md"),
        page(&hazards, &sound),
    );
    if std::env::var_os(WRITE).is_some() {
        std::fs::write(&path, &wanted).expect("the page can be written");
    }
    assert!(
        std::fs::read_to_string(&path).ok().as_deref() == Some(wanted.as_str()),
        "the page differs from the set; write it with {WRITE}=1 cargo test --test it blind_set"
    );
}
