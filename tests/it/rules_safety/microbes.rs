use super::{levels, message, product, says, silent};
use phasewright::rules::Severity::{Error, Hint, Information, Warning};

const GEL: &str = "product: face gel, leave-on; type: gel; pH: 4.8 to 5.0";

fn gel(rows: &[&str]) -> String {
    let mut all = vec!["water  q.s.", "xanthan gum  0.5 %"];
    all.extend(rows);
    product(GEL, &all)
}

#[test]
fn water_needs_a_preservative_unless_something_else_protects() {
    says(&gel(&[]), "no-preservative", Error);
    says(&gel(&["caprylyl glycol  0.5 %"]), "no-preservative", Error);
    silent(
        &gel(&["phenoxyethanol (and) ethylhexylglycerin  0.9 %"]),
        "no-preservative",
    );
    // Alcohol: 15 % at pH 5 or below, by weight of pure alcohol.
    says(&gel(&["ethanol  14.9 %"]), "no-preservative", Error);
    says(&gel(&["ethanol  15 %"]), "no-preservative", Hint);
    let neutral = |alcohol: &str| {
        product(
            "product: face gel, leave-on; pH: 6.5",
            &["water  q.s.", alcohol],
        )
    };
    says(&neutral("ethanol  17.9 %"), "no-preservative", Error);
    says(&neutral("ethanol  18 %"), "no-preservative", Hint);
    // Propylene glycol: 20 % of water and glycol.
    says(
        &product(GEL, &["water  80.5 %", "propylene glycol  19.5 %"]),
        "no-preservative",
        Error,
    );
    says(
        &product(GEL, &["water  80 %", "propylene glycol  20 %"]),
        "no-preservative",
        Hint,
    );
    // pH 3 and 10.
    let at = |ph: &str| {
        product(
            &format!("product: toner, leave-on; pH: {ph}"),
            &["water  q.s.", "niacinamide  1 %"],
        )
    };
    says(&at("3.0"), "no-preservative", Hint);
    says(&at("3.1"), "no-preservative", Error);
    says(&at("9.9"), "no-preservative", Error);
    says(&at("10"), "no-preservative", Hint);
    says(
        &product(
            "product: mask, rinse-off; keep: use at once",
            &["water  90 %", "kaolin  10 %"],
        ),
        "no-preservative",
        Information,
    );
    silent(
        &product(
            "product: balm, leave-on; type: anhydrous",
            &["shea butter  50 %", "sunflower oil  50 %"],
        ),
        "no-preservative",
    );
}

#[test]
fn bound_water_protects_and_the_old_rule_of_glycerin_does_not() {
    let syrup = |glycerin: &str, water: &str| {
        product(
            "product: face gel, leave-on; pH: 5.5",
            &[&format!("glycerin  {glycerin}"), &format!("water  {water}")],
        )
    };
    // Norrish, K 1.16: 60 % glycerol has a water activity of 0.73, 55 % of 0.78.
    says(&syrup("60 %", "40 %"), "no-preservative", Hint);
    assert!(
        message(&syrup("60 %", "40 %"), "no-preservative").contains("water activity about 0.7")
    );
    says(&syrup("55 %", "45 %"), "no-preservative", Warning);
    says(&syrup("30 %", "70 %"), "no-preservative", Warning);
    assert!(message(&syrup("30 %", "70 %"), "no-preservative").contains("old rule"));
    says(&syrup("29.9 %", "70.1 %"), "no-preservative", Error);
    // 70 % sorbitol lies beyond the method: below 0.85 is all that can be said.
    let beyond = product(
        "product: face gel, leave-on; pH: 5",
        &["sorbitol 70 %  100 %"],
    );
    says(&beyond, "no-preservative", Warning);
    assert!(message(&beyond, "no-preservative").contains("below 0.85"));
}

#[test]
fn a_preservative_beside_what_protects_only_helps() {
    let lotion = |glycol: &str| {
        product(
            "product: hand cream, leave-on; pH: 5.5",
            &["water  q.s.", glycol, "methylparaben  0.03 %"],
        )
    };
    says(
        &lotion("propylene glycol  10 %"),
        "preservative-too-low",
        Warning,
    );
    silent(&lotion("propylene glycol  25 %"), "preservative-too-low");
    silent(&lotion("propylene glycol  25 %"), "below-usual-use");
}

