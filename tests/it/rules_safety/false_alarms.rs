//! False alarms that were heard, each with the formula that must not draw it, its reason, and one beside it that must.

use super::{findings, product, says, silent};
use phasewright::rules::Severity::{Error, Hint, Warning};

const P: &str = "phenoxyethanol (and) ethylhexylglycerin  0.9 %";

/// It dries hard within days, and is used up in one bath: nothing about pH, preservative or chelator is worth a warning.
#[test]
fn a_bath_bomb_with_a_little_water() {
    let bomb = product(
        "product: bath bomb; type: powder",
        &[
            "sodium bicarbonate  q.s.",
            "citric acid  30 %",
            "corn starch  10 %",
            "sunflower oil  3 %",
            "water  3 %",
        ],
    );
    let loud: Vec<String> = findings(&bomb)
        .iter()
        .filter(|f| f.severity >= Warning)
        .map(|f| format!("{}: {}", f.code, f.whole()))
        .collect();
    assert!(loud.is_empty(), "{loud:?}");
    says(&bomb, "no-preservative", Hint);
}

/// A preservative holds it at the level of a preservative; what is avoided in pregnancy is the peel.
#[test]
fn salicylic_acid_inside_a_preservative() {
    let with = |row: &str| {
        product(
            "product: face gel, leave-on; pH: 4.0",
            &["water  q.s.", row],
        )
    };
    silent(
        &with("benzyl alcohol (and) salicylic acid (and) glycerin (and) sorbic acid  1 %"),
        "caution-pregnancy",
    );
    silent(
        &with("salicylic acid  0.3 %  as preservative"),
        "caution-pregnancy",
    );
    says(&with("salicylic acid  0.4 %"), "caution-pregnancy", Hint);
}

/// Aloe brings next to no salt and no charge: clay bears it.
#[test]
fn clay_and_aloe() {
    let mask = product(
        "product: face mask, rinse-off; type: suspension; pH: 5.0 to 5.5",
        &["water  q.s.", "bentonite  5 %", "aloe vera juice  30 %", P],
    );
    for code in ["incompatible", "charge-clash", "preservative-inactivated"] {
        silent(&mask, code);
    }
}

/// A paste of clay takes up a little oil; in thin water it floats.
#[test]
fn oil_in_a_paste_of_clay() {
    let mask = |clay: &str| {
        let clay = format!("kaolin  {clay} %");
        product(
            "product: face mask, rinse-off; pH: 5.0 to 5.5",
            &["water  q.s.", &clay, "lavender oil  0.3 %", P],
        )
    };
    silent(&mask("34"), "needs-solubilizer");
    says(&mask("5"), "needs-solubilizer", Warning);
}

/// Galen's cerate: wax, oil and water, stirred cold. As a cream of the other kind it parts.
#[test]
fn beeswax_alone_in_water_in_oil() {
    let cream = |kind: &str, wax: &str| {
        let wax = format!("beeswax  {wax} %");
        product(
            &format!("product: cold cream, leave-on; type: {kind}; keep: use at once"),
            &["almond oil  q.s.", &wax, "rose water  25 %"],
        )
    };
    silent(&cream("water-in-oil", "12"), "no-emulsifier");
    says(&cream("water-in-oil", "2"), "no-emulsifier", Error);
    says(&cream("oil-in-water", "12"), "no-emulsifier", Error);
}

/// In a solid bar nothing is dissolved that could fall out.
#[test]
fn both_charges_in_a_solid_bar() {
    let of = |fields: &str, rest: &str| {
        product(
            fields,
            &[
                "sodium cocoyl isethionate  50 %",
                "behentrimonium chloride  3 %",
                rest,
                "cetyl alcohol  q.s.",
            ],
        )
    };
    silent(
        &of("product: shampoo bar; type: bar", "water  5 %"),
        "charge-clash",
    );
    says(
        &of("product: shampoo; type: surfactant; pH: 5", "water  40 %"),
        "charge-clash",
        Warning,
    );
}

/// A bar holds too little water for Pseudomonas, against which a chelator helps.
#[test]
fn a_chelator_is_not_asked_of_a_bar() {
    let of = |fields: &str, water: &str| {
        let water = format!("water  {water} %");
        product(
            fields,
            &[
                "sodium cocoyl isethionate  60 %",
                &water,
                "phenoxyethanol  0.9 %",
                "cetyl alcohol  q.s.",
            ],
        )
    };
    silent(&of("product: shampoo bar; type: bar", "5"), "no-chelator");
    let gel = product(
        "product: face gel, leave-on; pH: 5",
        &[
            "water  q.s.",
            "xanthan gum  0.5 %",
            "benzyl alcohol (and) dehydroacetic acid  0.9 %",
        ],
    );
    says(&gel, "no-chelator", Hint);
}
