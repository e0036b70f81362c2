//! The folders tell the architecture; these tests hold the imports against it.

use crate::support::imports::{Module, circles, imports};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Who may import whom. A folder imports nothing of ours but these.
pub const MAY: [(&str, &[&str]); 13] = [
    ("text", &[]),
    ("chem", &[]),
    ("syntax", &["text", "chem"]),
    ("kb", &["chem"]),
    ("model", &["text", "chem", "syntax", "kb"]),
    ("analysis", &["text", "chem", "syntax", "kb", "model"]),
    (
        "rules",
        &["text", "chem", "syntax", "kb", "model", "analysis"],
    ),
    (
        "project",
        &["text", "chem", "syntax", "kb", "model", "analysis", "rules"],
    ),
    (
        "papers",
        &["text", "chem", "syntax", "kb", "model", "analysis", "rules"],
    ),
    (
        "ide",
        &["text", "chem", "syntax", "kb", "model", "analysis", "rules"],
    ),
    (
        "cli",
        &[
            "text", "chem", "syntax", "kb", "model", "analysis", "rules", "project", "papers",
            "ide",
        ],
    ),
    ("page", &["text", "project"]),
    (
        "lsp",
        &[
            "text", "chem", "syntax", "kb", "model", "analysis", "rules", "project", "papers",
            "ide",
        ],
    ),
];

/// Libraries, and the folders that may name them.
const ALONE: [(&str, &[&str]); 10] = [
    ("kb_format", &["kb"]),
    ("pest", &["syntax"]),
    ("pest_derive", &["syntax"]),
    ("ropey", &["text"]),
    ("tower_lsp", &["lsp"]),
    ("tokio", &["lsp", "page"]),
    ("clap", &["cli"]),
    ("jiff", &["project"]),
    ("axum", &["page"]),
    ("hyper", &["page"]),
];

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
        let path = entry.expect("a folder can be listed").path();
        if path.is_dir() {
            out.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out.sort();
    out
}

/// Lines of code, without comments.
fn code(path: &Path) -> Vec<(usize, String)> {
    let text = std::fs::read_to_string(path).expect("it was listed");
    text.lines()
        .enumerate()
        .map(|(n, l)| (n + 1, l.split("//").next().unwrap_or_default().to_owned()))
        .filter(|(_, l)| !l.trim().is_empty())
        .collect()
}

/// Words that follow `crate::` in a line, also inside `crate::{a, b::c}`.
fn imported(line: &str) -> Vec<String> {
    let word = |s: &str| {
        s.chars()
            .take_while(|c| c.is_ascii_alphanumeric() || *c == '_')
            .collect::<String>()
    };
    let mut out = Vec::new();
    for (at, _) in line.match_indices("crate::") {
        let rest = &line[at + "crate::".len()..];
        match rest.strip_prefix('{') {
            Some(inner) => out.extend(inner.split([',', '}']).map(|p| word(p.trim()))),
            None => out.push(word(rest)),
        }
    }
    out
}

#[test]
fn imports_run_one_way() {
    let folders: BTreeSet<&str> = MAY.iter().map(|(f, _)| *f).collect();
    let mut illegal = Vec::new();
    let mut seen = 0;
    for (folder, may) in MAY {
        let path = root().join(folder);
        if !path.exists() {
            continue;
        }
        for file in sources(&path) {
            for (n, line) in code(&file) {
                for target in imported(&line) {
                    seen += 1;
                    if folders.contains(target.as_str())
                        && target != folder
                        && !may.contains(&target.as_str())
                    {
                        illegal.push(format!("{folder} -> {target}  at {}:{n}", file.display()));
                    }
                }
            }
        }
    }
    assert!(seen > 100, "imports were found ({seen})");
    assert!(illegal.is_empty(), "illegal edges:\n{}", illegal.join("\n"));
}

/// A file can be read before those that import it.
#[test]
fn files_of_a_folder_import_one_another_one_way() {
    let imports = imports(&root());
    let edges: usize = imports.values().map(BTreeSet::len).sum();
    assert!(edges > 300, "imports were found ({edges})");
    let found = circles(&imports);
    let names = |c: &BTreeSet<Module>| c.iter().map(|m| m.join("/")).collect::<Vec<_>>();
    let shown: Vec<String> = found.iter().map(|c| names(c).join(" <-> ")).collect();
    assert!(
        shown.is_empty(),
        "files that import each other:\n{}",
        shown.join("\n")
    );
}

/// A longer file holds more than one idea.
const MAX_LINES: usize = 500;

#[test]
fn no_file_is_longer_than_500_lines() {
    let length = |path: &PathBuf| {
        let text = std::fs::read_to_string(path).expect("it was listed");
        text.lines().count()
    };
    let files = sources(&root());
    assert!(files.len() > 300, "files were found ({})", files.len());
    let long: Vec<String> = files
        .iter()
        .map(|path| (path, length(path)))
        .filter(|(_, lines)| *lines > MAX_LINES)
        .map(|(path, lines)| format!("{}: {lines} lines", path.display()))
        .collect();
    assert!(long.is_empty(), "part these by idea:\n{}", long.join("\n"));
}

#[test]
fn a_library_stays_in_its_folder() {
    let mut illegal = Vec::new();
    for file in sources(&root()) {
        let inside = file.strip_prefix(root()).expect("it lies there");
        let folder = inside
            .components()
            .next()
            .map(|c| c.as_os_str().to_string_lossy().into_owned())
            .unwrap_or_default();
        for (n, line) in code(&file) {
            for (library, homes) in ALONE {
                let named = line.contains(&format!("{library}::"))
                    || line.contains(&format!("use {library};"));
                // `main.rs` brings the front ends together.
                if named && !homes.contains(&folder.as_str()) && folder != "main.rs" {
                    illegal.push(format!(
                        "{library} outside {homes:?}: {}:{n}",
                        file.display()
                    ));
                }
            }
        }
    }
    assert!(illegal.is_empty(), "{}", illegal.join("\n"));
}

/// A rule file without its line in `mod.rs` would never run.
#[test]
fn every_rule_file_is_listed() {
    let mut missing = Vec::new();
    let mut count = 0;
    for file in sources(&root().join("rules")) {
        let text = std::fs::read_to_string(&file).expect("it was listed");
        if !text.contains("pub static RULE: Rule") {
            continue;
        }
        count += 1;
        let code = text
            .split("code: \"")
            .nth(1)
            .and_then(|r| r.split('"').next())
            .unwrap_or_default();
        if phasewright::rules::by_code(code).is_none() {
            missing.push(format!(
                "{}: code \"{code}\" is not listed in the mod.rs of its folder",
                file.display()
            ));
        }
        let name = file
            .file_stem()
            .map(|s| s.to_string_lossy().replace('_', "-"))
            .unwrap_or_default();
        if name != code {
            missing.push(format!(
                "{}: the file is not named after its code \"{code}\"",
                file.display()
            ));
        }
    }
    assert_eq!(count, phasewright::rules::all().count());
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// What a rule yields to exists.
#[test]
fn rules_yield_to_rules() {
    let known: BTreeSet<&str> = phasewright::rules::all().map(|r| r.code).collect();
    for rule in phasewright::rules::all() {
        for to in rule.yields_to {
            assert!(
                known.contains(to),
                "{} yields to \"{to}\", which no rule has",
                rule.code
            );
            assert_ne!(*to, rule.code, "{} yields to itself", rule.code);
        }
    }
}
