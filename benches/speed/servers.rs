//! The servers and their documents: the same rows in each language, with a figure to edit in many of them.

use super::client::Place;
use super::made;
use serde_json::{Value, json};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Versions that the figures of docs/speed.md were made with.
const RUFF: &str = "ruff==0.17.6";
const JSON_SERVER: &str = "vscode-langservers-extracted@4.10.0";

pub struct Server {
    pub name: &'static str,
    pub command: Vec<String>,
    pub language: &'static str,
    pub ending: &'static str,
    pub settings: Value,
    /// A document of so many lines.
    pub document: fn(usize) -> Document,
}

pub struct Document {
    pub text: String,
    /// Places behind a figure, spread over the whole.
    pub edits: Vec<Place>,
}

pub fn all() -> Vec<Server> {
    let text = |path: &Path| path.display().to_string();
    let own = std::env::current_exe().expect("this program has a path");
    let formula = |name, command| Server {
        name,
        command,
        language: "formula",
        ending: "formula",
        settings: json!({}),
        document: formula_document,
    };
    let ours = vec![
        env!("CARGO_BIN_EXE_phasewright").to_owned(),
        "serve".to_owned(),
    ];
    let mut all = vec![
        formula("phasewright", ours),
        formula("floor", vec![text(&own), "floor".to_owned()]),
    ];
    all.extend(ruff().map(|program| Server {
        name: "ruff",
        command: vec![text(&program), "server".to_owned()],
        language: "python",
        ending: "py",
        settings: json!({}),
        document: python_document,
    }));
    all.extend(json_server().map(|program| Server {
        name: "JSON with a schema",
        command: vec!["node".to_owned(), text(&program), "--stdio".to_owned()],
        language: "json",
        ending: "json",
        settings: json!({ "json": { "validate": { "enable": true }, "schemas": [{ "fileMatch": ["*.json"], "schema": schema() }] } }),
        document: json_document,
    }));
    all
}

fn peers() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("target/peers")
}

fn ruff() -> Option<PathBuf> {
    let folder = peers().join("python");
    let target = folder.display().to_string();
    installed(
        folder.join("bin/ruff"),
        "python3",
        &["-m", "pip", "install", "--quiet", "--target", &target, RUFF],
    )
}

fn json_server() -> Option<PathBuf> {
    let folder = peers().join("node");
    let target = folder.display().to_string();
    let program =
        folder.join("node_modules/vscode-langservers-extracted/bin/vscode-json-language-server");
    installed(
        program,
        "npm",
        &["install", "--silent", "--prefix", &target, JSON_SERVER],
    )
}

/// The program, installed where it is missing.
fn installed(program: PathBuf, with: &str, args: &[&str]) -> Option<PathBuf> {
    if !program.exists() {
        let done = Command::new(with).args(args).status();
        if !done.is_ok_and(|status| status.success()) || !program.exists() {
            eprintln!(
                "{} is not to be had here and is left out",
                program.display()
            );
            return None;
        }
    }
    Some(program)
}

/// The real one of 60 lines, longer ones made.
fn formula(lines: usize) -> String {
    match lines {
        60 => include_str!("../sixty.formula").to_owned(),
        lines => made::distinct(lines),
    }
}

/// Name and percent of each row of the formula, as it is written.
fn rows(lines: usize) -> Vec<(String, String)> {
    let row = |line: &str| {
        let (name, rest) = line.strip_prefix("  ")?.split_once("  ")?;
        let percent = rest.trim().strip_suffix(" %")?;
        percent.parse::<f64>().ok()?;
        Some((name.to_owned(), percent.to_owned()))
    };
    formula(lines).lines().filter_map(row).collect()
}

fn formula_document(lines: usize) -> Document {
    with_edits(formula(lines), |line| {
        line.starts_with("  ").then(|| line.find(" %")).flatten()
    })
}

/// One assignment a line, and a name that is not known where a figure is typed behind the last.
fn python_document(lines: usize) -> Document {
    let mut text = String::from("value = 1\n");
    for n in 1..lines {
        let _ = writeln!(text, "x{n} = value  # {}", rows_cycled(lines, n).0);
    }
    with_edits(text, |line| line.find("  #"))
}

fn rows_cycled(lines: usize, n: usize) -> (String, String) {
    thread_local! {
        static ROWS: std::cell::RefCell<(usize, Vec<(String, String)>)> = const { std::cell::RefCell::new((0, Vec::new())) };
    }
    ROWS.with_borrow_mut(|(of, all)| {
        if *of != lines {
            (*of, *all) = (lines, rows(lines));
        }
        all[n % all.len()].clone()
    })
}

/// A list of rows, one a line: a figure typed into one is more than the schema allows.
fn json_document(lines: usize) -> Document {
    let mut text = String::from("{ \"rows\": [\n");
    let count = lines - 2;
    for n in 0..count {
        let (name, percent) = rows_cycled(lines, n);
        let comma = if n + 1 < count { "," } else { "" };
        let _ = writeln!(
            text,
            "  {{ \"name\": \"{name}\", \"percent\": {percent} }}{comma}"
        );
    }
    text.push_str("] }\n");
    with_edits(text, |line| line.find(" }"))
}

/// The names that the base knows, each with the most that may be written.
fn schema() -> Value {
    let names = made::names();
    let each: Vec<Value> = names
        .iter()
        .take(150)
        .map(|name| json!({ "if": { "properties": { "name": { "const": name } } }, "then": { "properties": { "percent": { "maximum": 60 } } } }))
        .collect();
    json!({
        "type": "object",
        "properties": { "rows": { "type": "array", "items": {
            "type": "object",
            "required": ["name", "percent"],
            "properties": { "name": { "type": "string" }, "percent": { "type": "number", "minimum": 0, "maximum": 99.9999 } },
            "allOf": each,
        } } },
    })
}

/// Finds 24 places, spread evenly.
fn with_edits(text: String, place: impl Fn(&str) -> Option<usize>) -> Document {
    let all: Vec<Place> = text
        .lines()
        .enumerate()
        .filter_map(|(n, line)| Some((n, place(line).filter(|at| line[..*at].is_ascii())?)))
        .collect();
    let many = all.len().min(24);
    let edits = (0..many)
        .map(|n| all[(2 * n + 1) * all.len() / (2 * many)])
        .collect();
    Document { text, edits }
}
