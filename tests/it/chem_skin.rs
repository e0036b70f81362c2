//! Exposure, amounts "as acid", allergens.

use phasewright::chem::allergens::{AllergenSource, ShareRange, Verdict, total, verdict};
use phasewright::chem::exposure::{BODY_WEIGHT_KG, margin, product_mg_per_kg, systemic_dose};
use phasewright::chem::molar::{as_reference, factor, from_reference};
use rust_decimal::Decimal;

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

/// Amounts of product: SCCS Notes of Guidance SCCS/1647/22, Table 3A: body lotion 123.2, shampoo 1.51, face
/// cream 24.14 mg per kg and day.
#[test]
fn worked_margins() {
    // 1 % in body lotion, 10 % absorbed, point of departure 250: 0.1232 mg/kg, margin 2029.2.
    let lotion = systemic_dose(123.2, 1.0, 10.0).unwrap();
    assert!((lotion - 0.1232).abs() < 1e-12);
    assert!((margin(Some(250.0), lotion).unwrap() - 2029.2).abs() < 0.1);
    // 2.5 % in shampoo, 50 % absorbed, 100: 5298.
    let shampoo = systemic_dose(1.51, 2.5, 50.0).unwrap();
    assert!((margin(Some(100.0), shampoo).unwrap() / 5298.0 - 1.0).abs() < 0.005);
    // The table is not grams over 60 kg: 1.54 g of face cream would make 25.67, the table says 24.14.
    let naive = product_mg_per_kg(1.54, 1.0, BODY_WEIGHT_KG).unwrap();
    assert!((naive - 25.67).abs() < 0.01 && (naive - 24.14).abs() > 1.0);
    // Products outside Table 3A go by 60 kg: hand soap 20 g, 1 % stays, 3.33 mg/kg.
    assert!((product_mg_per_kg(20.0, 0.01, BODY_WEIGHT_KG).unwrap() - 3.33).abs() < 0.01);
}

#[test]
fn no_margin_without_a_point_of_departure() {
    assert!(
        margin(None, 0.1)
            .unwrap_err()
            .reason()
            .contains("point of departure")
    );
    assert!(margin(Some(100.0), 0.0).is_err() && margin(Some(f64::NAN), 0.1).is_err());
    assert!(margin(Some(1e300), 1e-300).is_err());
    assert!(
        margin(Some(100.0), f64::INFINITY).is_err() && margin(Some(f64::INFINITY), 0.1).is_err()
    );
    assert!(systemic_dose(f64::NAN, 1.0, 1.0).is_err() && systemic_dose(1.0, 101.0, 1.0).is_err());
    assert!(
        product_mg_per_kg(1.0, 2.0, 60.0).is_err() && product_mg_per_kg(1.0, 1.0, 0.0).is_err()
    );
}

/// Mass factors from molar masses (IUPAC standard atomic weights).
#[test]
fn mass_factors() {
    let factors = [
        (
            "sodium benzoate as benzoic acid",
            "144.10",
            "122.12",
            "0.8475",
        ),
        (
            "potassium benzoate as benzoic acid",
            "160.21",
            "122.12",
            "0.7623",
        ),
        (
            "potassium sorbate as sorbic acid",
            "150.22",
            "112.13",
            "0.7464",
        ),
        (
            "sodium salicylate as salicylic acid",
            "160.10",
            "138.12",
            "0.8627",
        ),
        (
            "ethylparaben as 4-hydroxybenzoic acid",
            "166.17",
            "138.12",
            "0.8312",
        ),
        (
            "propylparaben as 4-hydroxybenzoic acid",
            "180.20",
            "138.12",
            "0.7665",
        ),
        (
            "butylparaben as 4-hydroxybenzoic acid",
            "194.23",
            "138.12",
            "0.7111",
        ),
        ("retinyl palmitate as retinol", "524.86", "286.45", "0.5458"),
        (
            "citric acid monohydrate as anhydrous",
            "210.14",
            "192.12",
            "0.9143",
        ),
    ];
    for (name, substance, reference, want) in factors {
        let got = factor(d(substance), d(reference), Decimal::ONE).unwrap();
        assert!((got - d(want)).abs() <= d("0.0005"), "{name}: {got}");
    }
}

/// Limits as they are weighed: 0.5 % as acid is 0.59 % of sodium benzoate, 0.6 % is 0.804 % of potassium
/// sorbate, 0.4 % is 0.441 % of methylparaben.
#[test]
fn limits_as_weighed() {
    for (limit, substance, reference, want) in [
        ("0.5", "144.10", "122.12", "0.590"),
        ("0.6", "150.22", "112.13", "0.804"),
        ("0.4", "152.15", "138.12", "0.441"),
    ] {
        let got = from_reference(d(limit), d(substance), d(reference), Decimal::ONE).unwrap();
        assert!((got - d(want)).abs() <= d("0.001"), "{got}");
        let back = as_reference(got, d(substance), d(reference), Decimal::ONE).unwrap();
        assert!((back - d(limit)).abs() < d("0.000000000000000000001"));
    }
    // A round ratio stays round, and two moles count twice.
    assert_eq!(
        as_reference(d("1"), d("200"), d("50"), d("2")),
        Ok(d("0.5"))
    );
    assert!(factor(d("0"), d("1"), d("1")).is_err() && factor(d("1"), d("1"), d("0")).is_err());
}

/// By hand: lavender oil 0.2 % with 25 to 45 % linalool (usually 35) and an oil 0.05 % with 1 to 5 % (2):
/// 0.0505, 0.071, 0.0925 %.
#[test]
fn allergens_add_up_over_their_sources() {
    let range = |low, usual, high| ShareRange {
        low: d(low),
        usual: d(usual),
        high: d(high),
    };
    let sources = [
        AllergenSource {
            percent: d("0.2"),
            content: range("25", "35", "45"),
        },
        AllergenSource {
            percent: d("0.05"),
            content: range("1", "2", "5"),
        },
    ];
    let sum = total(&sources).unwrap();
    assert_eq!(sum, range("0.0505", "0.071", "0.0925"));
    assert_eq!(verdict(sum, d("0.001")), Verdict::Declare);
    assert_eq!(verdict(sum, d("0.06")), Verdict::Likely);
    assert_eq!(verdict(sum, d("0.08")), Verdict::Possible);
    assert_eq!(verdict(sum, d("0.1")), Verdict::Below);
    // The threshold has to be passed: exactly 0.001 % is not declared.
    assert_eq!(
        verdict(range("0.001", "0.001", "0.001"), d("0.001")),
        Verdict::Below
    );
    assert_eq!(total(&[]).unwrap(), ShareRange::default());
    // A material that is the allergen itself.
    let pure = AllergenSource {
        percent: d("0.3"),
        content: range("100", "100", "100"),
    };
    assert_eq!(total(&[pure]).unwrap(), range("0.3", "0.3", "0.3"));
    assert!(
        total(&[AllergenSource {
            percent: d("1"),
            content: range("-1", "4", "6")
        }])
        .is_err()
    );
    assert!(
        total(&[AllergenSource {
            percent: d("1"),
            content: range("1", "7", "6")
        }])
        .is_err()
    );
    assert!(
        total(&[AllergenSource {
            percent: d("1"),
            content: range("1", "4", "101")
        }])
        .is_err()
    );
    assert!(
        total(&[AllergenSource {
            percent: d("1"),
            content: range("5", "4", "6")
        }])
        .is_err()
    );
    assert!(
        total(&[AllergenSource {
            percent: d("101"),
            content: range("1", "1", "1")
        }])
        .is_err()
    );
}
