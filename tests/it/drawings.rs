//! The pictures of DEVELOPERS.md say what the source does: the table of folders, and the arrows of the drawings.

use crate::architecture::{MAY, root};
use crate::support::imports::{Module, all_imports};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn guide() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    std::fs::read_to_string(path).expect("the guide is there")
}

/// The folders of the table, each with what it may import.
fn table() -> BTreeMap<String, BTreeSet<String>> {
    let mut out: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    // From the last row on: what stands below a row is then known.
    for row in guide().lines().rev().filter(|l| l.starts_with("| `src/")) {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let may: BTreeSet<String> = match cells[2] {
            "everything below" => out.keys().cloned().collect(),
            "nothing of ours" => BTreeSet::new(),
            list => list.split(',').map(|f| f.trim().to_owned()).collect(),
        };
        for folder in cells[0].split(',') {
            let folder = folder.trim().trim_matches('`').trim_start_matches("src/");
            out.insert(folder.to_owned(), may.clone());
        }
    }
    out
}

#[test]
fn the_table_names_every_folder_and_what_it_may_import() {
    let may: BTreeMap<String, BTreeSet<String>> = MAY
        .iter()
        .map(|(f, all)| (f.to_string(), all.iter().map(|f| f.to_string()).collect()))
        .collect();
    assert_eq!(table(), may, "DEVELOPERS.md and tests/it/architecture.rs");
    let folders: BTreeSet<String> = std::fs::read_dir(root())
        .expect("src can be listed")
        .flatten()
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(folders, table().into_keys().collect(), "the folders of src");
}

/// An arrow of a drawing: from one module to another, `a/b` for `src/a/b.rs` or `src/a/b/`.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Arrow {
    from: String,
    to: String,
}

/// The arrows of every drawing, drawing by drawing. A node without a path in its box stands for something outside the program.
fn drawings(text: &str) -> Vec<Vec<Arrow>> {
    let mut out = Vec::new();
    for drawing in text.split("```mermaid\n").skip(1) {
        let drawing = drawing.split("```").next().unwrap_or_default();
        let mut boxes: BTreeMap<&str, &str> = BTreeMap::new();
        let mut arrows = Vec::new();
        for line in drawing.lines().map(str::trim) {
            let mut before: Option<&str> = None;
            for node in line.split("-->") {
                // A label of an arrow stands between two bars.
                let node = match node.trim().strip_prefix('|') {
                    Some(label) => label.split_once('|').map_or("", |(_, node)| node.trim()),
                    None => node.trim(),
                };
                let name = node.split(['[', '(']).next().unwrap_or_default();
                if let Some((_, text)) = node.split_once("[\"") {
                    boxes.insert(name, text.split(['"', '<']).next().unwrap_or_default());
                }
                if let Some(before) = before {
                    arrows.push((before, name));
                }
                before = Some(name);
            }
        }
        let arrow = |(from, to): (&str, &str)| {
            Some(Arrow {
                from: boxes.get(from)?.to_string(),
                to: boxes.get(to)?.to_string(),
            })
        };
        out.push(arrows.into_iter().filter_map(arrow).collect());
    }
    out
}

#[test]
fn every_arrow_of_the_drawings_is_an_import() {
    let imports = all_imports(&root());
    let path = |m: &str| m.split('/').map(str::to_owned).collect::<Module>();
    let is_there = |m: &str| imports.keys().any(|known| known.starts_with(&path(m)));
    let imports = |arrow: &Arrow| {
        let (from, to) = (path(&arrow.from), path(&arrow.to));
        let mut inside = imports.iter().filter(|(m, _)| m.starts_with(&from));
        inside.any(|(_, all)| all.iter().any(|m| m.starts_with(&to)))
    };
    let drawings = drawings(&guide());
    assert_eq!(drawings.len(), 2, "the way of a keystroke and of a paper");
    let mut wrong = Vec::new();
    for drawing in &drawings {
        assert!(drawing.len() > 8, "arrows were read: {drawing:?}");
        for arrow in drawing {
            let lost: Vec<&str> = [&*arrow.from, &*arrow.to]
                .into_iter()
                .filter(|m| !is_there(m))
                .collect();
            match lost[..] {
                [] if imports(arrow) => {}
                [] => wrong.push(format!("{} does not import {}", arrow.from, arrow.to)),
                _ => wrong.push(format!("there is no src/{}", lost.join(", src/"))),
            }
        }
    }
    assert!(wrong.is_empty(), "DEVELOPERS.md:\n{}", wrong.join("\n"));
}

#[test]
fn a_drawing_is_read_as_it_is_shown() {
    let text = "```mermaid\nflowchart TD\n  key([a key]) --> a[\"lsp/main<br>the loop\"]\n  a -->|a label| b[\"syntax\"] --> a\n```\n";
    let arrow = |from: &str, to: &str| Arrow {
        from: from.to_owned(),
        to: to.to_owned(),
    };
    assert_eq!(
        drawings(text),
        [[arrow("lsp/main", "syntax"), arrow("syntax", "lsp/main")]]
    );
}
