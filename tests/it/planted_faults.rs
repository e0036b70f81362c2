//! Faults planted one at a time in a small sound formula: each is reported on its own line, with its numbers and its basis,
//! and nothing else is. Then all in one.

use phasewright::kb::Kb;
use phasewright::kb::schema::SourceKind;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn check(text: &str) -> Vec<Finding> {
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2026-11-25".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, text);
    analyze(tree, Path::new("planted.formula"), &kb, &settings, &NoFiles)
        .findings()
        .to_vec()
}

fn show(found: &[Finding]) -> String {
    found
        .iter()
        .map(|f| {
            format!(
                "\n  {}: {} {}: {}",
                f.place.line + 1,
                f.severity.name(),
                f.code,
                f.message
            )
        })
        .collect()
}

/// A sound gel; `{}` marks where the parts go in.
struct Gel {
    ph: &'static str,
    heat: &'static str,
    water: &'static str,
    active: &'static str,
    preservative: &'static str,
    last: &'static str,
}

const SOUND: Gel = Gel {
    ph: "5.0 to 5.4",
    heat: "at room temperature",
    water: "93.5 %",
    active: "panthenol  1 %",
    preservative: "phenoxyethanol (and) ethylhexylglycerin  1 %",
    last: "xanthan gum  0.5 %",
};

impl Gel {
    fn text(&self) -> String {
        format!(
            "formula \"Hand gel\"\n  product: hand cream, leave-on\n  type: gel\n  pH: {}\n  sold in: EU\n\nphase A {}\n  water  {}\n  glycerin  4 %\n  {}\n  {}\n  {}\n",
            self.ph, self.heat, self.water, self.active, self.preservative, self.last
        )
    }
}

const ACTIVE: u32 = 9;
const PRESERVATIVE: u32 = 10;
const LAST: u32 = 11;

/// One finding and no other; hints about what could be better stand beside a louder one.
fn only(gel: Gel, line: u32, code: &str, words: &[&str], basis: Option<SourceKind>) {
    let found: Vec<Finding> = check(&gel.text())
        .into_iter()
        .filter(|f| f.code == code || f.severity > Severity::Hint)
        .collect();
    assert_eq!(found.len(), 1, "{code}: {}{}", gel.text(), show(&found));
    let f = &found[0];
    assert_eq!((f.code, f.place.line), (code, line), "{}", show(&found));
    for w in words {
        assert!(
            f.whole().contains(w),
            "{code}: \"{}\" lacks \"{w}\"",
            f.message
        );
    }
    assert_eq!(
        f.basis.as_ref().map(|b| b.kind),
        basis,
        "{code}: {:?}",
        f.basis
    );
}

#[test]
fn the_sound_one_is_silent() {
    let found = check(&SOUND.text());
    assert!(found.is_empty(), "{}", show(&found));
}

#[test]
fn ascorbic_acid_at_80() {
    let gel = Gel {
        ph: "3.0 to 3.4",
        heat: "at 80 °C",
        active: "ascorbic acid  1 %",
        preservative: "methylparaben  0.2 %",
        water: "94.3 %",
        last: "hydroxyethylcellulose  0.5 %",
    };
    only(
        gel,
        ACTIVE,
        "heat-sensitive",
        &["80 °C", "40 °C"],
        Some(SourceKind::Practice),
    );
}

#[test]
fn sodium_benzoate_at_ph_7() {
    let gel = Gel {
        ph: "7",
        preservative: "sodium benzoate  0.5 %",
        water: "94 %",
        ..SOUND
    };
    only(
        gel,
        PRESERVATIVE,
        "preservative-ph",
        &["pH 7", "0.16 %"],
        Some(SourceKind::Published),
    );
}

