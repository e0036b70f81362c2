//! Chemistry that hurts or spoils: what dissolves or fizzes away in acid, what burns, and amounts that reach no pH.

use super::{apply, findings, message, product, says, silent};
use phasewright::rules::Severity::{Hint, Information, Warning};

const P: &str = "phenoxyethanol (and) ethylhexylglycerin  0.9 %";

fn lotion(ph: &str, rows: &[&str]) -> String {
    let mut all = vec!["water  q.s.", "xanthan gum  0.5 %", P];
    all.extend(rows);
    product(
        &format!("product: body lotion, leave-on; type: suspension; pH: {ph}"),
        &all,
    )
}

#[test]
fn oxides_and_carbonates_know_their_ph() {
    for material in ["zinc oxide  5 %", "calamine  5 %", "zinc carbonate  5 %"] {
        says(&lotion("5.0 to 5.5", &[material]), "ph-unstable", Warning);
        silent(&lotion("7.0 to 7.5", &[material]), "ph-unstable");
    }
    for material in [
        "calcium carbonate  5 %",
        "magnesium carbonate  5 %",
        "sodium bicarbonate  4 %",
    ] {
        says(&lotion("5.0 to 5.5", &[material]), "ph-unstable", Warning);
        silent(&lotion("7.5 to 8.0", &[material]), "ph-unstable");
    }
    // As little as it takes to neutralize is meant to be used up, and so is what is added to a pH.
    silent(
        &lotion("5.0 to 5.5", &["sodium bicarbonate  0.3 %"]),
        "ph-unstable",
    );
    silent(
        &lotion("5.0 to 5.5", &["sodium carbonate  q.s. to pH 5.2"]),
        "ph-unstable",
    );
}

/// No fix aims where something dissolves or fizzes away.
#[test]
fn no_fix_aims_where_something_dissolves() {
    for material in [
        "zinc oxide  5 %",
        "calcium carbonate  5 %",
        "sodium bicarbonate  4 %",
    ] {
        for ph in ["4.0 to 4.4", "5.0 to 5.5", "8.6 to 9.4"] {
            let text = lotion(ph, &[material, "niacinamide  4 %"]);
            for f in findings(&text) {
                for fix in f
                    .fixes
                    .iter()
                    .filter(|fix| fix.title.starts_with("Aim at pH"))
                {
                    let mended = apply(&text, &fix.edits);
                    silent(&mended, "ph-unstable");
                }
            }
        }
    }
}

#[test]
fn an_acid_that_is_added_to_a_ph_fizzes_too() {
    let with = |acid: &str, ph: &str| lotion(ph, &["sodium bicarbonate  4 %", acid]);
    says(
        &with("citric acid  q.s. to pH 5.2", "5.0 to 5.5"),
        "gas-pressure",
        Warning,
    );
    says(
        &with("citric acid  2 %", "5.0 to 5.5"),
        "gas-pressure",
        Warning,
    );
    silent(
        &with("citric acid  q.s. to pH 8.2", "8.0 to 8.5"),
        "gas-pressure",
    );
}

/// By hand: 8 % lactic acid is 0.97 mol in a kilogram of water; at pH 5.0, 1.2 above its pKa, 94 % of it is lactate, so about
/// 0.83 mol or 3.3 g of sodium hydroxide go into 100 g.
#[test]
fn an_amount_that_cannot_reach_the_ph_is_told_of() {
    let with = |about: &str| {
        let row = format!("sodium hydroxide  q.s. to pH 5.0, about {about} %");
        lotion("4.8 to 5.2", &["lactic acid  8 %", &row])
    };
    says(&with("0.1"), "amount-off-ph", Information);
    says(&with("1"), "amount-off-ph", Information);
    let told = message(&with("1"), "amount-off-ph");
    assert!(
        told.contains("about 3.") && told.contains("1 % is written"),
        "{told}"
    );
    silent(&with("3.3"), "amount-off-ph");
    silent(&with("2"), "amount-off-ph");
    silent(
        &lotion(
            "4.8 to 5.2",
            &["lactic acid  8 %", "sodium hydroxide  q.s. to pH 5.0"],
        ),
        "amount-off-ph",
    );
}

