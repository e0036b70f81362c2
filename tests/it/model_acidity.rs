//! The charge balance of whole formulas, from their text and the knowledge base: against pHcalc (tests/reference), against
//! standard buffers weighed in, and what is named as not counted.

use phasewright::chem::acid_base::Activity;
use phasewright::kb::Kb;
use phasewright::model::acidity::{self, Acidity, Why};
use phasewright::model::{Formula, NoFiles, Settings, resolve};
use phasewright::syntax::{FileKind, parse};
use serde_json::Value;
use std::path::Path;

fn formula(rows: &str) -> Formula {
    let text = format!("formula \"x\"\n\nphase A\n{rows}\n");
    let tree = parse(FileKind::Formula, &text);
    assert!(
        tree.lines.iter().all(|l| l.line.errors.is_empty()),
        "{text}"
    );
    resolve(
        &tree,
        Path::new("x.formula"),
        &Kb::bundled(),
        &Settings::on("2026-11-25".parse().expect("a day")),
        &NoFiles,
    )
}

fn of(rows: &str) -> Acidity {
    acidity::of(&formula(rows), &Kb::bundled())
}

fn ph(rows: &str) -> f64 {
    of(rows).in_water.ph(Activity::Davies).unwrap().ph
}

#[test]
fn formulas_in_percent_have_the_ph_of_the_reference_library() {
    let path = format!(
        "{}/tests/reference/formulas.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let cases: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(cases.len() >= 9);
    for case in cases {
        let rows = case["rows"].as_array().unwrap().iter();
        let rows: String = rows
            .map(|r| {
                format!(
                    "  {}  {} %\n",
                    r[0].as_str().unwrap(),
                    r[1].as_str().unwrap()
                )
            })
            .collect();
        let made = of(&format!("  water  q.s.\n{rows}"));
        let got = made.in_water.ph(Activity::Ideal).unwrap().ph;
        let want = case["ph"].as_f64().unwrap();
        assert!(
            (got - want).abs() < 2e-3,
            "{rows}: {got:.4}, reference {want:.4}"
        );
        assert!(made.missing.is_empty(), "{rows}: {:?}", made.missing);
        let said = made.prediction().unwrap();
        assert!(
            said.low <= want.min(said.middle - 0.5) && said.high >= want.max(said.middle + 0.5),
            "{rows}: {said:?}"
        );
    }
}

/// Standard buffers at 25 °C, weighed in for 1 kg of water. Citrate 3.776 and carbonate 10.012: J. Res. Natl. Bur. Stand. 73A
/// (1969) 37-41; potassium dihydrogen citrate is two parts of the acid and one of the tripotassium salt. Phosphate 6.86: the
/// standard's round value in instrument tables.
#[test]
fn standard_buffers_weighed_in_come_out_within_a_twentieth() {
    for (rows, want) in [
        (
            "  water  1000 g\n  citric acid  6.404 g\n  potassium citrate  5.407 g",
            3.776,
        ),
        (
            "  water  1000 g\n  potassium phosphate  3.402 g\n  disodium phosphate  3.549 g",
            6.86,
        ),
        (
            "  water  1000 g\n  sodium bicarbonate  2.100 g\n  sodium carbonate  2.650 g",
            10.012,
        ),
    ] {
        let got = ph(rows);
        assert!(
            (got - want).abs() < 0.05,
            "{rows}: {got:.3}, standard {want}"
        );
    }
}

#[test]
fn blends_and_solutions_count_by_their_parts() {
    // Benzyl alcohol (and) dehydroacetic acid: 8 % of the acid.
    let blend =
        ph("  water  q.s.\n  benzyl alcohol (and) dehydroacetic acid  2 %\n  sodium lactate  1 %");
    let parts = ph(
        "  water  q.s.\n  dehydroacetic acid  0.16 %\n  benzyl alcohol  1.84 %\n  sodium lactate  1 %",
    );
    assert!((blend - parts).abs() < 0.02, "{blend} {parts}");
    let solution = ph("  water  q.s.\n  lactic acid 80 %  1 %\n  sodium benzoate  0.5 %");
    let pure = ph("  water  q.s.\n  lactic acid  0.8 %\n  sodium benzoate  0.5 %");
    assert!((solution - pure).abs() < 1e-6);
    let salty = of("  water  q.s.\n  sodium chloride  1 %")
        .in_water
        .ph(Activity::Davies)
        .unwrap();
    // 1 g (58.44 g/mol) in 99 g of water.
    assert!((salty.ionic_strength_mol_kg - 10.0 / 58.44 / 0.99).abs() < 1e-3);
}

#[test]
fn oil_is_no_water() {
    let lean = of("  water  q.s.\n  lactic acid  0.5 %\n  sodium lactate  0.5 %");
    let fat =
        of("  water  q.s.\n  rapeseed oil  50 %\n  lactic acid  0.5 %\n  sodium lactate  0.5 %");
    assert!((lean.water_percent - 99.0).abs() < 1e-9 && (fat.water_percent - 49.0).abs() < 1e-9);
    let strength = |a: &Acidity| a.in_water.protolytes[0].mol_per_kg;
    assert!((strength(&fat) / strength(&lean) - 99.0 / 49.0).abs() < 1e-9);
    let balm = of("  rapeseed oil  97 %\n  beeswax  3 %");
    assert!(
        balm.prediction()
            .unwrap_err()
            .reason()
            .contains("hardly any water")
    );
}

#[test]
fn what_is_not_counted_is_named_and_what_is_neutral_is_not() {
    let names = |a: &Acidity| {
        a.missing
            .iter()
            .map(|m| (m.name.clone(), m.why))
            .collect::<Vec<_>>()
    };
    let quiet = of(
        "  water  q.s.\n  glycerin  5 %\n  xylitol  1 %\n  panthenol  1 %\n  phenoxyethanol  0.9 %\n  rapeseed oil  10 %\n  shea butter  2 %\n  cetearyl alcohol  3 %\n  glyceryl stearate  2 %\n  dimethicone  1 %\n  sodium chloride  0.3 %",
    );
    assert!(quiet.missing.is_empty(), "{:?}", quiet.missing);
    let gel = of(
        "  water  q.s.\n  carbomer  0.4 %\n  triethanolamine  0.4 %\n  rose water  10 %\n  hydrolyzed silk  1 %\n  moon dust  1 %\n  caprylic acid  0.2 %\n  lactic acid 10 %  q.s. to pH 5.5",
    );
    let named = names(&gel);
    for want in [
        ("rose hydrosol", Why::NoFigures),
        ("hydrolyzed silk", Why::NoFigures),
        ("moon dust", Why::Unknown),
        ("caprylic acid", Why::InOil),
        ("lactic acid 10 %", Why::NoAmount),
    ] {
        assert!(
            named.contains(&(want.0.to_owned(), want.1)),
            "{want:?} in {named:?}"
        );
    }
    assert_eq!(named.len(), 5, "{named:?}");
    assert_eq!(ids(&gel.bounded), ["carbomer"]);
    // Triethanolamine, 27 mmol/kg, neutralizes half of the 50 to 60 mmol/kg of groups: the middle fifth has a pKa of 5.4 to 6.6.
    let said = gel.prediction().unwrap();
    assert!(said.low < 5.4 && said.high > 6.4, "{said:?}");
    // A solution of which the parts are named and not how much of each.
    let blend = of("  water  q.s.\n  sodium levulinate (and) sodium anisate  3 %");
    assert_eq!(
        names(&blend),
        [(
            "sodium levulinate (and) sodium anisate".to_owned(),
            Why::NoFigures
        )]
    );
}

/// By hand: disodium EDTA 0.1 % alone lies halfway between its steps 3.1 and 6.3, at 4.7. A gram of cream may bring 3 µmol of soap:
/// 39 % of others beside 61 % of water are 1.9 mmol/kg, two thirds of the third step's 4.4 mmol/kg: about 6.3 - 0.1.
#[test]
fn a_cream_has_more_traces_than_a_clear_lotion() {
    let lotion = of("  water  q.s.\n  disodium EDTA  0.1 %")
        .prediction_or_reason()
        .unwrap();
    let cream = of("  water  q.s.\n  disodium EDTA  0.1 %\n  rapeseed oil  30 %\n  glyceryl stearate  4 %\n  cetearyl alcohol  5 %")
        .prediction()
        .unwrap();
    assert!(lotion.high - lotion.low < 1.1, "{lotion:?}");
    assert!(
        (5.7..6.5).contains(&cream.high) && cream.low < 3.6,
        "{cream:?}"
    );
}

/// Sold at 30 to 38 %: a strength in the name narrows what "cocamidopropyl betaine" leaves open, and pure is far more of it.
#[test]
fn a_surfactant_without_a_strength_is_taken_as_sold() {
    let said = |name: &str| {
        of(&format!(
            "  water  q.s.\n  citric acid  0.3 %\n  sodium benzoate  0.3 %\n  {name}  30 %"
        ))
        .prediction_or_reason()
        .unwrap()
    };
    let (open, named, pure) = (
        said("cocamidopropyl betaine"),
        said("cocamidopropyl betaine 34 %"),
        said("cocamidopropyl betaine 100 %"),
    );
    assert!(
        (open.middle - named.middle).abs() < 0.1 && named.high < open.high,
        "{open:?} {named:?}"
    );
    assert!(pure.high > open.high, "{open:?} {pure:?}");
}

/// An oil-soluble amine takes up acid all the same: 1 % is 27 mmol/kg, half of 53 mmol/kg of lactic acid (pKa 3.86).
#[test]
fn an_amine_that_takes_up_acid_counts() {
    let made = of(
        "  water  q.s.\n  cetearyl alcohol  5 %\n  stearamidopropyl dimethylamine  1 %\n  lactic acid  0.48 %",
    );
    assert_eq!(ids(&made.bounded), ["stearamidopropyl-dimethylamine"]);
    let said = made.prediction_or_reason().unwrap();
    assert!((said.middle - 3.86).abs() < 0.2, "{said:?}");
}

fn ids(all: &[phasewright::kb::Id]) -> Vec<String> {
    let kb = Kb::bundled();
    all.iter().map(|id| kb.get(*id).id.to_string()).collect()
}

/// By hand: 5 % of an 80 % lactic acid is 0.0444 mol in 100 g; 8 % of a 10 % lye neutralizes 0.020, sodium benzoate takes up some
/// 0.002 more: 3.86 + log(0.022 / 0.022) = 3.9. The others are by pHcalc alone.
#[test]
fn ranges_are_what_the_reference_library_allows() {
    let path = format!("{}/tests/reference/ranges.json", env!("CARGO_MANIFEST_DIR"));
    let cases: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(cases.len() >= 5);
    for case in cases {
        let rows = case["rows"].as_array().unwrap().iter();
        let rows: String = rows
            .map(|r| {
                format!(
                    "  {}  {} %\n",
                    r[0].as_str().unwrap(),
                    r[1].as_str().unwrap()
                )
            })
            .collect();
        let made = of(&format!("  water  q.s.\n{rows}"));
        assert!(
            made.missing.is_empty() && !made.bounded.is_empty(),
            "{rows}: {:?}",
            made.missing
        );
        let (low, high) = (
            case["low"].as_f64().unwrap(),
            case["high"].as_f64().unwrap(),
        );
        let said = made.prediction_or_reason().unwrap();
        // pHcalc takes activity as concentration: up to 0.3 apart.
        assert!(
            said.low <= low + 0.05 && said.high >= high - 0.3,
            "{rows}: {said:?}, reference {low} to {high}"
        );
        let widest = (low.min(said.middle - 0.5), high.max(said.middle + 0.5));
        assert!(
            said.low >= widest.0 - 0.3 && said.high <= widest.1 + 0.3,
            "{rows}: {said:?}, reference {low} to {high}"
        );
        assert!(said.high - said.low >= 0.99, "{rows}: {said:?}");
    }
}

/// A quaternary salt and a sulfate hold no proton between 2 and 12.
#[test]
fn what_is_neutral_by_its_chemistry_widens_nothing() {
    let alone = of("  water  q.s.\n  lactic acid  0.3 %\n  sodium benzoate  0.5 %")
        .prediction_or_reason()
        .unwrap();
    let rows = "  water  q.s.\n  lactic acid  0.3 %\n  sodium benzoate  0.5 %\n  behentrimonium methosulfate  1 %\n  polyquaternium-10  0.2 %\n  PEG-8  1 %";
    let with = of(rows);
    assert!(
        with.missing.is_empty() && with.bounded.is_empty(),
        "{:?}",
        with.missing
    );
    let with = with.prediction_or_reason().unwrap();
    assert!(
        (with.low - alone.low).abs() < 0.05 && (with.high - alone.high).abs() < 0.05,
        "{with:?} {alone:?}"
    );
}

#[test]
fn what_cannot_be_estimated_says_so_and_names_the_uncertain() {
    let juice = of("  water  q.s.\n  lemon juice  20 %\n  glycerin  5 %\n  hydrolyzed silk  0.1 %");
    let why = juice.prediction_or_reason().unwrap_err();
    // So little silk is no more than a trace.
    let so = "so lemon juice and traces of acid or alkali decide; measure it";
    assert_eq!(
        why,
        format!("the pH cannot be estimated: nothing that is known holds a pH in it, {so}")
    );
    let sour =
        of("  water  q.s.\n  lactic acid  0.5 %\n  lemon juice  20 %\n  sodium benzoate  0.4 %\n  carbomer  0.2 %").prediction_or_reason().unwrap_err();
    assert_eq!(
        sour,
        "the pH cannot be estimated: how much acid or base lemon juice brings is not known well enough; measure it"
    );
    assert_eq!(juice.missing.len(), 2, "they stay on the list");
    let silk = of("  water  q.s.\n  hydrolyzed silk  2 %")
        .prediction_or_reason()
        .unwrap_err();
    assert!(
        silk.contains("so hydrolyzed silk and traces of acid or alkali decide"),
        "{silk}"
    );
    let strange = of("  water  q.s.\n  moon dust  5 %")
        .prediction_or_reason()
        .unwrap_err();
    assert!(
        strange.contains("so moon dust and traces of acid or alkali decide"),
        "{strange}"
    );
    let plain = of("  water  q.s.\n  glycerin  5 %\n  cetearyl alcohol  5 %")
        .prediction_or_reason()
        .unwrap_err();
    assert!(
        plain.contains("so the air and traces of acid or alkali decide"),
        "{plain}"
    );
    // The same silk beside a buffer does nothing that matters.
    let held =
        of("  water  q.s.\n  lactic acid  1 %\n  sodium lactate  1 %\n  hydrolyzed silk  0.1 %")
            .prediction_or_reason()
            .unwrap();
    assert!(held.high - held.low < 1.2, "{held:?}");
}

#[test]
fn what_goes_in_to_a_ph_is_not_there_before() {
    let made = of(
        "  water  q.s.\n  sodium benzoate  0.5 %\n  lactic acid 10 %  q.s. to pH 5.2, about 1 %",
    );
    assert_eq!(
        (
            made.in_water.protolytes.len(),
            made.before_adjusting.protolytes.len()
        ),
        (2, 1)
    );
    // 5 g in a kg of product.
    assert!((made.before_adjusting.protolytes[0].mol_per_kg - 5.0 / 144.10).abs() < 1e-6);
    assert!(made.missing.is_empty());
}

/// Hand-checked with pHcalc (tests/it/chem_acid_base.rs, "benzoate 5 to 5.0 with lactic"): 0.4595 g of lactic acid to 5 g of
/// benzoate in a litre, activity aside.
#[test]
fn an_acid_without_an_amount_is_estimated() {
    let kb = Kb::bundled();
    let rows = "  water  q.s.\n  sodium benzoate  0.5 %\n  lactic acid 10 %  q.s. to pH 5.0\n  sodium hydroxide 10 %  q.s. to pH 5.0";
    let f = formula(rows);
    let made = acidity::of(&f, &kb);
    let got = made.estimate_percent(&f.rows[2], &kb).unwrap().unwrap();
    assert!((got / 0.4595 - 1.0).abs() < 0.25, "{got}");
    assert!(made.estimate_percent(&f.rows[1], &kb).is_none());
    assert!(
        made.estimate_percent(&f.rows[3], &kb).unwrap().is_err(),
        "a base does not lower the pH"
    );
    let told = formula("  water  q.s.\n  lactic acid 10 %  q.s. to pH 5.0, about 1 %");
    assert!(
        acidity::of(&told, &kb)
            .estimate_percent(&told.rows[1], &kb)
            .is_none()
    );
}

#[test]
fn every_material_of_the_base_has_a_balance_or_none() {
    let kb = Kb::bundled();
    let mut seen = 0;
    for id in kb.ids() {
        let one = kb.get(id);
        let Some(acid) = acidity::Acid::of(one) else {
            continue;
        };
        seen += 1;
        let places = acid.molecules * (acid.pka.len() as f64 - f64::from(acid.protonated_charge));
        let charge = f64::from(acid.strong_charge);
        assert!(
            acid.pka.is_empty() || charge <= places + 1e-9,
            "{}: more counter-ions than places",
            one.id
        );
        assert!(
            acid.pka.windows(2).all(|w| w[0] <= w[1]),
            "{}: pKa out of order",
            one.id
        );
    }
    assert!(seen > 150, "{seen}");
}
