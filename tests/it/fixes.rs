//! A fix applied is a fault gone and no new one come: every fix of every finding on every formula that the tests know
//! is applied, and the formula judged again.

use phasewright::kb::Kb;
use phasewright::model::file_loader::Disk;
use phasewright::model::{Formula, Settings, Total};
use phasewright::rules::page::{examples, markdown};
use phasewright::rules::{Edit, Finding, Fix, Severity, all, analyze};
use phasewright::syntax::format::format;
use phasewright::syntax::tree::ErrorCode;
use phasewright::syntax::{FileKind, parse};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

/// What may come up once a fix is applied: the code of the fix, the code that follows, and why no better fix could spare it.
const FOLLOWERS: &[(&str, &str, &str)] = &[
    (
        "syntax",
        "total-not-100",
        "only once the line can be read is the sum known, and it may be short",
    ),
    (
        "ambiguous-number",
        "total-not-100",
        "only once the number is chosen is the sum known, and it may be off",
    ),
    (
        "preservative-ph",
        "spectrum-gap",
        "asleep at the old pH, the preservative was reported as that; awake, it shows the gap that it has",
    ),
    (
        "ph-off-skin",
        "spectrum-gap",
        "asleep at the old pH, the preservative was reported as that; awake, it shows the gap that it has",
    ),
];

/// A formula with where it comes from.
struct Case {
    name: String,
    path: PathBuf,
    text: String,
}

fn cases() -> Vec<Case> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut out = Vec::new();
    for rule in all() {
        for (n, e) in examples(&markdown(rule)).into_iter().enumerate() {
            let name = format!("page {} {} {}", rule.code, e.kind, n + 1);
            out.push(Case {
                name,
                path: root.join("examples/page.formula"),
                text: e.text,
            });
        }
    }
    for folder in [
        "examples",
        "examples/instructive",
        "tests/published",
        "tests/cases",
    ] {
        let mut files: Vec<PathBuf> = std::fs::read_dir(root.join(folder))
            .unwrap_or_else(|e| panic!("{folder}: {e}"))
            .map(|e| e.expect("a folder can be listed").path())
            .filter(|p| p.extension().is_some_and(|e| e == "formula"))
            .collect();
        files.sort();
        assert!(files.len() >= 5, "{folder} holds {} formulas", files.len());
        for path in files {
            let text = std::fs::read_to_string(&path).expect("it was listed");
            out.push(Case {
                name: format!(
                    "{folder}/{}",
                    path.file_name().unwrap_or_default().to_string_lossy()
                ),
                path,
                text,
            });
        }
    }
    out
}

struct Seen {
    formula: Formula,
    findings: Vec<Finding>,
    unreadable: usize,
}

fn look(path: &Path, text: &str) -> Seen {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    let unreadable = tree
        .lines
        .iter()
        .flat_map(|l| &l.line.errors)
        .filter(|e| e.code == ErrorCode::Syntax)
        .count();
    let judged = analyze(tree, path, &KB, &settings, &Disk);
    Seen {
        formula: Formula::clone(&judged.formula),
        findings: judged.findings().to_vec(),
        unreadable,
    }
}

/// Applies edits from the last to the first.
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

fn words(line: &str) -> String {
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn count(seen: &Seen, code: &str) -> usize {
    seen.findings.iter().filter(|f| f.code == code).count()
}

/// The findings after an edit that were not there before. A finding is the same when its code is, it is no louder, and it
/// stands on words that the old one stood on or pointed at; a line that the edit changed counts for any that it took away.
fn new_ones<'a>(before: &Seen, old: &str, after: &'a Seen, new: &str) -> Vec<&'a Finding> {
    let old_lines: Vec<String> = old.lines().map(words).collect();
    let new_lines: Vec<String> = new.lines().map(words).collect();
    let line = |lines: &[String], n: u32| lines.get(n as usize).cloned().unwrap_or_default();
    let mut left: Vec<(&Finding, Vec<String>)> = before
        .findings
        .iter()
        .map(|f| {
            (
                f,
                f.related
                    .iter()
                    .map(|r| r.place.line)
                    .chain([f.place.line])
                    .map(|n| line(&old_lines, n))
                    .collect(),
            )
        })
        .collect();
    let mut out = Vec::new();
    for f in &after.findings {
        let stands = line(&new_lines, f.place.line);
        let changed = !old_lines.contains(&stands);
        let same = left.iter().position(|(o, was)| {
            let here =
                was.contains(&stands) || changed && was.iter().any(|w| !new_lines.contains(w));
            o.code == f.code && o.severity >= f.severity && here
        });
        match same {
            Some(n) => drop(left.remove(n)),
            None => out.push(f),
        }
    }
    out
}

fn show(f: &Finding) -> String {
    format!(
        "{}: {} {}: {}",
        f.place.line + 1,
        f.severity.name(),
        f.code,
        f.message
    )
}

