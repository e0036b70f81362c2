//! From text to findings, stage by stage, at three sizes. `cargo bench --bench judge`.
//!
//! A formula of 60 lines is real; 1,000 and 10,000 lines show how the work grows.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings, resolve};
use phasewright::rules::judge;
use phasewright::syntax::{FileKind, Tree, parse};
use std::fmt::Write;
use std::path::Path;

fn main() {
    // What the knowledge base decodes once stands outside the measurement.
    let _ = all(&made(60));
    divan::main();
}

const SIZES: [usize; 3] = [60, 1_000, 10_000];

const ROWS: [&str; 16] = [
    "rapeseed oil",
    "shea butter",
    "cetearyl alcohol",
    "glyceryl stearate citrate",
    "glycerin",
    "xanthan gum",
    "sodium phytate",
    "panthenol",
    "sodium benzoate",
    "potassium sorbate",
    "phenoxyethanol",
    "lavender oil",
    "citric acid",
    "niacinamide",
    "tocopherol",
    "green tea extract",
];

/// A formula of so many lines: phases of twelve rows, the shares so small that water fills up to 100.
fn made(lines: usize) -> String {
    let mut out = String::from(
        "formula \"Made to measure\"\n  product: face cream, leave-on\n  type: oil-in-water\n  batch: 500 g\n  pH: 5.0 to 5.4\n  sold in: EU\n\nphase A \"water\" at 75 °C\n  water  q.s.\n",
    );
    let mut count = out.lines().count();
    let mut row = 0;
    while count < lines {
        if row % 12 == 0 {
            let _ = writeln!(out, "\nphase P{} at 75 °C", row / 12 + 1);
            count += 2;
        }
        let _ = writeln!(out, "  {:<40} 0.0{} %", ROWS[row % ROWS.len()], 1 + row % 9);
        row += 1;
        count += 1;
    }
    out
}

fn all(text: &str) -> usize {
    let tree = parse(FileKind::Formula, text);
    findings(&tree)
}

fn findings(tree: &Tree) -> usize {
    let (kb, settings) = (Kb::bundled(), Settings::default());
    let formula = resolve(tree, Path::new("made.formula"), &kb, &settings, &NoFiles);
    judge(tree, formula, &kb, &settings).findings.len()
}

#[divan::bench(args = SIZES)]
fn parse_whole(bencher: divan::Bencher, lines: usize) {
    let text = made(lines);
    bencher.bench(|| {
        parse(FileKind::Formula, divan::black_box(&text))
            .lines
            .len()
    });
}

/// What a keystroke costs: one line is read again.
#[divan::bench(args = SIZES)]
fn parse_one_line(bencher: divan::Bencher, lines: usize) {
    let text = made(lines);
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
    let tree = parse(FileKind::Formula, &made(lines));
    let (kb, settings) = (Kb::bundled(), Settings::default());
    bencher.bench(|| {
        resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles)
            .rows
            .len()
    });
}

#[divan::bench(args = SIZES)]
fn rules_whole(bencher: divan::Bencher, lines: usize) {
    let tree = parse(FileKind::Formula, &made(lines));
    let (kb, settings) = (Kb::bundled(), Settings::default());
    let formula = resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles);
    bencher
        .with_inputs(|| formula.clone())
        .bench_local_values(|f| judge(&tree, f, &kb, &settings).findings.len());
}

#[divan::bench(args = SIZES)]
fn text_to_findings(bencher: divan::Bencher, lines: usize) {
    let text = made(lines);
    bencher.bench(|| all(divan::black_box(&text)));
}
