//! Every formula that the tests know, judged: the rules' pages, the examples, the published ones, the cases.

use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::rules::page::{examples, markdown};
use phasewright::rules::{Finding, all, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

/// A formula with where it comes from and what is found in it.
pub struct Case {
    pub name: String,
    pub path: PathBuf,
    pub text: String,
    pub findings: Vec<Finding>,
}

const FOLDERS: [&str; 5] = [
    "examples",
    "examples/instructive",
    "tests/published",
    "tests/cases",
    "tests/yields",
];

/// All of them.
pub fn judged() -> Vec<Case> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut out = Vec::new();
    for rule in all() {
        for (n, e) in examples(&markdown(rule)).into_iter().enumerate() {
            let name = format!("page {} {} {}", rule.code, e.kind, n + 1);
            out.push(case(name, root.join("examples/page.formula"), e.text));
        }
    }
    for folder in FOLDERS {
        let mut files: Vec<PathBuf> = std::fs::read_dir(root.join(folder))
            .unwrap_or_else(|e| panic!("{folder}: {e}"))
            .map(|e| e.expect("a folder can be listed").path())
            .filter(|p| p.extension().is_some_and(|e| e == "formula"))
            .collect();
        files.sort();
        assert!(files.len() >= 5, "{folder} holds {} formulas", files.len());
        for path in files {
            let text = std::fs::read_to_string(&path).expect("it was listed");
            let file = path.file_name().unwrap_or_default().to_string_lossy();
            out.push(case(format!("{folder}/{file}"), path.clone(), text));
        }
    }
    out
}

/// Judged with the knowledge base as it is bundled, on a fixed day.
pub fn case(name: String, path: PathBuf, text: String) -> Case {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, &text);
    let findings = analyze(tree, &path, &KB, &settings, &Disk)
        .findings()
        .to_vec();
    Case {
        name,
        path,
        text,
        findings,
    }
}
