//! Texts of any length to measure with.

use phasewright::kb::Kb;
use std::fmt::Write;

pub const ROWS: [&str; 16] = [
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

/// A face cream that water fills up.
pub const HEAD: &str = "formula \"Made to measure\"\n  product: face cream, leave-on\n  type: oil-in-water\n  batch: 500 g\n  pH: 5.0 to 5.4\n  sold in: EU\n\nphase A \"water\" at 75 °C\n  water  q.s.\n";

/// A formula of so many lines: sixteen materials that repeat.
pub fn repeated(lines: usize) -> String {
    phases_of(lines, |row| ROWS[row % ROWS.len()].to_owned())
}

/// The same with materials that differ for as long as the base has more: repeats flatter whatever is remembered by material.
pub fn distinct(lines: usize) -> String {
    let names = names();
    phases_of(lines, |row| names[row % names.len()].clone())
}

/// The names of the base that are words and nothing else.
pub fn names() -> Vec<String> {
    let kb = Kb::bundled();
    let plain = |name: &&str| name.chars().all(|c| c.is_alphabetic() || c == ' ');
    kb.ids()
        .map(|id| kb.name(id))
        .filter(plain)
        .map(str::to_owned)
        .collect()
}

/// Phases of twelve rows, the shares so small that water fills up to 100.
fn phases_of(lines: usize, name: impl Fn(usize) -> String) -> String {
    let mut out = HEAD.to_owned();
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
