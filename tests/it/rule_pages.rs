//! Every rule's page holds its own tests: the bad example is reported where the marks point and nothing else is,
//! the good one is silent, and the bad one after its first fix is the fixed one.

use phasewright::kb::Kb;
use phasewright::model::shop::{Facts, Plans, Shop};
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::page::{Example, companions, examples, markdown};
use phasewright::rules::{Edit, Finding, Severity, Workshop, all, analyze, judge_record};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn check(text: &str) -> Vec<Finding> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("example.formula"), &kb, &settings, &NoFiles)
        .findings()
        .to_vec()
}

/// A record with the shelf and the formula of its page.
fn check_record(example: &Example, page: &str) -> Vec<Finding> {
    struct Beside(String);
    impl phasewright::model::FileLoader for Beside {
        fn read(&self, _: &Path) -> Result<String, String> {
            Ok(self.0.clone())
        }
    }
    let kb = Kb::bundled();
    let settings = Settings::on("2027-02-01".parse().expect("a day"));
    let path = Path::new("example.batch");
    let mut shop = Shop::default();
    let mut formula = String::new();
    for (kind, text) in companions(page) {
        match kind {
            FileKind::Stock => {
                let shelf = Path::new("shelf.stock");
                shop.set(shelf, Facts::of(&parse(kind, &text), shelf, &kb));
            }
            FileKind::Batch => {
                let other = Path::new("other.batch");
                shop.set(other, Facts::of(&parse(kind, &text), other, &kb));
            }
            _ => formula = text,
        }
    }
    let tree = parse(example.file, &example.text);
    let facts = Facts::of(&tree, path, &kb);
    shop.set(path, facts.clone());
    let workshop = Workshop::new(
        &shop,
        &facts,
        path,
        &kb,
        &settings,
        &Beside(formula),
        &Plans::default(),
    );
    let mut found = judge_record(&tree, workshop, &kb, &settings);
    // Said of every record.
    found.retain(|f| f.code != "not-judged");
    found
}

fn loud(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .filter(|f| f.severity >= Severity::Information)
        .map(show)
        .collect()
}

fn show(f: &Finding) -> String {
    format!(
        "{}:{}-{} {} {}: {}",
        f.place.line + 1,
        f.place.span.start,
        f.place.span.end,
        f.severity.name(),
        f.code,
        f.whole()
    )
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

/// Blanks do not matter.
fn plain(text: &str) -> Vec<String> {
    text.lines()
        .map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|l| !l.is_empty())
        .collect()
}

fn of_kind(all: &[Example], kind: &str) -> Vec<Example> {
    all.iter().filter(|e| e.kind == kind).cloned().collect()
}

#[test]
fn pages() {
    let mut wrong = Vec::new();
    let mut count = 0;
    for rule in all() {
        let page = markdown(rule);
        let examples = examples(&page);
        let check = |e: &Example| match e.file {
            FileKind::Formula => check(&e.text),
            _ => check_record(e, &page),
        };
        for bad in of_kind(&examples, "bad") {
            count += 1;
            let found = check(&bad);
            let mine: Vec<&Finding> = found.iter().filter(|f| f.code == rule.code).collect();
            let as_marked = bad.expected.len() == mine.len()
                && bad.expected.iter().all(|e| {
                    mine.iter().any(|f| {
                        f.place.line == e.line
                            && f.place.span.start == e.start
                            && f.place.span.end == e.end
                            && f.whole().contains(&e.words)
                    })
                });
            let others = found
                .iter()
                .any(|f| f.code != rule.code && f.severity >= Severity::Information);
            if !as_marked || others || bad.expected.is_empty() {
                wrong.push(format!(
                    "{}: bad example: wanted {:?}, found\n    {}",
                    rule.code,
                    bad.expected,
                    found.iter().map(show).collect::<Vec<_>>().join("\n    ")
                ));
            }
            if let Some(fixed) = of_kind(&examples, "fixed").first() {
                let fix = mine.iter().find_map(|f| f.fixes.first());
                let after = fix.map(|f| apply(&bad.text, &f.edits)).unwrap_or_default();
                if plain(&after) != plain(&fixed.text) {
                    wrong.push(format!(
                        "{}: after its first fix the bad example is\n{after}",
                        rule.code
                    ));
                }
            }
        }
        for good in of_kind(&examples, "good")
            .into_iter()
            .chain(of_kind(&examples, "fixed"))
        {
            count += 1;
            let found = check(&good);
            if found.iter().any(|f| f.code == rule.code) || !loud(&found).is_empty() {
                wrong.push(format!(
                    "{}: {} example is not silent:\n    {}",
                    rule.code,
                    good.kind,
                    found.iter().map(show).collect::<Vec<_>>().join("\n    ")
                ));
            }
        }
    }
    assert!(count > 40, "the pages hold their examples ({count})");
    assert!(
        wrong.is_empty(),
        "{} of {count}\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// A page says why and what to do.
#[test]
fn pages_are_whole() {
    for rule in all() {
        let page = markdown(rule);
        assert!(
            page.starts_with(&format!("# {}\n", rule.title)),
            "{}: the page begins with its title",
            rule.code
        );
        for part in ["## Why", "## What to do"] {
            assert!(
                page.contains(part),
                "{}: the page lacks \"{part}\"",
                rule.code
            );
        }
    }
}
