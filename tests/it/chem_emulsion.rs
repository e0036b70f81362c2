//! Partition, binding and HLB against published tables; a misprint is tested as one.

use phasewright::chem::hlb::{self, HlbPart};
use phasewright::chem::partition::{
    binding_factor, binding_factor_of_all, distribution, mean_coefficient, total_for,
};

/// Free in the water, nothing bound.
fn free(total: f64, phi: f64, k: f64) -> f64 {
    distribution(total, phi, k, 1.0, None).unwrap().free_percent
}

/// J. Soc. Cosmet. Chem. 23 (1972) 703-720, Tables VII and VIII, p. 716: methylparaben 0.1 % over liquid
/// paraffin, K = 0.02.
#[test]
fn methylparaben_over_liquid_paraffin() {
    for (phi, printed) in [
        (0.11, 0.11),
        (0.25, 0.12),
        (0.43, 0.14),
        (0.66, 0.16),
        (1.0, 0.20),
    ] {
        let got = free(0.1, phi, 0.02);
        assert!(
            (got - printed).abs() <= 0.005,
            "phi {phi}: {got:.4}, printed {printed}"
        );
    }
    // The same at 0.2 %, where the water is full at 0.24 %.
    for (phi, printed, full) in [(0.11, 0.22, false), (0.25, 0.24, true), (0.43, 0.24, true)] {
        let got = distribution(0.2, phi, 0.02, 1.0, Some(0.24)).unwrap();
        assert!(
            (got.free_percent - printed).abs() <= 0.005,
            "phi {phi}: {got:?}"
        );
        assert_eq!(got.saturated, full, "phi {phi}");
    }
}

/// The soya oil row of the same Table VIII is labelled methylparaben (K = 7.5) but worked with K = 80, the
/// propylparaben of Table VII; and its first cell is printed 0.027 for 0.0227.
#[test]
fn the_soya_oil_row_is_a_misprint() {
    assert!((free(0.2, 1.0, 80.0) - 0.005).abs() <= 0.0005);
    assert!(
        (free(0.2, 1.0, 7.5) - 0.005).abs() > 0.03,
        "the row would fit its label"
    );
    let first = free(0.2, 0.11, 80.0);
    assert!((first - 0.0227).abs() < 0.0001 && (first - 0.027).abs() > 0.004);
}

/// J. Soc. Cosmet. Chem. 16 (1965), Tables I and II, p. 18: phenol (K = 0.067), chlorocresol over arachis
/// oil (K = 116.7).
#[test]
fn phenol_and_chlorocresol() {
    for (phi, printed) in [(0.2, 0.474), (2.5, 1.199), (10.0, 2.636)] {
        assert!(
            (free(0.4, phi, 0.067) - printed).abs() <= 0.002,
            "phenol, phi {phi}"
        );
    }
    for (phi, printed) in [(0.2, 0.197), (2.5, 0.048), (5.0, 0.0411), (10.0, 0.038)] {
        assert!(
            (free(4.0, phi, 116.7) - printed).abs() <= 0.001,
            "chlorocresol, phi {phi}"
        );
    }
    // Phenol in the oil at phi 5: printed 0.080, but K times what is in the water is 0.120.
    let oil = distribution(0.4, 5.0, 0.067, 1.0, None)
        .unwrap()
        .oil_percent;
    assert!((oil - 0.120).abs() <= 0.001 && (oil - 0.080).abs() > 0.03);
}

/// By hand: 0.3 % over half as much oil (K = 2) with 4 % of a nonionic of k = 0.5: R = 3,
/// Cw = 0.3 × 1.5 / (2 × 0.5 + 3) = 0.1125.
#[test]
fn binding_by_a_nonionic() {
    let r = binding_factor(0.5, 4.0).unwrap();
    assert_eq!(r, 3.0);
    let got = distribution(0.3, 0.5, 2.0, r, None).unwrap();
    assert!((got.free_percent - 0.1125).abs() < 1e-12);
    assert!((got.bound_percent - 0.225).abs() < 1e-12);
    // Nothing gets lost: 1 part water (free and bound) and 0.5 of oil hold 1.5 parts at 0.3 %.
    assert!((got.free_percent + got.bound_percent + 0.5 * got.oil_percent - 0.45).abs() < 1e-12);
    assert!((total_for(0.1125, 0.5, 2.0, r).unwrap() - 0.3).abs() < 1e-12);
    assert_eq!(
        binding_factor_of_all(&[(0.5, 4.0), (0.1, 2.0)]).unwrap(),
        3.2
    );
    assert_eq!(
        mean_coefficient(&[(3.0, 0.02), (1.0, 7.5)]).unwrap(),
        (0.06 + 7.5) / 4.0
    );
}

