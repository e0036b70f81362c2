//! What is said of the records of a workshop: by the command and by the editor, in one shape.

use super::lsp_client::codes;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Line from 0, code, severity as the protocol counts it, and what is said.
pub type Said = (u64, String, u64, String);

/// What `phasewright check` says of each file of a folder, by its path.
pub fn of_check(folder: &Path) -> BTreeMap<PathBuf, Vec<Said>> {
    let output = Command::new(env!("CARGO_BIN_EXE_phasewright"))
        .args(["check", "--json"])
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let answer: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let files = answer["files"].as_array().expect("files");
    let of_file = |file: &Value| {
        let path = folder.join(file["path"].as_str().expect("a path"));
        let findings = file["findings"].as_array().expect("findings");
        (path, sorted(findings.iter().map(of_finding)))
    };
    files.iter().map(of_file).collect()
}

fn of_finding(f: &Value) -> Said {
    let names = ["error", "warning", "information", "hint"];
    let severity = names.iter().position(|n| f["severity"] == *n);
    let text = |key: &str| f[key].as_str().expect("text").to_owned();
    let line = f["line"].as_u64().expect("a line") - 1;
    let severity = severity.expect("a severity") as u64 + 1;
    (line, text("code"), severity, text("message"))
}

/// The same of diagnostics.
pub fn of_editor(diagnostics: &[Value]) -> Vec<Said> {
    let places = codes(diagnostics).into_iter().zip(diagnostics);
    sorted(places.map(|((line, code), d)| {
        let severity = d["severity"].as_u64().expect("a severity");
        let message = d["message"].as_str().expect("a message");
        (line, code, severity, in_one_line(message))
    }))
}

/// The editor says what to do on a second line, the command in a second sentence.
fn in_one_line(message: &str) -> String {
    message.replacen('\n', ". ", 1)
}

fn sorted(said: impl Iterator<Item = Said>) -> Vec<Said> {
    let mut said: Vec<Said> = said.collect();
    said.sort();
    said
}
