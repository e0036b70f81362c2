//! Texts of any length to measure with. Each benchmark takes some of them.
#![allow(dead_code)]

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

/// One of many formulas that differ: the hand cream of 60 lines with another name, other amounts in all its rows and other
/// materials in one of eight.
pub fn one_of_many(n: usize, names: &[String]) -> String {
    // A linear congruential generator (Knuth, MMIX): the same formula for the same number.
    let mut state = n as u64;
    let mut below = |most: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % most
    };
    let mut out = format!("formula \"Number {n}\"\n");
    for line in include_str!("../sixty.formula").lines().skip(1) {
        let row = line
            .strip_prefix("  ")
            .and_then(|row| row.split_once("  "))
            .and_then(|(name, rest)| Some((name, rest.trim().strip_suffix(" %")?)));
        let _ = match row.and_then(|(name, percent)| Some((name, percent.parse::<f64>().ok()?))) {
            Some((name, percent)) => {
                let name = match below(8) {
                    0 => names[below(names.len())].as_str(),
                    _ => name,
                };
                let percent = percent * (0.9 + below(200) as f64 / 1_000.0);
                writeln!(out, "  {name}  {percent:.3} %")
            }
            None => writeln!(out, "{line}"),
        };
    }
    out
}
