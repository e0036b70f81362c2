//! Units against a units library, rounding by its promises, a pharmacopoeia formula scaled by hand.

use phasewright::chem::losses::fill_grams;
use phasewright::chem::rounding::{column, split, to_step, weights};
use phasewright::chem::units::{Amount, Temperature, Unit};
use proptest::prelude::*;
use rust_decimal::Decimal;
use serde_json::Value;

fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn decimal(value: &Value) -> Decimal {
    let text = value.as_str().unwrap();
    Decimal::from_scientific(text)
        .or_else(|_| text.parse())
        .unwrap()
}

#[test]
fn factors_are_those_of_the_reference_library() {
    let path = format!("{}/tests/reference/units.json", env!("CARGO_MANIFEST_DIR"));
    let reference: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let grams = reference["grams"].as_object().unwrap();
    let millilitres = reference["millilitres"].as_object().unwrap();
    assert_eq!((grams.len(), millilitres.len()), (5, 6));
    for (unit, factor) in grams {
        assert_eq!(
            Unit::parse(unit).unwrap().grams(),
            Some(decimal(factor)),
            "{unit}"
        );
    }
    for (unit, factor) in millilitres {
        assert_eq!(
            Unit::parse(unit).unwrap().millilitres(),
            Some(decimal(factor)),
            "{unit}"
        );
    }
    for (fahrenheit, celsius) in reference["fahrenheit_in_celsius"].as_object().unwrap() {
        let got = Temperature::fahrenheit(d(fahrenheit)).in_celsius();
        assert!(
            (got - decimal(celsius)).abs() < d("0.000000001"),
            "{fahrenheit} °F"
        );
    }
}

/// Metric and avoirdupois weights side by side in the United States Pharmacopoeia VIII (ointment of rose
/// water): 125 g is 4 oz 179 gr, 560 g is 19 oz 330 gr, 190 g is 6 oz 307 gr. For 120 g one dispensatory
/// prints 4 oz 120 gr, another 102 gr: 102 is right. A grain is 64.79891 mg (NIST Handbook 44).
#[test]
fn old_weights_and_a_misprint_among_them() {
    let grain = d("0.06479891");
    let avoirdupois = |oz: i64, gr: i64| {
        Amount::new(oz.into(), Unit::Ounce).grams(None).unwrap() + grain * Decimal::from(gr)
    };
    for (g, oz, gr) in [
        ("125", 4, 179),
        ("560", 19, 330),
        ("190", 6, 307),
        ("120", 4, 102),
    ] {
        assert!((avoirdupois(oz, gr) - d(g)).abs() <= grain, "{g} g");
    }
    assert!((avoirdupois(4, 120) - d("120")).abs() > grain * Decimal::from(10));
}

