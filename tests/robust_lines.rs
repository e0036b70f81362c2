//! A slip costs one line: any prefix of any example, any line taken out or written twice (headings too), still gives every other
//! line its node and its findings, and no flood of follow-on errors.

use phasewright::kb::Kb;
use phasewright::model::library::Disk;
use phasewright::model::{Settings, resolve};
use phasewright::rules::{Finding, Severity, judge};
use phasewright::syntax::{FileKind, parse};
use std::path::{Path, PathBuf};

fn examples() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let files = std::fs::read_dir(folder).expect("examples are there").map(|e| e.expect("listed").path());
    files
        .filter(|p| p.extension().is_some_and(|e| e == "formula"))
        .map(|p| (p.clone(), std::fs::read_to_string(p).expect("listed")))
        .collect()
}

fn check(path: &Path, text: &str) -> Vec<Finding> {
    let (kb, settings) = (Kb::bundled(), Settings::default());
    let tree = parse(FileKind::Formula, text);
    let formula = resolve(&tree, path, &kb, &settings, &Disk);
    judge(&tree, formula, &kb, &settings).findings
}

fn loud(found: &[Finding]) -> Vec<&Finding> {
    found.iter().filter(|f| f.severity >= Severity::Warning).collect()
}

fn show(found: &[&Finding]) -> String {
    found.iter().map(|f| format!("\n    {}: {} {}", f.place.line + 1, f.code, f.message)).collect()
}

/// The most that one slip may set off: what it breaks itself, and what is then truly missing (a phase, a preservative, a pH).
const MOST: usize = 6;

#[test]
fn any_line_missing_or_doubled() {
    let mut worst = Vec::new();
    for (path, text) in examples() {
        let before = loud(&check(&path, &text)).len();
        let lines: Vec<&str> = text.lines().collect();
        for n in 0..lines.len() {
            let mut gone = lines.clone();
            gone.remove(n);
            let mut twice = lines.clone();
            twice.insert(n, lines[n]);
            for (what, changed) in [("without", gone), ("twice", twice)] {
                let found = check(&path, &changed.join("\n"));
                let loud = loud(&found);
                if loud.len() > before + MOST {
                    worst.push(format!("{} {what} line {} \"{}\": {}{}", path.display(), n + 1, lines[n], loud.len(), show(&loud)));
                }
            }
        }
    }
    assert!(worst.is_empty(), "{}", worst.join("\n"));
}

/// Every line keeps its node whatever is broken on another.
#[test]
fn a_broken_line_takes_nothing_from_the_others() {
    for (path, text) in examples() {
        let whole = parse(FileKind::Formula, &text);
        let lines: Vec<&str> = text.lines().collect();
        for n in 0..lines.len() {
            // Headings open sections; a broken one is the next test's.
            if !lines[n].starts_with("  ") {
                continue;
            }
            let mut broken = lines.clone();
            broken[n] = "  ½ of §§ 5-6 %% (";
            let tree = parse(FileKind::Formula, &broken.join("\n"));
            for (m, (a, b)) in whole.lines.iter().zip(&tree.lines).enumerate() {
                assert!(m == n || a.line.node == b.line.node, "{}: line {} changed when line {} broke", path.display(), m + 1, n + 1);
            }
        }
    }
}

#[test]
fn a_misspelt_heading_still_opens_its_section() {
    for (path, text) in examples() {
        let whole = parse(FileKind::Formula, &text);
        for (n, line) in text.lines().enumerate() {
            let Some(rest) = line.strip_prefix("phase ") else { continue };
            let misspelt: Vec<String> =
                text.lines().enumerate().map(|(m, l)| if m == n { format!("phaes {rest}") } else { l.to_owned() }).collect();
            let tree = parse(FileKind::Formula, &misspelt.join("\n"));
            for (m, (a, b)) in whole.lines.iter().zip(&tree.lines).enumerate() {
                assert!(
                    m == n || a.line.node == b.line.node,
                    "{}: line {} changed when the heading on line {} was misspelt",
                    path.display(),
                    m + 1,
                    n + 1
                );
            }
        }
    }
}

#[test]
fn any_prefix() {
    for (path, text) in examples() {
        let whole = parse(FileKind::Formula, &text);
        for (at, _) in text.char_indices() {
            let tree = parse(FileKind::Formula, &text[..at]);
            let last = tree.lines.len() - 1;
            for (a, b) in whole.lines.iter().zip(&tree.lines).take(last) {
                assert_eq!(a.line.node, b.line.node, "{} up to byte {at}", path.display());
            }
            // Judging half a file must not fail, nor blame the lines that are as they will be for how they are written.
            if at % 7 == 0 {
                for f in check(&path, &text[..at]) {
                    let of_writing =
                        matches!(f.code, "syntax" | "missing-amount" | "unknown-unit" | "unknown-ingredient" | "ambiguous-number");
                    assert!(
                        !of_writing || f.place.line as usize == last,
                        "{} up to byte {at}: {} on line {}: {}",
                        path.display(),
                        f.code,
                        f.place.line + 1,
                        f.message
                    );
                    assert_ne!(f.code, "internal", "{}", f.message);
                }
            }
        }
    }
}
