//! Partners of a preservative count at a level that works, at every pH that the file allows, and solids by their water.

use super::{message, product, says, silent};
use phasewright::rules::Severity::{Error, Hint, Warning};

fn gel(ph: &str, rows: &[&str]) -> String {
    let mut all = vec!["water  q.s.", "xanthan gum  0.5 %"];
    all.extend(rows);
    product(
        &format!("product: face gel, leave-on; type: gel; pH: {ph}"),
        &all,
    )
}

/// Potassium sorbate is used from 0.1 % (Handbook of Pharmaceutical Excipients, section 7: 0.1 to 0.2 %).
#[test]
fn a_trace_of_a_partner_covers_nothing() {
    let with = |sorbate: &str| {
        let row = format!("potassium sorbate  {sorbate} %");
        gel(
            "4.8 to 5.0",
            &["phenethyl alcohol  0.5 %", &row, "disodium EDTA  0.1 %"],
        )
    };
    silent(&with("0.1"), "spectrum-gap");
    says(&with("0.01"), "spectrum-gap", Hint);
    // A booster helps from its own level as well: ethylhexylglycerin is used from 0.3 %.
    let boosted = |share: &str| {
        let row = format!("ethylhexylglycerin  {share} %");
        gel(
            "4.8 to 5.0",
            &["phenethyl alcohol  0.5 %", &row, "disodium EDTA  0.1 %"],
        )
    };
    silent(&boosted("0.3"), "spectrum-gap");
    says(&boosted("0.01"), "spectrum-gap", Hint);
}

/// American Journal of Biomedical Sciences 13, 213: 0.3 % phenoxyethanol passed beside 0.3 % each of caprylyl glycol and
/// 1,2-hexanediol. Alone it is used from 0.5 %.
#[test]
fn a_level_shown_with_partners_counts_with_them_alone() {
    let alone = gel("5.0 to 5.5", &["phenoxyethanol  0.3 %"]);
    says(&alone, "preservative-too-low", Warning);
    let together = gel(
        "5.0 to 5.5",
        &[
            "phenoxyethanol  0.3 %",
            "caprylyl glycol  0.3 %",
            "1,2-hexanediol  0.3 %",
        ],
    );
    silent(&together, "preservative-too-low");
}

/// Benzoic acid has pKa 4.20 (CRC Handbook): 13.7 % active at pH 5.0, 9.1 % at 5.2, 0.5 % at 6.5.
#[test]
fn the_worst_end_of_the_range_decides_also_beside_a_row_that_aims_inside_it() {
    let with = |range: &str| {
        gel(
            range,
            &["sodium benzoate  0.5 %", "lactic acid  q.s. to pH 5.0"],
        )
    };
    says(&with("4.5 to 6.5"), "preservative-ph", Error);
    says(&with("4.5 to 5.2"), "preservative-ph", Warning);
    silent(&with("4.5 to 5.0"), "preservative-ph");
    assert!(message(&with("4.5 to 6.5"), "preservative-ph").contains("pH 6.5"));
    // Without a range the row alone says it.
    let bare = product(
        "product: face gel, leave-on; type: gel",
        &[
            "water  q.s.",
            "sodium benzoate  0.5 %",
            "lactic acid  q.s. to pH 5.0",
        ],
    );
    silent(&bare, "preservative-ph");
}

/// Methylparaben stops Staphylococcus aureus and Candida albicans at 0.2 % in water (Handbook of Pharmaceutical Excipients),
/// and two thirds of it are drawn into 30 % of vegetable oil; that mould grows slower at 0.025 % is no level to go by.
#[test]
fn what_only_slows_a_mould_is_no_level_to_go_by() {
    let cream = |oil: &str| {
        let oil = format!("soybean oil  {oil} %");
        product(
            "product: body lotion, leave-on; type: oil-in-water; pH: 5.0 to 5.5",
            &[
                "water  q.s.",
                &oil,
                "glyceryl stearate citrate  3 %",
                "methylparaben  0.25 %",
            ],
        )
    };
    says(&cream("30"), "preservative-inactivated", Warning);
    says(&cream("10"), "preservative-inactivated", Hint);
    silent(&cream("1"), "preservative-inactivated");
}

#[test]
fn solids_with_little_water_are_judged_by_their_water_activity() {
    let bar = |water: &str| {
        let water = format!("water  {water} %");
        product(
            "product: shampoo bar; type: bar",
            &["sodium cocoyl isethionate  q.s.", &water],
        )
    };
    says(&bar("4"), "no-preservative", Hint);
    says(&bar("12"), "no-preservative", Warning);
    says(&bar("16"), "no-preservative", Error);
    assert!(message(&bar("12"), "no-preservative").contains("water activity"));
    let bomb = product(
        "product: bath bomb",
        &[
            "sodium bicarbonate  q.s.",
            "citric acid  30 %",
            "water  3 %",
        ],
    );
    says(&bomb, "no-preservative", Hint);
    // No chelator is asked of a bar.
    let preserved = product(
        "product: shampoo bar; type: bar",
        &[
            "sodium cocoyl isethionate  q.s.",
            "water  8 %",
            "sodium benzoate  0.5 %",
        ],
    );
    silent(&preserved, "no-chelator");
}
