//! Formulas with one planted fault each, and sound ones: what is found, what is missed, what is said without cause.
//!
//! `tests/cases`: `#! planted CODE: why` stands under the faulty line, or at its end. Printed by `cargo test --test it confusion -- --nocapture`;
//! `PHASEWRIGHT_WRITE_DOCS=1` before it writes `docs/planted-faults.md` again. A regression set: the program has been mended along it.

use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::{Finding, Group, Severity, all, analyze};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

const WRITE: &str = "PHASEWRIGHT_WRITE_DOCS";

/// What is not found today, with the code planted. Whatever else gets lost fails, even when the page is written again.
const MISSED: &[(&str, &str)] = &[];

/// What is said today without cause. Anything more fails in the same way.
const FALSE: &[(&str, &str)] = &[];

struct Case {
    name: String,
    /// The code and its line, from 0; none in a sound formula.
    planted: Option<(String, u32)>,
    findings: Vec<Finding>,
}

impl Case {
    fn found(&self) -> bool {
        self.planted.as_ref().is_some_and(|(code, line)| {
            self.findings
                .iter()
                .any(|f| f.code == code && f.place.line == *line)
        })
    }

    fn others(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|f| {
            !self
                .planted
                .as_ref()
                .is_some_and(|(code, line)| f.code == code && f.place.line == *line)
        })
    }

    /// Nothing but the planted fault is wrong with the formula: any other warning or error is false.
    fn false_alarms(&self) -> impl Iterator<Item = &Finding> {
        self.others().filter(|f| f.severity >= Severity::Warning)
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Code and line of the mark; a mark stands under the line that it speaks of, or at its end.
fn planted(name: &str, text: &str) -> Option<(String, u32)> {
    let mut marks = text.lines().enumerate().filter_map(|(n, l)| {
        let (before, rest) = l.split_once("#! planted ")?;
        Some((if before.trim().is_empty() { n - 1 } else { n }, rest))
    });
    let mark = marks.next().map(|(n, rest)| {
        let (code, why) = rest
            .split_once(": ")
            .unwrap_or_else(|| panic!("{name}: write `#! planted CODE: why`"));
        assert!(why.len() > 15, "{name}: say why");
        (code.to_owned(), n as u32)
    });
    assert!(marks.next().is_none(), "{name}: one fault each");
    mark
}

fn cases() -> Vec<Case> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let mut files: Vec<PathBuf> = std::fs::read_dir(root().join("tests/cases"))
        .expect("the folder is there")
        .map(|e| e.expect("a folder can be listed").path())
        .filter(|p| p.extension().is_some_and(|e| e == "formula"))
        .collect();
    // 99 before 100, the sound ones last.
    let number = |p: &PathBuf| {
        p.file_name()
            .and_then(|n| n.to_str()?.split('-').next()?.parse::<u32>().ok())
            .unwrap_or(u32::MAX)
    };
    files.sort_by_key(|p| (number(p), p.clone()));
    files
        .iter()
        .map(|path| case(path, &kb, &settings))
        .collect()
}

fn case(path: &Path, kb: &Kb, settings: &Settings) -> Case {
    let name = path
        .file_stem()
        .expect("a file has a name")
        .to_string_lossy()
        .into_owned();
    let text = std::fs::read_to_string(path).expect("it was listed");
    let tree = parse(FileKind::Formula, &text);
    Case {
        planted: planted(&name, &text),
        findings: analyze(tree, path, kb, settings, &Disk).findings().to_vec(),
        name,
    }
}

/// Rows of the table: the groups of the rules in their order, then the sound formulas.
fn row(case: &Case) -> String {
    match &case.planted {
        Some((code, _)) => group(code).title().to_owned(),
        None => "no fault".to_owned(),
    }
}

fn group(code: &str) -> Group {
    all()
        .find(|r| r.code == code)
        .unwrap_or_else(|| panic!("no rule is called {code}"))
        .group
}

#[derive(Default)]
struct Counts {
    formulas: usize,
    planted: usize,
    found: usize,
    alarms: usize,
}

fn table(cases: &[Case]) -> String {
    let mut rows: Vec<String> = Vec::new();
    for title in all()
        .map(|r| r.group.title().to_owned())
        .chain(["no fault".to_owned()])
    {
        if !rows.contains(&title) && cases.iter().any(|c| row(c) == title) {
            rows.push(title);
        }
    }
    let mut counts: BTreeMap<&str, Counts> = BTreeMap::new();
    for c in cases {
        let title = rows
            .iter()
            .find(|r| **r == row(c))
            .expect("each case has a row")
            .as_str();
        for key in [title, ""] {
            let n = counts.entry(key).or_default();
            n.formulas += 1;
            n.planted += usize::from(c.planted.is_some());
            n.found += usize::from(c.found());
            n.alarms += c.false_alarms().count();
        }
    }
    let mut out = String::from(
        "| planted | formulas | found | missed | false |\n|---|---:|---:|---:|---:|\n",
    );
    for (title, key) in rows
        .iter()
        .map(|r| (r.as_str(), r.as_str()))
        .chain([("**all**", "")])
    {
        let n = &counts[key];
        let _ = writeln!(
            out,
            "| {title} | {} | {} | {} | {} |",
            n.formulas,
            n.found,
            n.planted - n.found,
            n.alarms
        );
    }
    out
}

