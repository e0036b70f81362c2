//! From text to findings, stage by stage, at three sizes. `cargo bench --bench judge`.
//!
//! A formula of 60 lines is real; 1,000 and 10,000 lines show how the work grows.

use phasewright::ide::{Snapshot, actions};
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

/// A formula of so many lines: sixteen materials that repeat.
fn made(lines: usize) -> String {
    made_of(lines, |row| ROWS[row % ROWS.len()].to_owned())
}

/// The same with materials that differ for as long as the base has more: repeats flatter whatever is remembered by material.
fn distinct(lines: usize) -> String {
    let kb = Kb::bundled();
    let plain = |name: &&str| name.chars().all(|c| c.is_alphabetic() || c == ' ');
    let names: Vec<String> = kb
        .ids()
        .map(|id| kb.name(id))
        .filter(plain)
        .map(str::to_owned)
        .collect();
    made_of(lines, |row| names[row % names.len()].clone())
}

/// Phases of twelve rows, the shares so small that water fills up to 100.
fn made_of(lines: usize, name: impl Fn(usize) -> String) -> String {
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
        let _ = writeln!(out, "  {:<40} 0.0{} %", name(row), 1 + row % 9);
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

#[divan::bench(args = SIZES)]
fn rules_distinct(bencher: divan::Bencher, lines: usize) {
    let tree = parse(FileKind::Formula, &distinct(lines));
    let (kb, settings) = (Kb::bundled(), Settings::default());
    let formula = resolve(&tree, Path::new("made.formula"), &kb, &settings, &NoFiles);
    bencher
        .with_inputs(|| formula.clone())
        .bench_local_values(|f| judge(&tree, f, &kb, &settings).findings.len());
}

/// Shapes of text of which the work once grew with the square: each must take about ten times as long for ten times the lines.
#[divan::bench_group(max_time = 4)]
mod growth {
    use super::*;

    const LINES: [usize; 3] = [100, 1_000, 10_000];

    fn judged(bencher: divan::Bencher, text: &str) {
        bencher.bench(|| all(divan::black_box(text)));
    }

    fn headed(lines: usize, one: impl Fn(usize) -> String) -> String {
        let mut out = String::from("formula \"Grown\"\n\nphase A\n  water  q.s.\n");
        (0..lines).for_each(|n| out.push_str(&one(n)));
        out
    }

    #[divan::bench(args = LINES)]
    fn line_breaks(bencher: divan::Bencher, lines: usize) {
        judged(bencher, &"\n".repeat(lines));
    }

    #[divan::bench(args = LINES)]
    fn phases(bencher: divan::Bencher, lines: usize) {
        judged(bencher, &headed(lines, |n| format!("phase P{n}\n")));
    }

    #[divan::bench(args = LINES)]
    fn chained_premixes(bencher: divan::Bencher, lines: usize) {
        judged(
            bencher,
            &headed(lines, |n| format!("premix P{n}, into P{}\n", n + 1)),
        );
    }

    #[divan::bench(args = LINES)]
    fn unused_exceptions(bencher: divan::Bencher, lines: usize) {
        judged(
            bencher,
            &headed(lines, |_| {
                "  glycerin  0.001 %  # except banned: old note\n".to_owned()
            }),
        );
    }

    #[divan::bench(args = LINES)]
    fn steps_that_name_phases(bencher: divan::Bencher, lines: usize) {
        let half = lines / 2;
        let mut text = headed(half, |n| format!("phase P{n}\n"));
        text.push_str("method\n");
        (0..half).for_each(|n| text.push_str(&format!("  add P{n}\n")));
        judged(bencher, &text);
    }

    #[divan::bench(args = LINES)]
    fn unreadable_lines(bencher: divan::Bencher, lines: usize) {
        judged(
            bencher,
            &headed(lines, |_| "  glycerin  1-2 %\n".to_owned()),
        );
    }

    #[divan::bench(args = LINES)]
    fn actions_of_everything(bencher: divan::Bencher, lines: usize) {
        let text = headed(lines, |_| {
            "  glycerin  0.001 %  # except banned: old note\n".to_owned()
        });
        let (kb, settings) = (Kb::bundled(), Settings::default());
        let tree = parse(FileKind::Formula, &text);
        let path = Path::new("made.formula");
        let s = Snapshot::new(path, FileKind::Formula, tree, &kb, &settings, &NoFiles);
        bencher.bench(|| actions::actions(&s, 0, u32::MAX).len());
    }
}
