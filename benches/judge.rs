//! From text to findings, stage by stage, at three sizes. `cargo bench --bench judge`.
//!
//! A formula of 60 lines is real; 1,000 and 10,000 lines show how the work grows, and `growth.rs` shows it for more shapes.

mod made;

use made::{distinct, repeated};
use phasewright::analysis::Analysis;
use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings, resolve};
use phasewright::rules::{analyze, check};
use phasewright::syntax::{FileKind, Tree, parse};
use std::path::Path;

fn main() {
    // What the knowledge base decodes once stands outside the measurement.
    let _ = all(&repeated(60));
    divan::main();
}

const SIZES: [usize; 3] = [60, 1_000, 10_000];

fn all(text: &str) -> usize {
    let tree = parse(FileKind::Formula, text);
    findings(&tree)
}

fn findings(tree: &Tree) -> usize {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let path = Path::new("made.formula");
    analyze(tree.clone(), path, &kb, &settings, &NoFiles)
        .findings()
        .len()
}

#[divan::bench(args = SIZES)]
fn parse_whole(bencher: divan::Bencher, lines: usize) {
    let text = repeated(lines);
    bencher.bench(|| {
        parse(FileKind::Formula, divan::black_box(&text))
            .lines
            .len()
    });
}

/// What a keystroke costs: one line is read again.
#[divan::bench(args = SIZES)]
fn parse_one_line(bencher: divan::Bencher, lines: usize) {
    let text = repeated(lines);
    let tree = parse(FileKind::Formula, &text);
    let at = tree.lines.len() - 1;
    bencher
        .with_inputs(|| tree.clone())
        .bench_local_values(|mut tree| {
            tree.apply(at - 1..at, "  glycerin  0.5 %\n");
            tree.lines.len()
        });
}

#[divan::bench(args = SIZES)]
fn resolve_whole(bencher: divan::Bencher, lines: usize) {
    let tree = parse(FileKind::Formula, &repeated(lines));
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    bencher.bench(|| {
        resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles)
            .rows
            .len()
    });
}

#[divan::bench(args = SIZES)]
fn rules_whole(bencher: divan::Bencher, lines: usize) {
    let tree = parse(FileKind::Formula, &repeated(lines));
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let formula = resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles);
    bencher
        .with_inputs(|| formula.clone())
        .bench_local_values(|f| {
            let path = Path::new("made.formula");
            let of = Analysis::of(tree.clone(), path, f, &kb, &settings, check);
            of.findings().len()
        });
}

#[divan::bench(args = SIZES)]
fn text_to_findings(bencher: divan::Bencher, lines: usize) {
    let text = repeated(lines);
    bencher.bench(|| all(divan::black_box(&text)));
}

#[divan::bench(args = SIZES)]
fn rules_distinct(bencher: divan::Bencher, lines: usize) {
    let tree = parse(FileKind::Formula, &distinct(lines));
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let formula = resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles);
    bencher
        .with_inputs(|| formula.clone())
        .bench_local_values(|f| {
            let path = Path::new("made.formula");
            let of = Analysis::of(tree.clone(), path, f, &kb, &settings, check);
            of.findings().len()
        });
}
