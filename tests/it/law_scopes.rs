//! Where on the body: each scope of the law with a formula on either side. Entries of Regulation (EC) No 1223/2009
//! stand beside the rows.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

const OF_LAW: [&str; 4] = [
    "banned",
    "restricted-use",
    "above-legal-limit",
    "family-above-limit",
];

/// The loudest that the rules of law say of one material in a product of these words, in the EU.
fn said(words: &str, material: &str) -> (Option<Severity>, String) {
    let text =
        format!("formula \"x\"\n{words}\n  sold in: EU\n\nphase A\n  water  q.s.\n  {material}\n");
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2027-06-01".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, &text);
    let judged = analyze(tree, Path::new("near.formula"), &kb, &settings, &NoFiles);
    let heard: Vec<_> = judged
        .findings()
        .iter()
        .filter(|f| OF_LAW.contains(&f.code))
        .collect();
    let messages = heard
        .iter()
        .map(|f| [f.whole(), f.why.clone().unwrap_or_default()].join(" "))
        .collect::<Vec<_>>()
        .join(" / ");
    (heard.iter().map(|f| f.severity).max(), messages)
}

/// Words of the product, the material with its share, whether it is an error.
const SIDES: &[(&str, &str, bool)] = &[
    // Face only: homosalate, Annex VI, entry 3.
    (
        "  product: face cream, leave-on, sunscreen",
        "homosalate  7 % as uv-filter",
        false,
    ),
    (
        "  product: body lotion, leave-on, sunscreen",
        "homosalate  7 % as uv-filter",
        true,
    ),
    (
        "  product: face cream, leave-on, sunscreen\n  use: body",
        "homosalate  7 % as uv-filter",
        true,
    ),
    // Face and hand: kojic acid, Annex III, entry 374.
    (
        "  product: face cream, leave-on\n  use: hand",
        "kojic acid  1 %",
        false,
    ),
    ("  product: body lotion, leave-on", "kojic acid  1 %", true),
    (
        "  product: face cream, leave-on\n  use: body",
        "kojic acid  1 %",
        true,
    ),
    // Face 2 %, body 0.5 %: alpha-arbutin, Annex III, entry 377. Both at once: the lower.
    (
        "  product: face cream, leave-on",
        "alpha-arbutin  2 %",
        false,
    ),
    (
        "  product: body lotion, leave-on",
        "alpha-arbutin  2 %",
        true,
    ),
    (
        "  product: face cream, leave-on\n  use: body",
        "alpha-arbutin  2 %",
        true,
    ),
    (
        "  product: face cream, leave-on\n  use: body",
        "alpha-arbutin  0.5 %",
        false,
    ),
    // Body lotion 0.05 %, others 0.3 %: retinol, Annex III, entry 375.
    ("  product: face cream, leave-on", "retinol  0.3 %", false),
    ("  product: body lotion, leave-on", "retinol  0.3 %", true),
    (
        "  product: face cream, leave-on\n  use: body",
        "retinol  0.3 %",
        true,
    ),
    // Rinsed off only: methylisothiazolinone, Annex V, entry 57.
    (
        "  product: shampoo",
        "methylisothiazolinone  0.0015 %",
        false,
    ),
    (
        "  product: face cream, leave-on",
        "methylisothiazolinone  0.0015 %",
        true,
    ),
    // Mouth: benzoic acid 1.7 % there and 2.5 % in what else is rinsed off, Annex V, entry 1.
    (
        "  product: shower gel",
        "benzoic acid  2.5 % as preservative",
        false,
    ),
    (
        "  product: mouthwash",
        "benzoic acid  2.5 % as preservative",
        true,
    ),
    // Sprays: o-phenylphenol may not be breathed in, Annex V, entry 7.
    (
        "  product: body lotion, leave-on",
        "o-phenylphenol  0.1 % as preservative",
        false,
    ),
    (
        "  product: body lotion, leave-on\n  form: pump spray",
        "o-phenylphenol  0.1 % as preservative",
        true,
    ),
    // Under three years: salicylic acid, Annex III, entry 98, and Annex V, entry 3.
    (
        "  product: face cream, leave-on",
        "salicylic acid  0.4 % as preservative",
        false,
    ),
    (
        "  product: baby cream",
        "salicylic acid  0.4 % as preservative",
        true,
    ),
];

/// A sunscreen of which the file does not say where it goes: a warning that asks.
#[test]
fn a_place_that_is_not_said_is_asked_for() {
    let (severity, messages) = said("  product: sunscreen", "homosalate  7 % as uv-filter");
    assert_eq!(severity, Some(Severity::Warning), "{messages}");
    assert!(messages.contains("use:"), "{messages}");
    let (severity, messages) = said(
        "  product: sunscreen\n  use: face",
        "homosalate  7 % as uv-filter",
    );
    assert!(severity < Some(Severity::Warning), "{messages}");
}

#[test]
fn each_scope_has_its_two_sides() {
    for (words, material, wrong) in SIDES {
        let (severity, messages) = said(words, material);
        let is_wrong = severity == Some(Severity::Error);
        assert_eq!(
            is_wrong, *wrong,
            "{words} / {material}: {severity:?} {messages}"
        );
    }
}