#[test]
fn what_burns_says_so_in_plain_words() {
    let with = |row: &str| {
        product(
            "product: cuticle remover, rinse-off",
            &["water  q.s.", row, P],
        )
    };
    let told = message(&with("sodium hydroxide  25 %"), "caution-caustic");
    for words in [
        "25 % sodium hydroxide burns skin and eyes",
        "goggles and gloves",
        "weigh it last",
    ] {
        assert!(told.to_lowercase().contains(words), "{told}");
    }
    says(
        &with("sodium hydroxide  0.5 %"),
        "caution-caustic",
        Information,
    );
    silent(&with("sodium hydroxide  0.4 %"), "caution-caustic");
    // Fruit acids from the share at which they come as strong solutions.
    says(&with("lactic acid  10 %"), "caution-caustic", Information);
    silent(&with("lactic acid  9 %"), "caution-caustic");
    let acid = message(&with("glycolic acid  12 %"), "caution-caustic");
    assert!(acid.contains("never water onto acid"), "{acid}");
    silent(&with("vinegar  20 %"), "caution-caustic");
}

/// 60.0 % by volume of ethanol is 52.1 % by weight, by a table for hand rubs; 50 % by weight are 57.8 % by volume and 55 % are
/// 62.8 % (15.6 °C) by another.
#[test]
fn a_hand_sanitizer_is_a_drug_and_too_weak_alcohol_is_told_of() {
    let with = |market: &str, alcohol: &str| {
        product(
            "product: hand sanitizer",
            &["water  q.s.", alcohol, "glycerin  2 %"],
        )
        .replace("sold in: EU", &format!("sold in: {market}"))
    };
    for market in ["US", "CA"] {
        let found = findings(&with(market, "ethanol  65 %"));
        let mine: Vec<_> = found
            .iter()
            .filter(|f| f.code == "not-a-cosmetic")
            .collect();
        assert_eq!(mine.len(), 1, "{mine:?}");
        assert_eq!(mine[0].severity, Warning);
    }
    let weak = |text: &str| {
        findings(text)
            .iter()
            .any(|f| f.code == "not-a-cosmetic" && f.whole().contains("too weak"))
    };
    assert!(weak(&with("US", "ethanol  45 %")));
    assert!(weak(&with("EU", "ethanol  52 %")));
    assert!(!weak(&with("EU", "ethanol  52.1 %")));
    assert!(!weak(&with("EU", "isopropyl alcohol  64.7 %")));
    let gel = product(
        "product: hand cream, leave-on",
        &["water  q.s.", "ethanol  10 %", P],
    );
    assert!(!weak(&gel));
}

#[test]
fn soap_from_fat_and_lye_is_left_alone() {
    let soap = |lye: &str, fields: &str| {
        let lye = format!("sodium hydroxide  {lye} %");
        product(
            fields,
            &["water  20 %", &lye, "coconut oil  20 %", "olive oil  q.s."],
        )
    };
    let codes = |text: &str| -> Vec<&str> { findings(text).iter().map(|f| f.code).collect() };
    for fields in [
        "type: soap",
        "product: soap, rinse-off",
        "product: soap, rinse-off; type: bar",
    ] {
        assert_eq!(codes(&soap("9.5", fields)), ["not-judged"], "{fields}");
    }
    assert!(message(&soap("9.5", "type: soap"), "not-judged").contains("goggles"));
    // A little lye in a cream makes no soap of it.
    let cream = product(
        "product: face cream, leave-on; type: oil-in-water",
        &[
            "water  q.s.",
            "sodium hydroxide  0.6 %",
            "sunflower oil  20 %",
            "glyceryl stearate citrate  3 %",
            P,
        ],
    );
    silent(&cream, "not-judged");
    says(&cream, "caution-caustic", Information);
    says(&cream, "oil-oxidizes", Hint);
}

/// What a hand gel promises makes a drug of it in the US and Canada, whatever it is called.
#[test]
fn a_promise_to_kill_germs_makes_a_drug() {
    let with = |market: &str, claims: &str| {
        product(
            &format!("product: hand gel; claims: {claims}"),
            &["water  q.s.", "ethanol  65 %", "glycerin  2 %"],
        )
        .replace("sold in: EU", &format!("sold in: {market}"))
    };
    for market in ["US", "CA"] {
        for claim in [
            "kills germs",
            "antibacterial",
            "kills bacteria",
            "sanitizing",
        ] {
            says(&with(market, claim), "not-a-cosmetic", Warning);
        }
        silent(
            &with(market, "cleans hands without water"),
            "not-a-cosmetic",
        );
    }
}
