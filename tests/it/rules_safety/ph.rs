use super::{message, product, says, silent};
use phasewright::rules::Severity::{Hint, Information, Warning};

const P: &str = "phenoxyethanol (and) ethylhexylglycerin  0.9 %";

#[test]
fn a_ph_in_which_it_does_not_last() {
    let serum = |ph: &str| {
        product(
            &format!("product: serum, leave-on; type: gel; pH: {ph}"),
            &["water  q.s.", "sodium ascorbyl phosphate  2 %", P],
        )
    };
    says(&serum("4.5"), "ph-unstable", Warning);
    silent(&serum("6.5"), "ph-unstable");
    // As close as a reading.
    says(&serum("5.7"), "ph-unstable", Hint);
    says(&serum("5.6"), "ph-unstable", Warning);
    // Only an end of the range lies outside.
    says(&serum("5.5 to 6.5"), "ph-unstable", Hint);
    // Preservatives and what sets the pH are judged elsewhere.
    silent(
        &product(
            "product: toner, leave-on; pH: 7",
            &["water  q.s.", "sodium benzoate  0.5 %"],
        ),
        "ph-unstable",
    );
    silent(
        &product(
            "product: toner, leave-on",
            &["water  q.s.", "sodium ascorbyl phosphate  2 %", P],
        ),
        "ph-unstable",
    );
}

#[test]
fn far_from_the_ph_of_skin() {
    let toner = |ph: &str| {
        product(
            &format!("product: hand cream, leave-on; type: gel; pH: {ph}"),
            &["water  q.s.", P],
        )
    };
    says(&toner("3.9"), "ph-off-skin", Hint);
    silent(&toner("4.5 to 5.5"), "ph-off-skin");
    silent(&toner("4.0"), "ph-off-skin");
    silent(&toner("7.0"), "ph-off-skin");
    says(&toner("7.1"), "ph-off-skin", Hint);
    says(&toner("8.9"), "ph-off-skin", Hint);
    says(&toner("9"), "ph-off-skin", Warning);
    says(&toner("3"), "ph-off-skin", Hint);
    says(&toner("2.9"), "ph-off-skin", Warning);
    // An exfoliant explains it.
    silent(
        &product(
            "product: toner, leave-on; pH: 3.8",
            &["water  q.s.", "glycolic acid  5 %", P],
        ),
        "ph-off-skin",
    );
    // Products with a pH of their own, and water-free ones.
    silent(
        &product(
            "product: soap, rinse-off; type: soap; pH: 9.5",
            &["sodium cocoate  80 %", "water  20 %"],
        ),
        "ph-off-skin",
    );
    silent(
        &product("product: hair perm, rinse-off; pH: 9", &["water  q.s.", P]),
        "ph-off-skin",
    );
}

#[test]
fn hydroxy_acids_together() {
    let gel = |ph: &str, rows: &[&str]| {
        let mut all = vec!["water  q.s.", P];
        all.extend(rows);
        product(
            &format!("product: face gel, leave-on; type: gel; pH: {ph}"),
            &all,
        )
        .replace("sold in: EU", "sold in: US")
    };
    silent(&gel("3.8", &["glycolic acid  10 %"]), "acid-too-strong");
    says(
        &gel("3.8", &["glycolic acid  10.1 %"]),
        "acid-too-strong",
        Warning,
    );
    says(
        &gel("3.8", &["glycolic acid  6 %", "lactic acid  4.5 %"]),
        "acid-too-strong",
        Warning,
    );
    // Salts count as the acid: 12 % sodium lactate is 9.6 % lactic acid, 13 % is 10.4 %.
    silent(&gel("3.8", &["sodium lactate  12 %"]), "acid-too-strong");
    says(
        &gel("3.8", &["sodium lactate  13 %"]),
        "acid-too-strong",
        Warning,
    );
    // The pH.
    silent(&gel("3.5", &["glycolic acid  5 %"]), "acid-too-strong");
    says(
        &gel("3.4", &["glycolic acid  5 %"]),
        "acid-too-strong",
        Warning,
    );
    silent(&gel("3.4", &["citric acid  0.5 %"]), "acid-too-strong");
    // A bath thins it; what holds no water meets the skin as powder.
    silent(
        &product(
            "product: bath bomb, rinse-off",
            &["sodium bicarbonate  60 %", "citric acid  40 %"],
        ),
        "acid-too-strong",
    );
    assert!(
        message(&gel("3.5", &["glycolic acid  25 %"]), "acid-too-strong").contains("for consumers")
    );
}

