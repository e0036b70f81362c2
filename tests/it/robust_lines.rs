//! A slip costs one line: any prefix of any example, any line taken out or written twice (headings too), still gives every other
//! line its node, its findings, its hover and its place in the outline, and no flood of follow-on errors.

use phasewright::ide::Snapshot;
use phasewright::ide::hover::hover;
use phasewright::ide::symbols::{Symbol, symbols};
use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

fn examples() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let files = std::fs::read_dir(folder)
        .expect("examples are there")
        .map(|e| e.expect("listed").path());
    files
        .filter(|p| p.extension().is_some_and(|e| e == "formula"))
        .map(|p| (p.clone(), std::fs::read_to_string(p).expect("listed")))
        .collect()
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

fn loud(found: &[Finding]) -> Vec<&Finding> {
    found
        .iter()
        .filter(|f| f.severity >= Severity::Warning)
        .collect()
}

fn show(found: &[&Finding]) -> String {
    found
        .iter()
        .map(|f| format!("\n    {}: {} {}", f.place.line + 1, f.code, f.message))
        .collect()
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
                    worst.push(format!(
                        "{} {what} line {} \"{}\": {}{}",
                        path.display(),
                        n + 1,
                        lines[n],
                        loud.len(),
                        show(&loud)
                    ));
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
                assert!(
                    m == n || a.line.node == b.line.node,
                    "{}: line {} changed when line {} broke",
                    path.display(),
                    m + 1,
                    n + 1
                );
            }
        }
    }
}

#[test]
fn a_misspelt_heading_still_opens_its_section() {
    for (path, text) in examples() {
        let whole = parse(FileKind::Formula, &text);
        for (n, line) in text.lines().enumerate() {
            let Some(rest) = line.strip_prefix("phase ") else {
                continue;
            };
            let misspelt: Vec<String> = text
                .lines()
                .enumerate()
                .map(|(m, l)| {
                    if m == n {
                        format!("phaes {rest}")
                    } else {
                        l.to_owned()
                    }
                })
                .collect();
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
                assert_eq!(
                    a.line.node,
                    b.line.node,
                    "{} up to byte {at}",
                    path.display()
                );
            }
            // Judging half a file must not fail, nor blame the lines that are as they will be for how they are written.
            if at % 7 == 0 {
                for f in check(&path, &text[..at]) {
                    let of_writing = matches!(
                        f.code,
                        "syntax"
                            | "missing-amount"
                            | "unknown-unit"
                            | "unknown-ingredient"
                            | "ambiguous-number"
                    );
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

fn look(path: &Path, text: &str) -> Snapshot {
    Snapshot::new(
        path,
        FileKind::Formula,
        parse(FileKind::Formula, text),
        &Kb::bundled(),
        &Settings::on("2026-11-25".parse().expect("a day")),
        &Disk,
    )
}

/// What can be asked about each line, in the words of the line: whether its first word has a hover, and how often the outline lists it.
fn answers<'t>(path: &Path, text: &'t str) -> HashMap<&'t str, (bool, usize)> {
    fn count(all: &[Symbol], listed: &mut [usize]) {
        for s in all {
            listed[s.select.line as usize] += 1;
            count(&s.children, listed);
        }
    }
    let s = look(path, text);
    let mut listed = vec![0; text.lines().count() + 1];
    count(&symbols(&s), &mut listed);
    let mut out = HashMap::new();
    for (n, line) in text
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
    {
        let start = line.len() - line.trim_start().len();
        let answered = hover(&s, n as u32, start as u32).is_some();
        // A line that stands twice is answered as well as the worse of the two.
        let known = out.entry(line).or_insert((answered, listed[n]));
        *known = (known.0 && answered, known.1.min(listed[n]));
    }
    out
}

#[test]
fn other_lines_are_answered_whichever_is_missing_or_doubled() {
    let mut lost = Vec::new();
    for (path, text) in examples() {
        let before = answers(&path, &text);
        assert!(
            before
                .values()
                .filter(|(hovered, listed)| *hovered && *listed > 0)
                .count()
                > 8,
            "{}",
            path.display()
        );
        let lines: Vec<&str> = text.lines().collect();
        for n in (0..lines.len()).filter(|n| !lines[*n].trim().is_empty()) {
            let mut gone = lines.clone();
            gone.remove(n);
            let mut twice = lines.clone();
            twice.insert(n, lines[n]);
            for (what, changed) in [("without", gone.join("\n")), ("twice", twice.join("\n"))] {
                let after = answers(&path, &changed);
                for line in lines
                    .iter()
                    .filter(|l| **l != lines[n] && !l.trim().is_empty())
                {
                    let (hovered, listed) = before[line];
                    let (hovers, lists) = after[line];
                    if hovered && !hovers || listed > lists {
                        lost.push(format!(
                            "{} {what} \"{}\": \"{line}\" {hovers} {lists}",
                            path.display(),
                            lines[n]
                        ));
                    }
                }
            }
        }
    }
    assert!(lost.is_empty(), "{} lost\n{}", lost.len(), lost.join("\n"));
}

#[test]
fn lines_before_the_end_of_a_prefix_are_answered() {
    for (path, text) in examples() {
        let before = answers(&path, &text);
        for at in (0..text.len())
            .step_by(11)
            .filter(|at| text.is_char_boundary(*at))
        {
            let prefix = &text[..at];
            let after = answers(&path, prefix);
            let whole: Vec<&str> = prefix.lines().collect();
            for line in whole
                .iter()
                .take(whole.len().saturating_sub(1))
                .filter(|l| !l.trim().is_empty())
            {
                let ((hovered, listed), (hovers, lists)) = (before[line], after[line]);
                assert!(
                    (!hovered || hovers) && listed <= lists,
                    "{} up to byte {at}: \"{line}\"",
                    path.display()
                );
            }
        }
    }
}
