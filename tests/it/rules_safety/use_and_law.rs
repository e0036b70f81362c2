use super::{findings, message, product, says, silent};
use phasewright::rules::Severity::{Error, Hint, Warning};

const P: &str = "phenoxyethanol (and) ethylhexylglycerin  0.9 %";

#[test]
fn an_empty_phase() {
    let text = |tail: &str| format!("formula \"T\"\nphase A\n  water  100 %\n\nphase B\n{tail}");
    says(&text(""), "empty-phase", Hint);
    silent(&text("  glycerin  0 %\n"), "empty-phase");
    // What could not be read may be its row; a comment is somebody's thought.
    silent(&text("  glycerin 5 5 5\n"), "empty-phase");
    silent(&text("  # fragrance, later\n"), "empty-phase");
    // The label comes again further down: the phase goes on there.
    silent(
        "formula \"T\"\nphase A\nphase B\n  water  50 %\nphase A\n  water  50 %\n",
        "empty-phase",
    );
}

#[test]
fn less_than_is_usual() {
    let gel = |rows: &[&str]| {
        let mut all = vec!["water  q.s.", P];
        all.extend(rows);
        product("product: face gel, leave-on; type: gel; pH: 5", &all)
    };
    says(&gel(&["xanthan gum  0.02 %"]), "below-usual-use", Hint);
    silent(&gel(&["xanthan gum  0.3 %"]), "below-usual-use");
    // Beside another at its level it only helps.
    silent(
        &gel(&["xanthan gum  0.02 %", "hydroxyethylcellulose  1 %"]),
        "below-usual-use",
    );
    // Of a humectant less is only less.
    silent(
        &gel(&["glycerin  0.1 %", "xanthan gum  0.3 %"]),
        "below-usual-use",
    );
    // The system's message speaks for the preservative.
    let weak = product(
        "product: face gel, leave-on; type: gel; pH: 5",
        &["water  q.s.", "phenoxyethanol  0.1 %"],
    );
    says(&weak, "preservative-too-low", Warning);
    silent(&weak, "below-usual-use");
}

#[test]
fn promises_that_make_a_medicine() {
    let cream = |claims: &str| {
        product(
            &format!("product: hand cream, leave-on; type: gel; pH: 5; claims: {claims}"),
            &["water  q.s.", P],
        )
    };
    says(&cream("against eczema"), "not-a-cosmetic", Warning);
    // Each promise is a cause of its own; one inside another is not.
    assert_eq!(
        findings(&cream("heals eczema, disinfects"))
            .iter()
            .filter(|f| f.code == "not-a-cosmetic")
            .count(),
        3
    );
    silent(&cream("softens dry hands"), "not-a-cosmetic");
    silent(&cream("not for eczema"), "not-a-cosmetic");
    // A word inside a word is another word.
    silent(&cream("for woundrous hands"), "not-a-cosmetic");
    // Sun protection is a cosmetic in the EU and a drug in the US.
    silent(&cream("SPF 30"), "not-a-cosmetic");
    says(
        &cream("SPF 30").replace("sold in: EU", "sold in: US"),
        "not-a-cosmetic",
        Warning,
    );
    assert!(
        message(
            &cream("SPF 30").replace("sold in: EU", "sold in: EU, US"),
            "not-a-cosmetic"
        )
        .contains("not a cosmetic claim in the US")
    );
    // An active outside the range of the drug that the claim makes.
    let acne = |percent: &str| {
        product(
            "product: face gel, leave-on; type: gel; pH: 3.8; claims: clears acne",
            &["water  q.s.", percent, P],
        )
        .replace("sold in: EU", "sold in: US")
    };
    assert_eq!(
        findings(&acne("salicylic acid  1 %"))
            .iter()
            .filter(|f| f.code == "not-a-cosmetic")
            .count(),
        1
    );
    assert_eq!(
        findings(&acne("salicylic acid  3 %"))
            .iter()
            .filter(|f| f.code == "not-a-cosmetic")
            .count(),
        2
    );
}

#[test]
fn a_substance_that_makes_a_medicine() {
    // Prohibited as well: said once, as that.
    let cream = product(
        "product: hand cream, leave-on; type: gel; pH: 5",
        &["water  q.s.", "hydrocortisone  1 %", P],
    );
    says(&cream, "banned", Error);
    silent(&cream, "not-a-cosmetic");
    let us = product(
        "product: face gel, leave-on; type: gel; pH: 5",
        &["water  q.s.", "benzoyl peroxide  5 %", P],
    )
    .replace("sold in: EU", "sold in: US");
    assert_eq!(
        findings(&us)
            .iter()
            .filter(|f| f.code == "not-a-cosmetic" && f.whole().contains("benzoyl peroxide"))
            .count(),
        1
    );
}

#[test]
fn a_ph_that_the_law_limits() {
    let gel = |ph: &str| {
        product(
            &format!("product: face gel, leave-on; type: gel; pH: {ph}"),
            &[
                "water  q.s.",
                &format!("sodium hydroxide  q.s. to pH {ph}"),
                P,
            ],
        )
    };
    silent(&gel("11"), "restricted-use");
    says(&gel("11.5"), "restricted-use", Error);
    let depilatory = |ph: &str| {
        product(
            &format!("product: depilatory, rinse-off; pH: {ph}"),
            &["water  q.s.", "calcium hydroxide  2 %", P],
        )
    };
    silent(&depilatory("12.5"), "restricted-use");
    says(&depilatory("12.8"), "restricted-use", Error);
    // Canada asks for pH 3.5 with hydroxy acids; what is said there is not said again.
    let acid = |ph: &str| {
        product(
            &format!("product: face gel, leave-on; type: gel; pH: {ph}"),
            &["water  q.s.", "glycolic acid  8 %", P],
        )
        .replace("sold in: EU", "sold in: Canada")
    };
    silent(&acid("3.6"), "restricted-use");
    assert_eq!(
        findings(&acid("3.2"))
            .iter()
            .filter(|f| f.code == "restricted-use")
            .count(),
        1
    );
    silent(&acid("3.2"), "acid-too-strong");
}

#[test]
fn colours_by_where_they_go() {
    // Annex IV: CI 10316 not near the eyes, CI 12085 up to 3 %, CI 10020 not on mucous membranes.
    let with = |fields: &str, row: &str| product(fields, &["castor oil  q.s.", row]);
    says(
        &with("product: eye shadow, leave-on; use: eye", "CI 10316  1 %"),
        "restricted-use",
        Error,
    );
    silent(
        &with("product: lipstick, leave-on; use: lip", "CI 10316  1 %"),
        "restricted-use",
    );
    says(
        &with("product: lipstick, leave-on; use: lip", "CI 10020  1 %"),
        "restricted-use",
        Error,
    );
    silent(
        &with("product: body oil, leave-on; use: body", "CI 10020  1 %"),
        "restricted-use",
    );
    silent(
        &with("product: lipstick, leave-on; use: lip", "CI 12085  3 %"),
        "restricted-use",
    );
    says(
        &with("product: lipstick, leave-on; use: lip", "CI 12085  3.1 %"),
        "restricted-use",
        Error,
    );
}