/// The panel's figures (International Journal of Toxicology 36, Suppl. 2 (2017) 15S-21S): consumers at most 10 % and pH 3.5
/// at least, whether it stays on or not; salon products at most 30 % and pH 3.0 at least, applied briefly by trained
/// professionals and rinsed off.
#[test]
fn hydroxy_acids_at_home_and_in_trained_hands() {
    let us = |fields: &str, acid: &str| {
        product(fields, &["water  q.s.", acid, P]).replace("sold in: EU", "sold in: US")
    };
    let (mask, peel) = ("product: mask, rinse-off", "product: chemical peel");
    for (fields, acid, wanted) in [
        (format!("{mask}; pH: 3.5"), "glycolic acid  10 %", None),
        (
            format!("{mask}; pH: 3.5"),
            "glycolic acid  10.1 %",
            Some(Warning),
        ),
        (
            format!("{peel}; pH: 3.1"),
            "glycolic acid  19 %",
            Some(Warning),
        ),
        (
            format!("{peel}; pH: 3.4"),
            "glycolic acid  5 %",
            Some(Warning),
        ),
        (
            format!("{mask}; for: professional; pH: 3.0"),
            "glycolic acid  30 %",
            None,
        ),
        (
            format!("{mask}; for: professional; pH: 3.5"),
            "glycolic acid  10 %",
            None,
        ),
        (
            format!("{mask}; for: professional; pH: 3.0"),
            "glycolic acid  31 %",
            Some(Warning),
        ),
        (
            format!("{mask}; for: professional; pH: 2.9"),
            "glycolic acid  20 %",
            Some(Warning),
        ),
        // What stays on is not applied briefly, whoever applies it.
        (
            "product: serum, leave-on; for: professional; pH: 3.5".into(),
            "glycolic acid  12 %",
            Some(Warning),
        ),
        // The lowest pH that the file allows.
        (
            "product: face gel, leave-on; pH: 3.4 to 3.9".into(),
            "glycolic acid  5 %",
            Some(Warning),
        ),
        (
            "product: shower gel, rinse-off; pH: 3.4".into(),
            "lactic acid  5 %",
            Some(Warning),
        ),
    ] {
        match wanted {
            Some(level) => says(&us(&fields, acid), "acid-too-strong", level),
            None => silent(&us(&fields, acid), "acid-too-strong"),
        }
    }
    let peel = |acid: &str| us("product: mask, rinse-off; for: professional; pH: 3.0", acid);
    says(&peel("glycolic acid  30 %"), "acid-advice", Information);
    silent(
        &us(
            "product: mask, rinse-off; for: professional; pH: 3.5",
            "glycolic acid  10 %",
        ),
        "acid-advice",
    );
    silent(&peel("glycolic acid  31 %"), "acid-advice");
    let row = "sodium hydroxide  q.s. to pH 3.7";
    let gel = |ph: &str| {
        product(
            &format!("product: face gel, leave-on; pH: {ph}"),
            &["water  q.s.", "glycolic acid  5 %", row, P],
        )
        .replace("sold in: EU", "sold in: US")
    };
    says(&gel("3.3 to 3.9"), "acid-too-strong", Warning);
    silent(&gel("3.5 to 3.9"), "acid-too-strong");
}