#[test]
fn partition_out_of_range_is_refused() {
    assert!(distribution(0.1, f64::NAN, 1.0, 1.0, None).is_err());
    assert!(distribution(0.1, 200.0, 1.0, 1.0, None).is_err());
    assert!(distribution(0.1, 1.0, -1.0, 1.0, None).is_err());
    assert!(distribution(0.1, 1.0, 1.0, 0.5, None).is_err());
    assert!(distribution(101.0, 1.0, 1.0, 1.0, None).is_err());
    assert!(binding_factor(-1.0, 1.0).is_err() && binding_factor(1.0, f64::NAN).is_err());
    assert!(mean_coefficient(&[]).is_err() && mean_coefficient(&[(0.0, 1.0)]).is_err());
    assert!(total_for(f64::INFINITY, 1.0, 1.0, 1.0).is_err());
}

fn mean(parts: &[(f64, f64)]) -> f64 {
    hlb::mean(
        &parts
            .iter()
            .map(|&(weight, hlb)| HlbPart { weight, hlb })
            .collect::<Vec<_>>(),
    )
    .unwrap()
}

/// A pharmaceutics lecture's example: sorbitan stearate (4.7), polysorbate 60 (14.9), mineral oil (12), wool
/// fat (10), cetyl alcohol (15).
#[test]
fn worked_examples_of_a_lecture() {
    assert!((mean(&[(10.0, 4.7), (20.0, 14.9)]) - 11.5).abs() <= 0.05);
    assert!((mean(&[(30.0, 12.0), (1.5, 10.0), (1.0, 15.0)]) - 12.0).abs() <= 0.05);
    let pair = hlb::pair(14.9, 4.7, 12.0).unwrap();
    assert!((5.0 * pair.first - 3.6).abs() <= 0.05 && (5.0 * pair.second - 1.4).abs() <= 0.05);
}

/// OCL 29 (2022), article ocl210096, Tables 4 and 5: the first cream's oils ask for 10.33, and its blend
/// of polysorbate 80 (15.0) and sorbitan stearate (4.7) has it.
#[test]
fn worked_example_of_a_paper() {
    let oils = [
        (1.5, 12.0),
        (7.5, 11.5),
        (7.5, 3.8),
        (12.5, 15.0),
        (5.0, 6.2),
    ];
    assert!((mean(&oils) - 10.33).abs() <= 0.02, "{}", mean(&oils));
    assert!((mean(&[(1.64, 15.0), (1.36, 4.7)]) - 10.33).abs() <= 0.02);
    assert!((mean(&[(1.35, 15.0), (1.65, 4.7)]) - 9.33).abs() <= 0.03);
}

/// A worked example that rounds the required HLB to 12.0 and prints 72.2 % of polysorbate 80 (15) with
/// sorbitan oleate (4.3): 72.2 % belongs to 12.027, 12.0 gives 71.96 %.
#[test]
fn a_worked_answer_that_rounds() {
    let required = mean(&[(33.0, 12.0), (2.0, 12.0), (1.0, 10.0), (1.0, 15.0)]);
    assert!((required - 12.027).abs() < 0.001);
    assert!((100.0 * hlb::pair(15.0, 4.3, required).unwrap().first - 72.2).abs() <= 0.02);
    assert!((100.0 * hlb::pair(15.0, 4.3, 12.0).unwrap().first - 71.96).abs() <= 0.01);
}

#[test]
fn hlb_of_molecules_and_what_cannot_be_met() {
    // Sodium-free textbook cases: 20 (1 − 45.5/270) and 80 % ethylene oxide alone.
    assert!((hlb::of_ester(45.5, 270.0).unwrap() - 16.63).abs() < 0.01);
    assert_eq!(hlb::of_ethoxylate(80.0, 0.0).unwrap(), 16.0);
    assert!(
        hlb::pair(15.0, 10.0, 8.0)
            .unwrap_err()
            .reason()
            .contains("lower")
    );
    assert!(
        hlb::pair(3.0, 5.0, 8.0)
            .unwrap_err()
            .reason()
            .contains("higher")
    );
    assert_eq!(hlb::pair(8.0, 8.0, 8.0).unwrap().first, 0.5);
    assert!(hlb::pair(f64::NAN, 8.0, 8.0).is_err());
    assert!(hlb::mean(&[]).is_err());
    assert!(
        hlb::mean(&[HlbPart {
            weight: 0.0,
            hlb: 5.0
        }])
        .is_err()
    );
    assert!(
        hlb::mean(&[HlbPart {
            weight: f64::INFINITY,
            hlb: 5.0
        }])
        .is_err()
    );
    assert!(hlb::of_ester(300.0, 200.0).is_err() && hlb::of_ethoxylate(90.0, 20.0).is_err());
}