fn list(cases: &[Case]) -> String {
    let mut out = String::from("| formula | planted | outcome | also said |\n|---|---|---|---|\n");
    for c in cases {
        let (code, outcome) = match &c.planted {
            Some((code, _)) if c.found() => (format!("[{code}](rules/{code}.md)"), "found"),
            Some((code, _)) => (format!("[{code}](rules/{code}.md)"), "**missed**"),
            None => ("none".into(), "sound"),
        };
        let alarms: Vec<String> = c
            .false_alarms()
            .map(|f| format!("**{} {}**", f.severity.name(), f.code))
            .collect();
        let mut soft: Vec<&str> = c
            .others()
            .filter(|f| f.severity < Severity::Warning)
            .map(|f| f.code)
            .collect();
        soft.sort_unstable();
        soft.dedup();
        let outcome = if alarms.is_empty() {
            outcome.to_owned()
        } else {
            format!("{outcome}, **false**")
        };
        let said: Vec<String> = alarms
            .into_iter()
            .chain(soft.into_iter().map(str::to_owned))
            .collect();
        let _ = writeln!(
            out,
            "| [{0}](../tests/cases/{0}.formula) | {code} | {outcome} | {1} |",
            c.name,
            said.join(", ")
        );
    }
    out
}

fn page(cases: &[Case]) -> String {
    format!(
        "# Planted faults: a regression set\n\n\
         The rules and the knowledge base have been mended along these formulas, so a full table says that nothing found once is lost,\n\
         and not how much is found in formulas that nobody here has seen: for that, see [the blind set](blind-set.md).\n\n\
         Formulas as small makers write them, each sound but for one planted fault, and sound ones without any. 01 to 86 and sound-01 to\n\
         sound-12 were written from the catalogue of codes, the language and the trade's facts alone, before their writer had seen a rule or\n\
         its page; the later ones are told of below. **Found**: the planted code stands on the planted line. **Missed**: it does not.\n\
         **False**: any other warning or error. Information and hints that come besides (cautions, allergens, what a market asks before\n\
         a sale) are listed and not counted.\n\n\
         `cargo test --test it confusion -- --nocapture` prints this page's tables and fails when they change for the worse.\n\n\
         {}\n## As first run\n\n{}\n## Case by case\n\n{}",
        table(cases),
        include_str!("../cases/first-run.md"),
        list(cases)
    )
}

#[test]
fn planted_faults_are_found_and_nothing_else() {
    let cases = cases();
    let faults = cases.iter().filter(|c| c.planted.is_some()).count();
    assert!(
        faults >= 50 && cases.len() - faults >= 10,
        "{faults} of {}",
        cases.len()
    );
    println!("{}\n{}", table(&cases), list(&cases));

    let mut wrong = Vec::new();
    for c in &cases {
        let known = |list: &[(&str, &str)], code: &str| list.contains(&(c.name.as_str(), code));
        if let Some((code, line)) = &c.planted {
            match (c.found(), known(MISSED, code)) {
                (false, false) => wrong.push(format!("{}:{}: {code} is lost", c.name, line + 1)),
                (true, true) => wrong.push(format!(
                    "{}: {code} is found now, take it off the list",
                    c.name
                )),
                _ => {}
            }
        }
        for f in c.false_alarms().filter(|f| !known(FALSE, f.code)) {
            wrong.push(format!(
                "{}:{}: {} {}: {}",
                c.name,
                f.place.line + 1,
                f.severity.name(),
                f.code,
                f.message
            ));
        }
    }
    for (name, code) in FALSE {
        let still = cases
            .iter()
            .any(|c| c.name == *name && c.false_alarms().any(|f| f.code == *code));
        if !still {
            wrong.push(format!(
                "{name}: {code} is no longer said, take it off the list"
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));

    let (path, wanted) = (root().join("docs/planted-faults.md"), page(&cases));
    if std::env::var_os(WRITE).is_some() {
        std::fs::write(&path, &wanted).expect("the page can be written");
    }
    let differs = std::fs::read_to_string(&path).ok().as_deref() != Some(wanted.as_str());
    assert!(
        !differs,
        "the page differs from the cases; write it with {WRITE}=1 cargo test --test it confusion"
    );
}
