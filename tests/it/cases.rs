//! Whole formulas with what must be said written into them: under a line, `#= LEVEL CODE: why` names one finding on that line
//! and says why it is right. Whatever is found and not written, or written and not found, fails.
//!
//! `tests/published`: formulas of pharmacopoeias, formularies and journals; the source stands on the first line.
//! `examples`: must draw no error and no warning.

use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn formulas(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut all: Vec<PathBuf> = std::fs::read_dir(&root)
        .unwrap_or_else(|e| panic!("{}: {e}", root.display()))
        .map(|e| e.expect("a folder can be listed").path())
        .filter(|p| p.extension().is_some_and(|e| e == "formula"))
        .collect();
    all.sort();
    all
}

fn check(path: &Path, text: &str) -> Vec<Finding> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    analyze(tree, path, &kb, &settings, &Disk)
        .findings()
        .to_vec()
}

/// Line (from 0) of the thing said, level, code.
type Said = (u32, String, String);

/// The expectations: each stands under its line, several under one line one after the other.
fn expected(text: &str) -> BTreeSet<Said> {
    let mut out = BTreeSet::new();
    let mut target = 0;
    for (n, line) in text.lines().enumerate() {
        match line.trim_start().strip_prefix("#= ") {
            Some(rest) => {
                let (head, why) = rest
                    .split_once(':')
                    .unwrap_or_else(|| panic!("line {}: write `#= LEVEL CODE: why`", n + 1));
                let (level, code) = head
                    .trim()
                    .split_once(' ')
                    .unwrap_or_else(|| panic!("line {}: write `#= LEVEL CODE: why`", n + 1));
                assert!(why.trim().len() > 10, "line {}: say why", n + 1);
                out.insert((target, level.to_owned(), code.to_owned()));
            }
            None => target = n as u32,
        }
    }
    out
}

#[test]
fn published_formulas_say_what_is_written_in_them() {
    let files = formulas("tests/published");
    assert!(files.len() >= 20, "{} files", files.len());
    let mut wrong = Vec::new();
    for path in &files {
        let text = std::fs::read_to_string(path).expect("it was listed");
        assert!(
            text.starts_with("# "),
            "{}: the first line names the source",
            path.display()
        );
        let found = check(path, &text);
        let got: BTreeSet<Said> = found
            .iter()
            .map(|f| {
                (
                    f.place.line,
                    f.severity.name().to_owned(),
                    f.code.to_owned(),
                )
            })
            .collect();
        let want = expected(&text);
        for (line, level, code) in got.symmetric_difference(&want) {
            let message = found
                .iter()
                .find(|f| f.place.line == *line && f.code == code)
                .map_or("not found", |f| f.message.as_str());
            wrong.push(format!(
                "{}:{}: {level} {code}: {message}",
                path.display(),
                line + 1
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn examples_are_sound() {
    let files = formulas("examples");
    assert!(files.len() >= 8, "{} files", files.len());
    for path in &files {
        let text = std::fs::read_to_string(path).expect("it was listed");
        let loud: Vec<String> = check(path, &text)
            .iter()
            .filter(|f| f.severity >= Severity::Warning)
            .map(|f| format!("{}: {}: {}", f.place.line + 1, f.code, f.message))
            .collect();
        assert!(loud.is_empty(), "{}\n{}", path.display(), loud.join("\n"));
    }
}

/// Each instructive file says in its first lines how many findings of warning or error it teaches.
#[test]
fn instructive_examples_teach_what_they_say() {
    let files = formulas("examples/instructive");
    assert!(files.len() >= 5, "{} files", files.len());
    for path in &files {
        let text = std::fs::read_to_string(path).expect("it was listed");
        let codes: BTreeSet<&str> = check(path, &text)
            .iter()
            .filter(|f| f.severity >= Severity::Warning)
            .map(|f| f.code)
            .collect();
        let said: BTreeSet<&str> = text
            .lines()
            .find_map(|l| l.strip_prefix("# Teaches: "))
            .unwrap_or_else(|| panic!("{}: a line `# Teaches: CODE, CODE`", path.display()))
            .split(", ")
            .collect();
        assert_eq!(codes, said, "{}", path.display());
    }
}