#[test]
fn wet_hands_carry_water_into_what_has_none() {
    let scrub = |more: &str| {
        product(
            "product: sugar scrub, rinse-off; type: anhydrous",
            &["sucrose  60 %", "sunflower oil  39.1 %", more],
        )
    };
    says(&scrub("shea butter  0.9 %"), "no-preservative", Warning);
    silent(
        &scrub("phenoxyethanol (and) ethylhexylglycerin  0.9 %"),
        "no-preservative",
    );
    silent(
        &product(
            "product: shower oil, rinse-off; type: anhydrous",
            &["sunflower oil  80 %", "castor oil  20 %"],
        ),
        "no-preservative",
    );
    says(
        &product(
            "product: shampoo bar, rinse-off; type: bar",
            &["sodium cocoyl isethionate  70 %", "cetyl alcohol  30 %"],
        ),
        "no-preservative",
        Hint,
    );
    silent(
        &product("product: body oil, leave-on", &["sunflower oil  100 %"]),
        "no-preservative",
    );
}

#[test]
fn what_is_no_preservative() {
    // Alone: one cause, one message, and it names the mistake.
    let alone = gel(&["tocopherol  0.5 %"]);
    says(&alone, "no-preservative", Error);
    silent(&alone, "not-a-preservative");
    assert!(message(&alone, "no-preservative").contains("tocopherol slows rancidity"));
    let beside = |row: &str| gel(&["phenoxyethanol (and) ethylhexylglycerin  0.9 %", row]);
    silent(&beside("tocopherol  0.04 %"), "not-a-preservative");
    says(
        &beside("tocopherol  0.04 %  as preservative"),
        "not-a-preservative",
        Warning,
    );
    silent(
        &gel(&["phenoxyethanol  0.9 %  as preservative"]),
        "not-a-preservative",
    );
    // Made for the day, nothing has to protect it.
    silent(
        &product(
            "product: mask, rinse-off; keep: use at once",
            &["water  90 %", "honey  10 %"],
        ),
        "not-a-preservative",
    );
    // The maker excepted the other message: this one then stands.
    let excepted = alone.replace(
        "formula \"Test\"",
        "formula \"Test\"  # except no-preservative: kept cold",
    );
    says(&excepted, "not-a-preservative", Warning);
}

#[test]
fn fresh_food_in_water() {
    says(
        &gel(&[
            "cucumber juice  10 %",
            "phenoxyethanol (and) ethylhexylglycerin  0.9 %",
        ]),
        "kitchen-ingredient",
        Warning,
    );
    says(
        &gel(&[
            "cocoa powder  2 %",
            "phenoxyethanol (and) ethylhexylglycerin  0.9 %",
        ]),
        "kitchen-ingredient",
        Hint,
    );
    silent(
        &gel(&[
            "cucumber water  10 %",
            "phenoxyethanol (and) ethylhexylglycerin  0.9 %",
        ]),
        "kitchen-ingredient",
    );
    silent(
        &product(
            "product: mask, rinse-off; keep: use at once",
            &["water  50 %", "milk  50 %"],
        ),
        "kitchen-ingredient",
    );
    // Milk is water as far as microbes care.
    says(
        &product("product: mask, rinse-off", &["milk  90 %", "kaolin  10 %"]),
        "no-preservative",
        Error,
    );
    silent(
        &product(
            "product: body scrub, rinse-off; type: anhydrous",
            &["oats  30 %", "sunflower oil  70 %"],
        ),
        "kitchen-ingredient",
    );
}

#[test]
fn reach_of_the_whole_system() {
    says(
        &gel(&["iodopropynyl butylcarbamate  0.01 %"]),
        "spectrum-gap",
        Warning,
    );
    silent(
        &gel(&[
            "iodopropynyl butylcarbamate  0.01 %",
            "phenoxyethanol  0.9 %",
            "disodium EDTA  0.1 %",
        ]),
        "spectrum-gap",
    );
    // Weak on yeast and mould: a hint; a booster beside it helps.
    says(
        &gel(&["phenoxyethanol  0.9 %", "disodium EDTA  0.1 %"]),
        "spectrum-gap",
        Hint,
    );
    silent(
        &gel(&["phenoxyethanol  0.9 %", "caprylyl glycol  0.5 %"]),
        "spectrum-gap",
    );
    // A blend has the reach of the blend.
    silent(
        &gel(&["phenoxyethanol (and) ethylhexylglycerin  0.9 %"]),
        "spectrum-gap",
    );
    // Asleep at this pH: that is the cause, and said once.
    let asleep = product(
        "product: face gel, leave-on; pH: 7",
        &["water  q.s.", "sodium benzoate  0.5 %"],
    );
    says(&asleep, "preservative-ph", Error);
    silent(&asleep, "spectrum-gap");
    // Something unknown may be what covers the gap.
    silent(
        &gel(&["iodopropynyl butylcarbamate  0.01 %", "mystery blend  1 %"]),
        "spectrum-gap",
    );
}

