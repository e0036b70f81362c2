//! The computation of what stays free, against printed tables, through whole formulas.
//!
//! J. Soc. Cosmet. Chem. 23 (1972) 703-720, Table VIII, p. 716: methylparaben in water beside liquid paraffin, K = 0.02.
//! J. Soc. Cosmet. Chem. 16 (1965), Table II, p. 18: chlorocresol beside arachis oil, K = 116.7.

use super::KB;
use phasewright::kb::Kb;
use phasewright::model::preservation::{PhaseVolumes, spread, water_activity};
use phasewright::model::{Formula, NoFiles, Settings, resolve, system};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn formula(text: &str) -> Formula {
    resolve(
        &parse(FileKind::Formula, text),
        Path::new("test.formula"),
        &KB,
        &Settings::on("2026-11-25".parse().expect("a day")),
        &NoFiles,
    )
}

/// Grams of the oil that fill `ml`, by the density that the base holds.
fn grams(kb: &Kb, id: &str, ml: f64) -> f64 {
    let one = kb.get(kb.by_id(id).expect("the oil is in the base"));
    ml * one
        .density_g_ml
        .as_ref()
        .expect("its density is known")
        .value
        .f64()
}

/// % w/v of the preservative that is free in the water, from % w/v of the whole and the oil's volume over the water's.
fn free_percent(preservative: &str, oil: &str, whole: f64, phi: f64) -> f64 {
    let (water, oil_ml) = (100.0, 100.0 * phi);
    let own = whole * (water + oil_ml) / 100.0;
    let f = formula(&format!(
        "formula \"T\"\n  pH: 5\nphase A\n  water  {water} g\n  {oil}  {:.6} g\n  {preservative}  {own:.6} g\n",
        grams(&KB, oil, oil_ml)
    ));
    let p = system::preservatives(&f, &KB)[0];
    spread(
        &PhaseVolumes::of(&f, &KB),
        &KB,
        &p,
        system::ph_aim(&f).as_ref(),
        true,
    )
    .expect("the partition is known")
    .free_percent
}

#[track_caller]
fn near(found: f64, printed: f64, tolerance: f64) {
    assert!(
        (found - printed).abs() <= tolerance,
        "{found} is not {printed} within {tolerance}"
    );
}

#[test]
fn methylparaben_beside_liquid_paraffin() {
    for (phi, printed) in [
        (0.11, 0.11),
        (0.25, 0.12),
        (0.43, 0.14),
        (0.66, 0.16),
        (1.0, 0.20),
    ] {
        near(
            free_percent("methylparaben", "mineral-oil", 0.1, phi),
            printed,
            0.005,
        );
    }
}

#[test]
fn no_more_is_free_than_dissolves() {
    // 0.24 % dissolves: from a ratio of 0.25 on the table prints no more.
    for (phi, printed) in [(0.11, 0.22), (0.25, 0.24), (0.43, 0.24)] {
        near(
            free_percent("methylparaben", "mineral-oil", 0.2, phi),
            printed,
            0.005,
        );
    }
}

#[test]
fn chlorocresol_beside_a_vegetable_oil() {
    // Small amounts of it, so that no solubility is reached; the table's 4 % scales down in proportion.
    for (phi, printed) in [(0.2, 0.197), (2.5, 0.048), (5.0, 0.0411), (10.0, 0.038)] {
        near(
            free_percent("p-chloro-m-cresol", "peanut-oil", 0.1, phi) * 40.0,
            printed,
            0.001,
        );
    }
}

#[test]
fn an_acid_is_drawn_in_by_its_active_form_only() {
    let at = |ph: &str| {
        let f = formula(&format!(
            "formula \"T\"\n  pH: {ph}\nphase A\n  water  60 %\n  soybean oil  39.5 %\n  benzoic acid  0.5 %\n"
        ));
        let p = system::preservatives(&f, &KB)[0];
        spread(
            &PhaseVolumes::of(&f, &KB),
            &KB,
            &p,
            system::ph_aim(&f).as_ref(),
            true,
        )
        .expect("pH and partition are known")
    };
    // Half is active at the pKa: J. Soc. Cosmet. Chem. 18 (1967) 207-214, Table IV: 0.055 % at pH 4.2 is 0.027 % active.
    near(at("4.2").active_share, 0.027 / 0.055, 0.02);
    assert!(at("6.2").share > 0.9, "as ions it stays in the water");
    assert!(at("3.2").share < 0.5, "as the acid it goes into the oil");
}

#[test]
fn without_a_ph_nothing_is_claimed_of_an_acid() {
    let f = formula(
        "formula \"T\"\nphase A\n  water  60 %\n  soybean oil  39.5 %\n  benzoic acid  0.5 %\n",
    );
    let p = system::preservatives(&f, &KB)[0];
    assert!(spread(&PhaseVolumes::of(&f, &KB), &KB, &p, None, true).is_none());
}

#[test]
fn water_activity_of_glycerol() {
    // A thermodynamic model of aqueous organics gives 0.8117 at 50 % by weight, the Norrish equation 0.8108.
    let f = formula("formula \"T\"\nphase A\n  water  50 %\n  glycerin  50 %\n");
    let (aw, _) = water_activity(&f, &KB).expect("glycerin has its constant");
    near(aw, 0.811, 0.002);
    assert!(water_activity(&formula("formula \"T\"\nphase A\n  water  100 %\n"), &KB).is_none());
}
