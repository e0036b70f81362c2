//! Edits applied to a text, whatever its line breaks are; and the formulas that several tests walk over.

use phasewright::rules::Edit;
use std::path::{Path, PathBuf};

/// Where each line begins.
fn starts(text: &str) -> Vec<usize> {
    let bytes = text.as_bytes();
    let mut starts = vec![0];
    for (n, b) in bytes.iter().enumerate() {
        if *b == b'\n' || *b == b'\r' && bytes.get(n + 1) != Some(&b'\n') {
            starts.push(n + 1);
        }
    }
    starts
}

/// Applies edits from the last to the first. A place behind the end of a line stands for its end.
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let starts = starts(text);
    let place = |(line, byte): (u32, u32)| {
        let line = line as usize;
        let Some(start) = starts.get(line).copied() else {
            return text.len();
        };
        let end = starts.get(line + 1).copied().unwrap_or(text.len());
        let end = text[..end].trim_end_matches(['\r', '\n']).len().max(start);
        (start + byte as usize).min(end)
    };
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|e| std::cmp::Reverse((e.start, e.end)));
    let mut out = text.to_owned();
    for e in edits {
        let (from, to) = (place(e.start), place(e.end));
        // A whole line goes with its break.
        let to = if e.end.1 == 0 && e.end > e.start {
            starts.get(e.end.0 as usize).copied().unwrap_or(text.len())
        } else {
            to
        };
        out.replace_range(from..to, &e.text);
    }
    out
}

/// Every example formula with its path.
pub fn examples() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut out = Vec::new();
    for folder in ["examples", "examples/instructive"] {
        let files = std::fs::read_dir(root.join(folder)).expect("the folder is there");
        let files = files.map(|e| e.expect("a folder can be listed").path());
        for path in files.filter(|p| p.extension().is_some_and(|e| e == "formula")) {
            let text = std::fs::read_to_string(&path).expect("it was listed");
            out.push((path, text));
        }
    }
    out.sort();
    assert!(out.len() >= 15, "only {} examples", out.len());
    out
}