#[test]
fn phenoxyethanol_above_the_eu_limit() {
    let gel = Gel {
        preservative: "phenoxyethanol  1.2 %",
        water: "93.3 %",
        ..SOUND
    };
    only(
        gel,
        PRESERVATIVE,
        "above-legal-limit",
        &["1.2 %", "1 %", "EU"],
        Some(SourceKind::Law),
    );
}

#[test]
fn hydroquinone() {
    let gel = Gel {
        active: "hydroquinone  1 %",
        ..SOUND
    };
    only(
        gel,
        ACTIVE,
        "banned",
        &["hydroquinone", "EU"],
        Some(SourceKind::Law),
    );
}

#[test]
fn a_sum_of_100_1() {
    let gel = Gel {
        water: "93.6 %",
        ..SOUND
    };
    only(gel, 0, "total-not-100", &["100.1 %"], None);
}

#[test]
fn a_thousand_or_one() {
    let gel = Gel {
        active: "panthenol  1,000 %",
        ..SOUND
    };
    only(gel, ACTIVE, "ambiguous-number", &["1000", "1"], None);
}

#[test]
fn a_half_typed_line() {
    let gel = Gel {
        last: "xanthan gum  0.5 %\n  pantheno",
        ..SOUND
    };
    only(gel, LAST + 1, "missing-amount", &["pantheno"], None);
    let gel = Gel {
        last: "xanthan gum  0.5",
        ..SOUND
    };
    let found = check(&gel.text());
    assert_eq!(found.len(), 1, "{}", show(&found));
    assert_eq!(found[0].place.line, LAST);
}

/// Each on its own line still; the sum is unknown and says so, never a false number.
#[test]
fn all_in_one() {
    let gel = Gel {
        ph: "7",
        heat: "at 80 °C",
        water: "93.6 %",
        active: "ascorbic acid  1 %\n  hydroquinone  1 %\n  allantoin  1,000 %",
        preservative: "sodium benzoate  0.5 %\n  phenoxyethanol  1.2 %",
        last: "xanthan gum  0.5 %\n  pantheno",
    };
    let found = check(&gel.text());
    let at = |line: u32, code: &str| found.iter().any(|f| f.place.line == line && f.code == code);
    for (line, code) in [
        (0, "total-not-100"),
        (9, "heat-sensitive"),
        (10, "banned"),
        (11, "ambiguous-number"),
        (12, "preservative-ph"),
        (13, "above-legal-limit"),
        (15, "missing-amount"),
    ] {
        assert!(
            at(line, code),
            "{code} on line {}{}",
            line + 1,
            show(&found)
        );
    }
    let sum = found
        .iter()
        .find(|f| f.code == "total-not-100")
        .expect("seen above");
    assert!(
        sum.whole().contains("unknown: line 12 cannot be read"),
        "{}",
        sum.message
    );
}

/// Regulation (EC) No 1223/2009, Annex V, entry 1: 0.5 % as acid in leave-on products. By molar mass (144.10 and 122.12 g/mol)
/// 0.55 % of the salt is 0.466 % acid, 0.62 % is 0.525 %.
#[test]
fn sodium_benzoate_counts_as_acid() {
    let at = |percent: &str, water: &'static str| {
        let preservative = Box::leak(format!("sodium benzoate  {percent} %").into_boxed_str());
        check(
            &Gel {
                ph: "4.5 to 4.8",
                preservative,
                water,
                ..SOUND
            }
            .text(),
        )
    };
    let found = at("0.55", "93.95 %");
    assert!(
        found
            .iter()
            .all(|f| f.code != "above-legal-limit" && f.severity < Severity::Warning),
        "{}",
        show(&found)
    );
    let found = at("0.62", "93.88 %");
    let over: Vec<&Finding> = found
        .iter()
        .filter(|f| f.code == "above-legal-limit")
        .collect();
    assert_eq!(over.len(), 1, "{}", show(&found));
    assert!(
        over[0].whole().contains("0.525") && over[0].severity == Severity::Error,
        "{}",
        over[0].message
    );
}
