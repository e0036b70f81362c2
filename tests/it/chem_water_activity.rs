//! Water activity against a library's fit of measured glycerol solutions, and the edge of the method.

use phasewright::chem::water_activity::{Bound, Solute, of};
use serde_json::Value;

/// K of glycerol 1.16, xylitol 1.66, sorbitol 1.65: Int. J. Dent. (2010) 981072, Table 3.
const GLYCEROL: Solute = Solute {
    grams: 0.0,
    molar_mass_g_mol: 92.094,
    norrish_k: Some(1.16),
    particles: 1,
};
const SORBITOL: Solute = Solute {
    grams: 0.0,
    molar_mass_g_mol: 182.17,
    norrish_k: Some(1.65),
    particles: 1,
};

fn percent(solute: Solute, percent: f64) -> f64 {
    of(
        100.0 - percent,
        &[Solute {
            grams: percent,
            ..solute
        }],
    )
    .unwrap()
    .aw
}

#[test]
fn the_equation_as_published() {
    // Worked from aw = Xw exp(−1.16 Xs²).
    for (p, aw) in [(10.0, 0.9782), (20.0, 0.9510), (50.0, 0.8108)] {
        assert!(
            (percent(GLYCEROL, p) - aw).abs() <= 0.0002,
            "{p} %: {}",
            percent(GLYCEROL, p)
        );
    }
    // Ideal, K = 0.
    let ideal = Solute {
        norrish_k: None,
        ..GLYCEROL
    };
    for (p, aw) in [
        (10.0, 0.9787),
        (20.0, 0.9534),
        (30.0, 0.9226),
        (40.0, 0.8846),
        (50.0, 0.8364),
    ] {
        assert!((percent(ideal, p) - aw).abs() <= 0.0002, "{p} %");
    }
}

fn reference(solute: &str) -> Vec<Value> {
    let path = format!(
        "{}/tests/reference/water-activity.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let rows: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    rows.into_iter()
        .filter(|row| row["solute"] == solute)
        .collect()
}

#[test]
fn glycerol_agrees_with_measurement_up_to_sixty_percent_and_not_beyond() {
    let rows = reference("glycerol");
    let mut beyond = 0;
    for row in &rows {
        let (p, measured) = (
            row["percent_w_w"].as_f64().unwrap(),
            row["aw"].as_f64().unwrap(),
        );
        let got = of(
            100.0 - p,
            &[Solute {
                grams: p,
                ..GLYCEROL
            }],
        )
        .unwrap();
        if p <= 60.0 {
            assert_eq!(got.bound, Bound::About);
            assert!(
                (got.aw - measured).abs() <= 0.0105,
                "{p} %: {:.4}, measured {measured}",
                got.aw
            );
        } else {
            // Said as "at most", and true as such.
            assert_eq!(got.bound, Bound::AtMost);
            assert!(got.aw > measured, "{p} %");
            assert!((got.aw - percent(GLYCEROL, 60.0)).abs() < 1e-12);
            beyond += 1;
        }
    }
    assert!(rows.len() >= 10 && beyond == 2);
}

#[test]
fn a_mixture_is_the_product_of_its_parts() {
    let two = [
        Solute {
            grams: 10.0,
            ..GLYCEROL
        },
        Solute {
            grams: 8.0,
            ..SORBITOL
        },
    ];
    let got = of(82.0, &two).unwrap();
    let alone = of(82.0, &two[..1]).unwrap().aw * of(82.0, &two[1..]).unwrap().aw;
    assert!((got.aw - alone).abs() < 1e-12 && !got.ideal_parts);
}

#[test]
fn salt_counts_its_ions() {
    let salt = Solute {
        grams: 0.0,
        molar_mass_g_mol: 58.443,
        norrish_k: None,
        particles: 2,
    };
    let rows = reference("sodium chloride");
    assert_eq!(rows.len(), 3);
    for row in rows {
        let (mol, measured) = (
            row["mol_per_kg"].as_f64().unwrap(),
            row["aw"].as_f64().unwrap(),
        );
        let got = of(
            1000.0,
            &[Solute {
                grams: 58.443 * mol,
                ..salt
            }],
        )
        .unwrap();
        assert!(
            (got.aw - measured).abs() < 0.003 && got.ideal_parts,
            "{mol} mol/kg: {got:?}, measured {measured}"
        );
        let alone = of(
            1000.0,
            &[Solute {
                grams: 58.443 * mol,
                particles: 1,
                ..salt
            }],
        )
        .unwrap();
        assert!((alone.aw - measured).abs() > (got.aw - measured).abs());
    }
}

#[test]
fn no_water_and_no_figures_are_refused() {
    assert!(of(0.0, &[GLYCEROL]).is_err());
    assert!(of(f64::NAN, &[]).is_err());
    assert!(
        of(
            10.0,
            &[Solute {
                grams: f64::NAN,
                ..GLYCEROL
            }]
        )
        .is_err()
    );
    assert!(
        of(
            10.0,
            &[Solute {
                grams: 1.0,
                molar_mass_g_mol: 0.0,
                ..GLYCEROL
            }]
        )
        .is_err()
    );
    assert!(
        of(
            10.0,
            &[Solute {
                grams: 1.0,
                norrish_k: Some(f64::NAN),
                ..GLYCEROL
            }]
        )
        .is_err()
    );
    assert_eq!(of(10.0, &[]).unwrap().aw, 1.0);
}
