//! Molar masses, salt factors and CAS numbers against reference libraries (molmass 2026.1.8 and chemicals 1.5.2).
//!
//! `tests/reference/molar_masses.py` made the files that are read here; `--check` runs it again.

use phasewright::kb::Kb;
use serde_json::Value;

fn rows(text: &str) -> Vec<Value> {
    serde_json::from_str::<Vec<Value>>(text).expect("the reference file is JSON")
}

fn text<'a>(row: &'a Value, field: &str) -> &'a str {
    row[field]
        .as_str()
        .unwrap_or_else(|| panic!("no {field} in {row}"))
}

fn mass(kb: &Kb, id: &str) -> f64 {
    let (_, one) = kb.substance(id).unwrap_or_else(|| panic!("no entry {id}"));
    one.molar_mass
        .as_ref()
        .unwrap_or_else(|| panic!("{id} has no molar mass"))
        .value
        .f64()
}

/// The base rounds to two decimals; atomic weights of different years differ in the next.
const ROUNDING: f64 = 0.06;

#[test]
fn molar_masses_by_formula() {
    let kb = Kb::bundled();
    let all = rows(include_str!("../reference/molar-masses.json"));
    assert!(all.len() >= 60, "only {}", all.len());
    for row in &all {
        let (id, expected) = (text(row, "id"), row["g_per_mol"].as_f64().expect("a mass"));
        let found = mass(&kb, id);
        assert!(
            (found - expected).abs() < ROUNDING,
            "{id}: {found} in the base, {expected} from {}",
            text(row, "formula")
        );
    }
}

/// A number that belongs to another substance shows itself by its mass. Where the masses differ, the row says why; and it must differ.
#[test]
fn cas_numbers_by_the_mass_behind_them() {
    let kb = Kb::bundled();
    let all = rows(include_str!("../reference/cas-numbers.json"));
    let agreeing = all.iter().filter(|r| r["differs"].is_null()).count();
    assert!(agreeing >= 150, "only {agreeing} agree");
    for row in &all {
        let (id, cas, theirs) = (
            text(row, "id"),
            text(row, "cas"),
            row["g_per_mol"].as_f64().expect("a mass"),
        );
        let (_, one) = kb.substance(id).unwrap_or_else(|| panic!("no entry {id}"));
        assert!(
            one.cas.iter().any(|c| c == cas),
            "{id} has no longer the number {cas}"
        );
        let ours = mass(&kb, id);
        let agrees = (ours - theirs).abs() <= ROUNDING;
        match row["differs"].as_str() {
            None => assert!(
                agrees,
                "{id} {cas}: {ours} in the base, {theirs} in the library"
            ),
            Some(why) => assert!(
                !agrees && why.len() > 10,
                "{id} {cas} agrees by now; drop \"{why}\""
            ),
        }
    }
}

/// Grams of the acid (or retinol, or zinc) in one gram of the salt, by the library's masses of both.
#[test]
fn salt_factors() {
    let kb = Kb::bundled();
    let masses = rows(include_str!("../reference/molar-masses.json"));
    let theirs = |id: &str| {
        let row = masses
            .iter()
            .find(|r| r["id"] == id)
            .unwrap_or_else(|| panic!("no reference mass of {id}"));
        row["g_per_mol"].as_f64().expect("a mass")
    };
    // The third column was worked out apart, from the atomic weights of IUPAC (2021).
    for (salt, acid, factor) in [
        ("sodium-benzoate", "benzoic-acid", 0.8475),
        ("potassium-benzoate", "benzoic-acid", 0.7623),
        ("potassium-sorbate", "sorbic-acid", 0.7464),
        ("sodium-salicylate", "salicylic-acid", 0.8627),
        ("methylparaben", "4-hydroxybenzoic-acid", 0.9078),
        ("ethylparaben", "4-hydroxybenzoic-acid", 0.8312),
        ("propylparaben", "4-hydroxybenzoic-acid", 0.7665),
        ("butylparaben", "4-hydroxybenzoic-acid", 0.7111),
        ("retinyl-palmitate", "retinol", 0.5458),
        ("retinyl-acetate", "retinol", 0.8720),
        ("zinc-gluconate", "zinc", 0.1435),
    ] {
        let (_, one) = kb
            .substance(salt)
            .unwrap_or_else(|| panic!("no entry {salt}"));
        let moles = one
            .counts_as
            .iter()
            .find(|y| y.of == acid)
            .unwrap_or_else(|| panic!("{salt} is not counted as {acid}"))
            .moles
            .f64();
        let ours = moles * mass(&kb, acid) / mass(&kb, salt);
        let library = moles * theirs(acid) / theirs(salt);
        assert!(
            (ours - library).abs() < 0.0005,
            "{salt}: {ours:.4} in the base, {library:.4} by the library"
        );
        assert!(
            (ours - factor).abs() < 0.0005,
            "{salt}: {ours:.4} in the base, {factor} expected"
        );
    }
}
