//! Whole files: the three kinds, and that a slip costs one line.

use super::said::formula;
use phasewright::syntax::{FileKind, Node, SectionKind, parse};
use std::path::Path;

pub const CREAM: &str = include_str!("../../syntax/cream.formula");
pub const BATCH: &str = include_str!("../../syntax/cream.batch");
pub const STOCK: &str = include_str!("../../syntax/shelf.stock");

#[test]
fn the_kind_of_a_file_follows_from_its_extension() {
    assert_eq!(
        FileKind::of_path(Path::new("a/b c.formula")),
        Some(FileKind::Formula)
    );
    assert_eq!(
        FileKind::of_path(Path::new("HC-031.BATCH")),
        Some(FileKind::Batch)
    );
    assert_eq!(
        FileKind::of_path(Path::new("shelf.stock")),
        Some(FileKind::Stock)
    );
    assert_eq!(FileKind::of_path(Path::new("formula")), None);
    assert_eq!(FileKind::of_path(Path::new("notes.txt")), None);
}

#[test]
fn sound_files_of_each_kind_draw_no_error() {
    for (kind, text) in [
        (FileKind::Formula, CREAM),
        (FileKind::Batch, BATCH),
        (FileKind::Stock, STOCK),
    ] {
        let tree = parse(kind, text);
        let said: Vec<String> = tree
            .errors()
            .map(|(n, e)| format!("{n}: {}", e.message))
            .collect();
        assert_eq!(said, Vec::<String>::new());
        assert!(
            !tree
                .lines
                .iter()
                .any(|l| matches!(l.line.node, Node::Broken | Node::Kept))
        );
    }
}

#[test]
fn a_cream_has_its_sections_and_rows() {
    let tree = formula(CREAM);
    use SectionKind::*;
    let kinds: Vec<SectionKind> = tree.sections.iter().map(|s| s.kind).collect();
    assert_eq!(
        kinds,
        [Formula, Phase, Premix, Phase, Phase, Phase, Method, Notes]
    );
    assert_eq!(tree.rows().count(), 12);
    let steps = tree
        .lines
        .iter()
        .filter(|l| matches!(l.line.node, Node::Step(_)))
        .count();
    assert_eq!(steps, 11);
    for (n, section) in tree.sections.iter().enumerate() {
        assert_eq!(section.heading, Some(section.first));
        assert_eq!(
            section.end,
            tree.sections
                .get(n + 1)
                .map_or(tree.lines.len() as u32, |s| s.first)
        );
    }
}

#[test]
fn an_empty_file_has_one_blank_line() {
    let tree = formula("");
    assert_eq!(tree.lines.len(), 1);
    assert_eq!(tree.lines[0].line.node, Node::Blank);
    assert!(tree.is_empty());
    assert_eq!(tree.errors().count(), 0);
}

/// A half-typed, doubled or deleted line changes nothing on the lines that keep their section.
#[test]
fn any_single_slip_leaves_the_other_lines_alone() {
    let lines: Vec<&str> = CREAM.lines().collect();
    let whole = formula(CREAM);
    for k in 0..lines.len() {
        for cut in 0..=lines[k].chars().count() {
            let half: String = lines[k].chars().take(cut).collect();
            let mut text = lines.clone();
            text[k] = &half;
            let tree = formula(&text.join("\n"));
            for n in 0..lines.len() {
                if n != k && tree.lines[n].line.section == whole.lines[n].line.section {
                    assert_eq!(
                        tree.lines[n].line, whole.lines[n].line,
                        "line {n} after line {k} became `{half}`"
                    );
                }
            }
            let said: Vec<String> = tree
                .errors()
                .filter(|(n, _)| *n as usize != k)
                .map(|(n, e)| format!("{n}: {}", e.message))
                .collect();
            assert!(said.len() <= 1, "line {k} as `{half}` draws {said:?}");
        }
    }
}

#[test]
fn every_prefix_of_a_file_has_a_tree_with_all_earlier_lines() {
    let whole = formula(CREAM);
    for (at, _) in CREAM.char_indices() {
        let tree = formula(&CREAM[..at]);
        let last = tree.lines.len() - 1;
        for n in 0..last {
            assert_eq!(tree.lines[n].line, whole.lines[n].line);
        }
    }
}