#[test]
fn chelator_where_gram_negatives_are_not_held_strongly() {
    says(
        &gel(&["sodium benzoate  0.5 %", "potassium sorbate  0.3 %"]),
        "no-chelator",
        Hint,
    );
    silent(
        &gel(&[
            "sodium benzoate  0.5 %",
            "potassium sorbate  0.3 %",
            "disodium EDTA  0.1 %",
        ]),
        "no-chelator",
    );
    silent(
        &gel(&[
            "sodium benzoate  0.5 %",
            "potassium sorbate  0.3 %",
            "sodium phytate  0.1 %",
        ]),
        "no-chelator",
    );
    silent(&gel(&["phenoxyethanol  0.9 %"]), "no-chelator");
}

#[test]
fn pairs_that_make_what_nobody_put_in() {
    let serum =
        |c: &str, p: &str| product("product: serum, leave-on; pH: 3.5", &["water  q.s.", c, p]);
    says(
        &serum("ascorbic acid  10 %", "sodium benzoate  0.5 %"),
        "benzene-risk",
        Information,
    );
    says(
        &serum("sodium ascorbate  10 %", "benzoic acid  0.2 %"),
        "benzene-risk",
        Information,
    );
    silent(
        &serum("ascorbic acid  10 %", "benzyl alcohol  0.9 %"),
        "benzene-risk",
    );
    silent(
        &serum("ascorbyl glucoside  2 %", "sodium benzoate  0.5 %"),
        "benzene-risk",
    );
    let lotion = |amine: &str, p: &str| {
        product(
            "product: face gel, leave-on; pH: 6",
            &["water  q.s.", "carbomer  0.3 %", amine, p],
        )
    };
    assert_eq!(
        levels(
            &lotion("triethanolamine  0.3 %", "bronopol  0.05 %"),
            "nitrosamine-risk"
        ),
        [Warning]
    );
    silent(
        &lotion("arginine  0.5 %", "bronopol  0.05 %"),
        "nitrosamine-risk",
    );
    silent(
        &lotion("triethanolamine  0.3 %", "phenoxyethanol  0.9 %"),
        "nitrosamine-risk",
    );
}

fn cream(oil: &str, rows: &[&str]) -> String {
    let mut all = vec![
        "water  q.s.",
        oil,
        "glyceryl stearate citrate  3 %",
        "disodium EDTA  0.1 %",
    ];
    all.extend(rows);
    product(
        "product: hand cream, leave-on; type: oil-in-water; pH: 5",
        &all,
    )
}

#[test]
fn free_in_the_water_or_drawn_into_the_oil() {
    // Propylparaben, soya oil K = 80: a twentieth stays; mineral oil K = 0.5: nearly all of it.
    says(
        &cream("soybean oil  20 %", &["propylparaben  0.1 %"]),
        "preservative-inactivated",
        Warning,
    );
    silent(
        &cream("mineral oil  20 %", &["propylparaben  0.1 %"]),
        "preservative-inactivated",
    );
    // A partner that stays in the water carries the cream.
    says(
        &cream(
            "soybean oil  20 %",
            &["propylparaben  0.1 %", "potassium sorbate  0.3 %"],
        ),
        "preservative-inactivated",
        Hint,
    );
    // No effective level known: against the usual one.
    says(
        &cream("olive oil  20 %", &["p-chloro-m-cresol  0.1 %"]),
        "preservative-inactivated",
        Warning,
    );
    says(
        &cream("olive oil  2 %", &["p-chloro-m-cresol  0.1 %"]),
        "preservative-inactivated",
        Hint,
    );
    silent(
        &cream("olive oil  0.5 %", &["p-chloro-m-cresol  0.1 %"]),
        "preservative-inactivated",
    );
    silent(
        &cream("olive oil  20 %", &["ethylhexylglycerin  0.3 %"]),
        "preservative-inactivated",
    );
    // Phenoxyethanol stays.
    silent(
        &cream("soybean oil  20 %", &["phenoxyethanol  0.9 %"]),
        "preservative-inactivated",
    );
    // Too little to begin with has a message of its own.
    silent(
        &cream("soybean oil  20 %", &["propylparaben  0.01 %"]),
        "preservative-inactivated",
    );
    says(
        &cream("soybean oil  20 %", &["propylparaben  0.01 %"]),
        "preservative-too-low",
        Warning,
    );
    let said = message(
        &cream("soybean oil  20 %", &["propylparaben  0.1 %"]),
        "preservative-inactivated",
    );
    assert!(
        said.contains("an estimate, good to a factor of two")
            && said.contains("20 % oil draws it in"),
        "{said}"
    );
}

#[test]
fn bound_by_nonionics() {
    // The binding constants are remembered figures: no louder than a hint.
    let toner = |poly: &str| {
        product(
            "product: toner, leave-on; type: solution; pH: 5",
            &["water  q.s.", "propylparaben  0.05 %", poly],
        )
    };
    says(
        &toner("polysorbate 80  5 %"),
        "preservative-inactivated",
        Hint,
    );
    silent(&toner("glycerin  5 %"), "preservative-inactivated");
}