/// Ointment of rose water, United States Pharmacopoeia (1890): spermaceti 125 g, white wax 120 g, expressed
/// oil of almond 600 mL, stronger rose water 190 mL, sodium borate 5 g. Densities: almond oil 0.9125, the
/// middle of the pharmacopoeial 0.910 to 0.915; rose water as water at 20 °C, 0.99821.
///
/// By hand: 600 × 0.9125 = 547.5 g, 190 × 0.99821 = 189.6599 g; the whole 987.1599 g.
///   for 500 g, × 0.5065035:  63.3129  60.7804  277.3107  96.0634  2.5325; cut down at 0.01 g
///                            63.31    60.78    277.31    96.06    2.53 = 499.99; the missing step goes to
///                            the water, which lost most (0.0034)
///   for 12 jars of 50 mL, at 0.95 g/mL 570 g, × 0.5774140: 72.1767  69.2897  316.1342  109.5123  2.8871;
///                            72.17    69.28    316.13    109.51   2.88 = 569.97; three steps, to the wax
///                            (0.0097), the borate (0.0071) and the spermaceti (0.0067)
#[test]
fn a_pharmacopoeia_formula_in_grams_and_millilitres_adds_up() {
    let parts = [
        Amount::new(d("125"), Unit::Gram).grams(None),
        Amount::new(d("120"), Unit::Gram).grams(None),
        Amount::new(d("600"), Unit::Millilitre).grams(Some(d("0.9125"))),
        Amount::new(d("190"), Unit::Millilitre).grams(Some(d("0.99821"))),
        Amount::new(d("5"), Unit::Gram).grams(None),
    ]
    .map(Option::unwrap);
    assert_eq!(parts.iter().sum::<Decimal>(), d("987.1599"));

    let batch = column(&parts, d("500"), d("0.01")).unwrap();
    assert_eq!(
        batch.grams,
        ["63.31", "60.78", "277.31", "96.07", "2.53"].map(d)
    );
    assert_eq!(batch.grams.iter().sum::<Decimal>(), d("500"));

    let jar = fill_grams(d("50"), d("0.95")).unwrap();
    let jars = column(&parts, jar * d("12"), d("0.01")).unwrap();
    assert_eq!(
        jars.grams,
        ["72.18", "69.29", "316.13", "109.51", "2.89"].map(d)
    );
    assert_eq!(jars.grams.iter().sum::<Decimal>(), d("570"));
    assert!(
        split(jars.total, 12, d("0.01"))
            .unwrap()
            .grams
            .iter()
            .all(|g| *g == d("47.50"))
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    /// The column adds up exactly, no row is off by a step of its share, larger parts never weigh less, and
    /// every weight is a whole number of steps.
    #[test]
    fn a_column_always_adds_up(
        parts in prop::collection::vec(0u64..1_000_000, 1..40),
        places in 0u32..6,
        batch in 1u64..100_000_000,
        step in prop::sample::select(vec!["1", "0.5", "0.2", "0.1", "0.01", "0.001"]),
    ) {
        prop_assume!(parts.iter().any(|p| *p > 0));
        let parts: Vec<Decimal> = parts.iter().map(|p| Decimal::new(*p as i64, places)).collect();
        let (batch, step) = (Decimal::new(batch as i64, 3), d(step));
        let got = column(&parts, batch, step).unwrap();
        prop_assert_eq!(got.grams.iter().sum::<Decimal>(), got.total);
        prop_assert!((got.total - batch).abs() * Decimal::TWO <= step);
        let sum: Decimal = parts.iter().sum();
        for (part, grams) in parts.iter().zip(&got.grams) {
            prop_assert!((grams - part * got.total / sum).abs() < step);
            prop_assert!((grams / step).fract().is_zero());
            for (other, theirs) in parts.iter().zip(&got.grams) {
                prop_assert!(part <= other || grams >= theirs);
            }
        }
    }

    /// Weights that fit the scale are left as they are.
    #[test]
    fn what_fits_the_scale_is_kept(grams in prop::collection::vec(1i64..100_000, 1..20)) {
        let grams: Vec<Decimal> = grams.iter().map(|g| Decimal::new(*g, 2)).collect();
        prop_assert_eq!(weights(&grams, d("0.01")).unwrap().grams, grams);
    }

    #[test]
    fn a_rounded_figure_stays(value in -1_000_000i64..1_000_000, step in prop::sample::select(vec!["0.5", "0.1", "0.01"])) {
        let once = to_step(Decimal::new(value, 4), d(step)).unwrap();
        prop_assert_eq!(to_step(once, d(step)).unwrap(), once);
    }

    /// Any text at all is read or left, never more than once or beyond its end.
    #[test]
    fn units_are_read_from_any_text(text in "\\PC{0,12}") {
        if let Some((unit, taken)) = Unit::prefix(&text) {
            prop_assert!(text.is_char_boundary(taken));
            prop_assert_eq!(Unit::parse(&text[..taken]), Some(unit));
        }
    }

    #[test]
    fn degrees_go_there_and_back(tenths in -2000i64..10_000) {
        let degrees = Temperature::celsius(Decimal::new(tenths, 1));
        prop_assert_eq!(Temperature::fahrenheit(degrees.in_fahrenheit()), degrees);
    }
}
