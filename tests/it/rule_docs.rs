//! The pages under `docs/rules` are those of the rule files. `PHASEWRIGHT_WRITE_DOCS=1 cargo test --test it rule_docs` writes them again.

use phasewright::rules::{Group, Rule, Severity, all, page};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::{Path, PathBuf};

const WRITE: &str = "PHASEWRIGHT_WRITE_DOCS";

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/rules")
}

/// Every page by its file name.
fn pages() -> BTreeMap<String, String> {
    let mut out: BTreeMap<String, String> =
        all().map(|r| (format!("{}.md", r.code), of(r))).collect();
    out.insert("README.md".into(), index());
    out
}

fn of(rule: &Rule) -> String {
    let group = if rule.group == Group::Ph {
        "pH".to_owned()
    } else {
        rule.group.title().to_lowercase()
    };
    let mut head = format!("`{}`, at most {}; {group}.", rule.code, named(rule.loudest));
    if !rule.yields_to.is_empty() {
        let to: Vec<String> = rule
            .yields_to
            .iter()
            .map(|c| format!("[{c}]({c}.md)"))
            .collect();
        let _ = write!(
            head,
            " Silent where one of these speaks of the same: {}.",
            to.join(", ")
        );
    }
    let text = page::markdown(rule);
    let (title, rest) = text.split_once('\n').expect("a page has a title and more");
    format!("{title}\n\n{head}\n{}\n", rest.trim_end())
}

fn named(s: Severity) -> &'static str {
    match s {
        Severity::Error => "an error",
        Severity::Warning => "a warning",
        Severity::Information => "information",
        Severity::Hint => "a hint",
    }
}

fn index() -> String {
    let mut out = String::from(
        "# The rules\n\nOne page each: what is found, why, what to do, and examples, which the tests run. `phasewright explain CODE` shows the same.\n\
         The level is the loudest that a finding may have; the weakest figure that it rests on may lower it.\n",
    );
    let mut group = None;
    for r in all() {
        if group != Some(r.group) {
            group = Some(r.group);
            let _ = write!(
                out,
                "\n## {}\n\n| rule | level | |\n|---|---|---|\n",
                r.group.title()
            );
        }
        let _ = writeln!(
            out,
            "| [{0}]({0}.md) | {1} | {2} |",
            r.code,
            r.loudest.name(),
            r.title
        );
    }
    out.push_str(
        "\n## One cause, one message\n\nWhere two rules would speak of the same row, phase, step or formula, the one on the left is silent, \
         so long as one on the right is at least as loud.\n\n| silent | where one of these speaks |\n|---|---|\n",
    );
    for r in all().filter(|r| !r.yields_to.is_empty()) {
        let to: Vec<String> = r
            .yields_to
            .iter()
            .map(|c| format!("[{c}]({c}.md)"))
            .collect();
        let _ = writeln!(out, "| [{0}]({0}.md) | {1} |", r.code, to.join(", "));
    }
    out
}

#[test]
fn pages_on_disk_are_those_of_the_rules() {
    let wanted = pages();
    if std::env::var_os(WRITE).is_some() {
        let _ = std::fs::remove_dir_all(folder());
        std::fs::create_dir_all(folder()).expect("the folder can be made");
        for (name, text) in &wanted {
            std::fs::write(folder().join(name), text).expect("the page can be written");
        }
    }
    let mut differ: Vec<String> = Vec::new();
    for (name, text) in &wanted {
        if std::fs::read_to_string(folder().join(name)).ok().as_deref() != Some(text) {
            differ.push(name.clone());
        }
    }
    for entry in std::fs::read_dir(folder()).into_iter().flatten().flatten() {
        let name = entry.file_name().to_string_lossy().into_owned();
        if !wanted.contains_key(&name) {
            differ.push(format!("{name} (no rule has it)"));
        }
    }
    assert!(wanted.len() > 30, "{} pages", wanted.len());
    assert!(
        differ.is_empty(),
        "these pages differ from their rules: {}; write them with {WRITE}=1 cargo test --test it rule_docs",
        differ.join(", ")
    );
}
