//! Just on either side of a threshold, for rules whose pages do not go so near.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

/// The loudest that a rule says of a formula.
fn said(code: &str, text: &str) -> Option<Severity> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("near.formula"), &kb, &settings, &NoFiles)
        .findings()
        .iter()
        .filter(|f| f.code == code)
        .map(|f| f.severity)
        .max()
}

#[test]
fn below_scale() {
    // One step of 0.01 g: 5 % of 0.2 g, 10 % of 0.1 g (our convention); 0.2 % of these batches.
    let text = |batch: &str| {
        format!(
            "formula \"x\"\n  product: lip balm\n  type: anhydrous\n  batch: {batch} g\n\nphase A at 75 °C\n  beeswax  20 %\n  tocopherol  0.2 %\n  sunflower oil  q.s.\n"
        )
    };
    for (batch, wanted) in [
        ("100", None),
        ("99", Some(Severity::Hint)),
        ("50", Some(Severity::Hint)),
        ("49", Some(Severity::Warning)),
    ] {
        assert_eq!(said("below-scale", &text(batch)), wanted, "batch {batch} g");
    }
}

#[test]
fn not_melted() {
    // Beeswax melts from 62 °C on: less than 10 °C below that, waxes still dissolve in hot oil (hint); further below they stay lumps.
    let text = |heat: &str| {
        format!(
            "formula \"x\"\n  product: salve, leave-on\n  type: anhydrous\n\nphase A at {heat} °C\n  beeswax  20 %\n  sunflower oil  q.s.\n"
        )
    };
    for (heat, wanted) in [
        ("62", None),
        ("61", Some(Severity::Hint)),
        ("53", Some(Severity::Hint)),
        ("52", Some(Severity::Warning)),
    ] {
        assert_eq!(said("not-melted", &text(heat)), wanted, "{heat} °C");
    }
}

#[test]
fn family_above_limit() {
    // Annex V of Regulation (EC) No 1223/2009, entry 12: the esters together at most 0.8 % as acid, each at most 0.4 %.
    // 4-Hydroxybenzoic acid 138.12 g/mol, its methyl ester 152.15, ethyl ester 166.17, propyl ester 180.20. By hand:
    // 0.44 x 138.12/152.15 = 0.3994; 0.48 x 138.12/166.17 = 0.3990; 0.002 x 138.12/180.20 = 0.0015, in all 0.7999;
    // with 0.003 % of the propyl ester 0.0023, in all 0.8007.
    let text = |propyl: &str| {
        format!(
            "formula \"x\"\n  product: face cream, leave-on\n  type: gel\n  pH: 5.0 to 5.4\n  sold in: EU\n\nphase A at 75 °C\n  water  q.s.\n  methylparaben  0.44 %\n  ethylparaben  0.48 %\n  propylparaben  {propyl} %\n"
        )
    };
    assert_eq!(said("family-above-limit", &text("0.002")), None);
    assert_eq!(
        said("family-above-limit", &text("0.003")),
        Some(Severity::Error)
    );
}

#[test]
fn added_hot() {
    // A phase "below 40 °C" may go in at up to 45 °C: 5 °C of tolerance.
    let text = |at: &str| {
        format!(
            "formula \"x\"\n  product: face cream, leave-on\n  pH: 5.0 to 5.4\n\nphase A at 75 °C\n  water  q.s.\n  glycerin  4 %\n\nphase B at 75 °C\n  sunflower oil  15 %\n  cetearyl alcohol  3 %\n  glyceryl stearate citrate  3 %\n\nphase C below 40 °C\n  panthenol  1 %\n  phenoxyethanol (and) ethylhexylglycerin  1 %\n\nmethod\n  heat A and B to 75 °C\n  pour A into B, blend 3 min\n  cool to {at} °C\n  add C\n  fill\n"
        )
    };
    assert_eq!(said("added-hot", &text("45")), None);
    assert!(said("added-hot", &text("46")).is_some());
}
