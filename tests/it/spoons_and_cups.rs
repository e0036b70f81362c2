//! Amounts in spoons, cups and fractions of them: liquids by their density, powders by what a spoon of them weighs.

use phasewright::kb::Kb;
use phasewright::kb::schema::SourceKind;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Finding, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn findings(rows: &str) -> Vec<Finding> {
    let kb = Kb::bundled();
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let text = format!("formula \"x\"\n  product: bath salts\n\nphase A\n{rows}\n");
    let tree = parse(FileKind::Formula, &text);
    analyze(tree, Path::new("spoons.formula"), &kb, &settings, &NoFiles)
        .findings()
        .to_vec()
}

fn said(rows: &str, code: &str) -> Vec<Finding> {
    let all = findings(rows);
    all.into_iter().filter(|f| f.code == code).collect()
}

/// US customary measures, NIST Special Publication 811: teaspoon 4.928 922 mL, tablespoon 14.786 76 mL, cup 236.588 2 mL.
#[test]
fn fractions_of_spoons_and_cups_are_weighed() {
    for (row, says) in [
        // 2.4645 mL at 0.9 g/mL.
        ("citric acid  1/2 tsp", "0.5 tsp is about 2.22 g"),
        ("citric acid 1/2 tsp", "0.5 tsp is about 2.22 g"),
        ("citric acid  ½ tsp", "0.5 tsp is about 2.22 g"),
        ("citric acid  1⁄2 tsp", "0.5 tsp is about 2.22 g"),
        // 354.88 mL at 0.9 g/mL.
        ("citric acid  1 1/2 cups", "1.5 cup is about 319.4 g"),
        ("citric acid  1½ cups", "1.5 cup is about 319.4 g"),
        ("citric acid  1 ½ cups", "1.5 cup is about 319.4 g"),
        // 14.787 mL at 0.93 g/mL.
        ("baking soda  1 tbsp", "1 tbsp is about 13.75 g"),
        ("baking soda  1 tablespoon", "1 tbsp is about 13.75 g"),
        ("baking soda  3 teaspoons", "3 tsp is about 13.75 g"),
        // 78.863 mL at 0.54 g/mL: a third does not end, and a cup is an estimate anyhow.
        ("corn starch  1/3 cup", "0.333 cup is about 42.59 g"),
        // 118.29 mL at 0.959 g/mL.
        ("castor oil  1/2 cup", "0.5 cup is about 113.4 g"),
    ] {
        let found = said(&format!("  {row}"), "volume-unit");
        let messages: Vec<&str> = found.iter().map(|f| f.message.as_str()).collect();
        assert!(
            messages.iter().any(|m| m.starts_with(says)),
            "{row}: {messages:?}"
        );
        let wrong = said(&format!("  {row}"), "syntax");
        assert!(wrong.is_empty(), "{row}: {}", wrong[0].message);
    }
}

/// Where the bulk density comes from is said with it.
#[test]
fn a_spoon_of_powder_names_the_source_of_its_density() {
    let found = said("  xanthan gum  1 tsp", "volume-unit");
    let basis = found[0].basis.as_ref().expect("a basis");
    assert_eq!(basis.kind, SourceKind::Practice);
    // 4.9289 mL at 0.65 g/mL; the grains themselves are twice as dense.
    assert!(
        found[0]
            .message
            .starts_with("1 tsp is about 3.2 g (density 0.65 g/mL)"),
        "{}",
        found[0].message
    );
}

#[test]
fn fractions_of_ounces_and_pounds_are_weights() {
    for row in ["beeswax  1/2 oz", "beeswax  1 1/4 lb", "beeswax  ¾ oz"] {
        let all = findings(&format!("  {row}"));
        let wrong: Vec<&Finding> = all
            .iter()
            .filter(|f| ["syntax", "ambiguous-number", "unknown-unit"].contains(&f.code))
            .collect();
        assert!(wrong.is_empty(), "{row}: {}", wrong[0].message);
    }
    // A weight that does not end, a percentage: asked about.
    for row in ["beeswax  1/3 oz", "beeswax  1/2 %", "beeswax  1/4 g"] {
        let wrong = said(&format!("  {row}"), "syntax");
        assert_eq!(wrong.len(), 1, "{row}");
        assert!(
            wrong[0].message.contains("fractions"),
            "{}",
            wrong[0].message
        );
    }
}

/// "polysorbate 20 1/2 tsp": is it half a spoon of polysorbate 20, or twenty and a half?
#[test]
fn a_number_at_the_end_of_a_name_is_not_taken_for_a_whole() {
    let asked = said("  polysorbate 20 1/2 tsp", "ambiguous-number");
    assert_eq!(asked.len(), 1);
    let fixes: Vec<&str> = asked[0].fixes.iter().map(|f| f.title.as_str()).collect();
    assert!(
        fixes.iter().any(|t| t.contains("20 belongs to the name")),
        "{fixes:?}"
    );
    for plain in [
        "  polysorbate 20  1/2 tsp",
        "  polysorbate 20 ½ tsp  # one blank",
    ] {
        let found = said(plain, "volume-unit");
        let asked = said(plain, "ambiguous-number");
        assert!(found.len() + asked.len() == 1, "{plain}");
    }
}