/// SCCNFP/0370/00, as quoted: glycolic acid up to 4 % at pH 3.8, lactic acid up to 2.5 % at pH 5. Advice for the European Union.
#[test]
fn what_the_committee_suggested() {
    let gel = |market: &str, ph: &str, acid: &str| {
        let text = product(
            &format!("product: face gel, leave-on; pH: {ph}"),
            &["water  q.s.", acid, P],
        );
        text.replace("sold in: EU", &format!("sold in: {market}"))
    };
    silent(&gel("EU", "3.8", "glycolic acid  4 %"), "acid-advice");
    says(
        &gel("EU", "3.8", "glycolic acid  4.1 %"),
        "acid-advice",
        Information,
    );
    says(
        &gel("EU", "3.7", "glycolic acid  4 %"),
        "acid-advice",
        Information,
    );
    silent(&gel("US", "3.7", "glycolic acid  5 %"), "acid-advice");
    silent(&gel("EU", "5", "lactic acid  2.5 %"), "acid-advice");
    says(
        &gel("EU", "5", "lactic acid  2.6 %"),
        "acid-advice",
        Information,
    );
    says(
        &gel("EU", "4.9", "lactic acid  2 %"),
        "acid-advice",
        Information,
    );
    // What only sets the pH.
    silent(&gel("EU", "4.5", "lactic acid  0.5 %"), "acid-advice");
}

fn with_method(ph: &str, steps: &[&str]) -> String {
    let mut text = format!(
        "formula \"Test\"\n  product: face gel, leave-on\n  type: gel\n{ph}\nphase A\n  water  q.s.\n  xanthan gum  0.5 %\n\nphase B\n  sodium benzoate  0.5 %\n  potassium sorbate  0.2 %\n\nmethod\n"
    );
    for step in steps {
        text.push_str(&format!("  {step}\n"));
    }
    text
}

#[test]
fn a_ph_that_is_never_read() {
    let ph = "  pH: 4.5 to 4.8\n";
    says(
        &with_method(ph, &["stir A for 20 min", "add B"]),
        "ph-measurement",
        Hint,
    );
    silent(
        &with_method(ph, &["stir A for 20 min", "add B", "measure pH"]),
        "ph-measurement",
    );
    silent(
        &with_method(
            ph,
            &[
                "stir A for 20 min",
                "add B",
                "adjust pH to 4.5-4.8 with lactic acid 10 %",
            ],
        ),
        "ph-measurement",
    );
    silent(
        &with_method("", &["stir A for 20 min", "add B"]),
        "ph-measurement",
    );
    silent(&with_method(ph, &[]), "ph-measurement");
}

#[test]
fn a_ph_that_is_read_too_early() {
    let ph = "  pH: 4.5 to 4.8\n";
    says(
        &with_method(ph, &["stir A for 20 min", "measure pH", "add B"]),
        "ph-order",
        Hint,
    );
    silent(
        &with_method(ph, &["stir A for 20 min", "add B", "measure pH"]),
        "ph-order",
    );
    silent(
        &with_method(
            ph,
            &["stir A for 20 min", "measure pH", "add B", "measure pH"],
        ),
        "ph-order",
    );
    // Acid from the jar on benzoate; made up in water it is as it should be.
    says(
        &with_method(
            ph,
            &[
                "stir A for 20 min",
                "add B",
                "adjust pH to 4.5-4.8 with citric acid",
            ],
        ),
        "ph-order",
        Hint,
    );
    silent(
        &with_method(
            ph,
            &[
                "stir A for 20 min",
                "add B",
                "adjust pH to 4.5-4.8 with citric acid solution",
            ],
        ),
        "ph-order",
    );
    silent(
        &with_method(
            ph,
            &[
                "stir A for 20 min",
                "add B",
                "adjust pH to 4.5-4.8 with citric acid 20 %",
            ],
        ),
        "ph-order",
    );
}

#[test]
fn one_cause_one_message() {
    // Too much acid is said as that, not as unusual as well; and its pH is not said twice.
    let strong = product(
        "product: face gel, leave-on; type: gel; pH: 2.8",
        &["water  q.s.", "glycolic acid  12 %", P],
    );
    says(&strong, "acid-too-strong", Warning);
    silent(&strong, "above-usual-use");
    silent(&strong, "ph-off-skin");
    // Two that have no pH in common: said once for both.
    let apart = product(
        "product: serum, leave-on; type: gel; pH: 3.2",
        &[
            "water  q.s.",
            "sodium ascorbyl phosphate  2 %",
            "ascorbic acid  5 %",
            P,
        ],
    );
    assert_eq!(super::levels(&apart, "ph-conflict").len(), 1);
    silent(&apart, "ph-unstable");
}