/// What is wrong with the text after an edit that mends `mended`.
fn faults(case: &Case, before: &Seen, text: &str, mended: &[(&Finding, &Fix)]) -> Vec<String> {
    let after = look(&case.path, text);
    let mut wrong = Vec::new();
    let mut by_code: BTreeMap<&str, usize> = BTreeMap::new();
    for (f, _) in mended {
        *by_code.entry(f.code).or_default() += 1;
    }
    for (code, n) in &by_code {
        if count(&after, code) + n > count(before, code) {
            let still: Vec<String> = after
                .findings
                .iter()
                .filter(|f| f.code == *code)
                .map(show)
                .collect();
            wrong.push(format!("{code} is still there: {}", still.join("; ")));
        }
    }
    let quietest = mended
        .iter()
        .map(|(f, _)| f.severity)
        .min()
        .unwrap_or(Severity::Hint);
    for f in new_ones(before, &case.text, &after, text)
        .into_iter()
        .filter(|f| f.severity >= quietest)
    {
        if !FOLLOWERS
            .iter()
            .any(|(of, to, _)| *to == f.code && by_code.contains_key(of))
        {
            wrong.push(format!("new: {}", show(f)));
        }
    }
    if matches!(before.formula.total, Total::Known(_))
        && !matches!(after.formula.total, Total::Known(_))
    {
        wrong.push("the total was known and is not any more".to_owned());
    }
    if after.unreadable > before.unreadable {
        wrong.push("a line cannot be read any more".to_owned());
    }
    let laid_out = format(&parse(FileKind::Formula, text));
    if format(&parse(FileKind::Formula, &laid_out)) != laid_out {
        wrong.push("laid out twice it is not the same".to_owned());
    }
    wrong
}

#[test]
fn a_fix_applied_is_a_fault_gone() {
    let mut wrong = Vec::new();
    let mut fixes = 0;
    let mut mended_codes = BTreeSet::new();
    for case in cases() {
        let before = look(&case.path, &case.text);
        for f in &before.findings {
            for fix in &f.fixes {
                fixes += 1;
                mended_codes.insert(f.code);
                let after = apply(&case.text, &fix.edits);
                assert_ne!(
                    after, case.text,
                    "{}: \"{}\" changes nothing",
                    case.name, fix.title
                );
                for fault in faults(&case, &before, &after, &[(f, fix)]) {
                    wrong.push(format!(
                        "{}: {} -> \"{}\": {fault}",
                        case.name,
                        show(f),
                        fix.title
                    ));
                }
            }
        }
    }
    println!("{fixes} fixes applied, of {} rules", mended_codes.len());
    assert!(fixes > 100, "only {fixes} fixes");
    assert!(
        wrong.is_empty(),
        "{} of {fixes}\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// All that is safe in a file at once, as the editor does on request.
#[test]
fn safe_fixes_go_together() {
    let mut wrong = Vec::new();
    let mut files = 0;
    let slipped = Case {
        name: "headings that slipped".into(),
        path: "examples/page.formula".into(),
        text: "formula \"Balm\"\n  product: lip balm\n  type: anhydrous\n\nphase A: hard\n  beeswax  20 %\n\nphase B oils\n  olive oil  80 %\n\nmethod:\n  melt A and B\n  fill\n".into(),
    };
    for case in cases().into_iter().chain([slipped]) {
        let before = look(&case.path, &case.text);
        let mut edits: Vec<Edit> = Vec::new();
        let mut mended = Vec::new();
        for f in &before.findings {
            let Some(fix) = f.fixes.iter().find(|x| x.safe) else {
                continue;
            };
            if fix
                .edits
                .iter()
                .all(|e| edits.iter().all(|o| e.end <= o.start || o.end <= e.start))
            {
                edits.extend(fix.edits.iter().cloned());
                mended.push((f, fix));
            }
        }
        if mended.is_empty() {
            continue;
        }
        files += 1;
        for fault in faults(&case, &before, &apply(&case.text, &edits), &mended) {
            wrong.push(format!("{}: {fault}", case.name));
        }
    }
    println!("safe fixes in {files} formulas");
    assert!(files > 0, "no formula has a safe fix");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// Each follower that is allowed is needed by some formula, and has its reason.
#[test]
fn no_follower_is_idle() {
    for (of, to, why) in FOLLOWERS {
        assert!(why.len() > 20, "{of} -> {to}: say why");
        let needed = cases().iter().any(|case| {
            let before = look(&case.path, &case.text);
            before.findings.iter().filter(|f| f.code == *of).any(|f| {
                f.fixes.iter().any(|fix| {
                    let text = apply(&case.text, &fix.edits);
                    let after = look(&case.path, &text);
                    new_ones(&before, &case.text, &after, &text)
                        .iter()
                        .any(|n| n.code == *to && n.severity >= f.severity)
                })
            })
        });
        assert!(needed, "{of} -> {to}: no formula needs it");
    }
}
