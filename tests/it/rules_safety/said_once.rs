//! Warnings that were once said of sound formulas, and what stands next to those and is not sound.

use super::*;
use phasewright::rules::Severity::{Error, Hint, Warning};

const P: &str = "phenoxyethanol (and) ethylhexylglycerin  1 %";

/// A stick is poured before its wax sets; what is volatile goes in just above that.
#[test]
fn scent_in_what_is_poured_hot() {
    let balm = |wax: &str, heat: &str| {
        product(
            "product: lip balm, leave-on; type: anhydrous",
            &[
                &format!("beeswax  {wax}"),
                "castor oil  q.s.",
                "peppermint essential oil  0.2 %",
            ],
        )
        .replace("phase A", &format!("phase A at {heat} °C"))
    };
    let code = "heat-sensitive";
    says(&balm("22 %", "64"), code, Hint);
    says(&balm("22 %", "71"), code, Warning);
    // With little wax it need not be poured hot.
    says(&balm("5 %", "64"), code, Warning);
}

/// Minutes in a hot phase do an ordinary oil no harm.
#[test]
fn ordinary_oils_at_eighty() {
    let balm = |oil: &str, heat: &str| {
        product(
            "product: body balm, leave-on; type: anhydrous",
            &[&format!("{oil}  30 %"), "beeswax  10 %", "squalane  q.s."],
        )
        .replace("phase A", &format!("phase A at {heat} °C"))
    };
    for oil in ["argan oil", "sunflower oil"] {
        silent(&balm(oil, "80"), "heat-sensitive");
        says(&balm(oil, "95"), "heat-sensitive", Warning);
    }
}

/// What dissolves oil needs no solubilizer: much alcohol or acetone; a third of alcohol takes a little.
#[test]
fn oil_in_spirits() {
    let of = |fields: &str, rows: &[&str]| product(&format!("{fields}; type: solution"), rows);
    let code = "needs-solubilizer";
    let remover = "product: nail polish remover, rinse-off";
    silent(
        &of(remover, &["acetone  95 %", "isopropyl myristate  5 %"]),
        code,
    );
    let tonic = |alcohol: &str, oil: &str| {
        of(
            "product: face toner, leave-on; pH: 5",
            &["water  q.s.", alcohol, &format!("bisabolol  {oil}"), P],
        )
    };
    says(&tonic("ethanol 96 %  40 %", "0.1 %"), code, Hint);
    says(&tonic("ethanol 96 %  40 %", "0.2 %"), code, Warning);
    says(&tonic("ethanol 96 %  20 %", "0.1 %"), code, Warning);
    silent(&tonic("ethanol 96 %  70 %", "0.3 %"), code);
}

/// Peroxide keeps itself.
#[test]
fn developer_and_peroxide() {
    let developer = |peroxide: &str| {
        product(
            "product: hair dye developer, rinse-off; type: oil-in-water; pH: 3.2 to 3.6",
            &[
                "water  q.s.",
                "cetearyl alcohol  3 %",
                "ceteareth-20  1 %",
                &format!("hydrogen peroxide 35 %  {peroxide}"),
            ],
        )
    };
    says(&developer("17 %"), "no-preservative", Hint);
    says(&developer("5 %"), "no-preservative", Error);
    silent(&developer("17 %"), "unknown-value");
}

/// Ethers bear lye, and xanthan thins in it only slowly.
#[test]
fn what_bears_lye() {
    let cream = |ph: &str| {
        product(
            &format!("product: depilatory, rinse-off; type: oil-in-water; pH: {ph}"),
            &["water  q.s.", "mineral oil  6 %", "ceteareth-20  3 %"],
        )
    };
    silent(&cream("12.0 to 12.5"), "ph-unstable");
    let remover = |ph: &str| {
        product(
            &format!("product: cuticle remover, rinse-off; type: gel; pH: {ph}"),
            &[
                "water  q.s.",
                "potassium hydroxide  2 %",
                "xanthan gum  0.8 %",
            ],
        )
    };
    says(&remover("13.0 to 13.5"), "thickener-ph", Hint);
    silent(&remover("13.0 to 13.5"), "ph-unstable");
    silent(&remover("11.5 to 12.0"), "thickener-ph");
}

/// Panthenol may be made up from pH 3 to 7, and asks for no pH where spirit protects.
#[test]
fn panthenol_and_ph() {
    let serum = |ph: &str| {
        product(
            &format!("product: face serum, leave-on; type: solution; pH: {ph}"),
            &["water  q.s.", "panthenol  0.5 %", "disodium EDTA  0.1 %", P],
        )
    };
    silent(&serum("3.0 to 3.4"), "ph-unstable");
    says(&serum("2.3"), "ph-unstable", Warning);
    let spray = product(
        "product: hair spray, leave-on; type: solution",
        &["water  q.s.", "denatured alcohol  50 %", "panthenol  0.5 %"],
    );
    silent(&spray, "ph-missing");
}

/// A chelator works over a wide range: a fifth more or less of it is a hint; of a preservative it is not.
#[test]
fn a_little_chelator_on_a_coarse_scale() {
    let gel = |row: &str| {
        product(
            "product: face gel, leave-on; type: gel; batch: 60 g; pH: 5.5",
            &["water  q.s.", row],
        )
    };
    says(&gel("disodium EDTA  0.1 %"), "below-scale", Hint);
    says(&gel("methylparaben  0.1 %"), "below-scale", Warning);
    says(&gel("tocopherol  0.1 %"), "below-scale", Warning);
}

/// Advice is no promise.
#[test]
fn advice_to_use_sun_protection() {
    let toner = |claims: &str| {
        product(
            &format!("product: face toner, leave-on; pH: 3.8; claims: {claims}"),
            &["water  q.s.", P],
        )
        .replace("sold in: EU", "sold in: US")
    };
    let code = "not-a-cosmetic";
    silent(&toner("use sun protection"), code);
    silent(&toner("wear sunscreen by day"), code);
    says(&toner("sun protection all day"), code, Warning);
    says(&toner("moisturizes with sunscreen"), code, Warning);
}

/// Words that makers write for kinds of product, and places.
#[test]
fn kinds_of_product_as_makers_write_them() {
    for kind in [
        "body balm",
        "face peel",
        "scalp cream",
        "hair pomade",
        "leave-in hair conditioner",
        "hair styling cream",
        "hair dye developer",
        "eyelash and eyebrow dye",
        "hair waving lotion",
    ] {
        silent(&product(&format!("product: {kind}"), &[P]), "unknown-value");
    }
    silent(
        &product("product: foot cream, leave-on; use: foot", &[P]),
        "unknown-value",
    );
    says(
        &product("product: foot cream, leave-on; use: feet of clay", &[P]),
        "unknown-value",
        Warning,
    );
}

/// A premix that is warmed while the batch waits: what comes next goes into the batch.
#[test]
fn a_premix_made_ready_beside_the_batch() {
    let cream = |last: &str| {
        format!(
            "formula \"x\"\n  product: body lotion, leave-on\n  type: oil-in-water\n\nphase A \"water\" at 75 °C\n  water  q.s.\n\nphase B \"oil\" at 75 °C\n  squalane  8 %\n  glyceryl stearate (and) PEG-100 stearate  5 %\n\npremix C1 at 60 °C, into C\n  propanediol  12 %\n  allantoin  0.2 %\n\nphase C \"cool-down\" below 40 °C\n  {P}\n\nmethod\n  heat A and B to 75 °C\n  pour B into A, homogenize 3 min\n  warm C1 to 60 °C, stir until clear\n  cool to 38 °C, stirring\n{last}  fill\n"
        )
    };
    silent(&cream("  add C\n"), "never-added");
    // Without its phase the premix stays on the bench too.
    assert_eq!(levels(&cream(""), "never-added"), [Error, Error]);
}

/// What is sold thinned in water may be named with that strength.
#[test]
fn a_mixture_named_by_the_strength_that_it_is_sold_at() {
    let cream = |name: &str, kind: &str| {
        product(
            &format!("product: {kind}; pH: 5.0 to 5.5"),
            &["water  q.s.", &format!("{name}  0.1 %")],
        )
    };
    let sold = "methylchloroisothiazolinone (and) methylisothiazolinone 1.5 % solution";
    silent(&cream(sold, "shampoo, rinse-off"), "ambiguous-name");
    silent(&cream(sold, "shampoo, rinse-off"), "restricted-use");
    assert_eq!(
        levels(
            &cream(sold, "hair styling cream, leave-on"),
            "restricted-use"
        ),
        [Error, Error]
    );
    // Of which part is the half?
    says(
        &cream(
            "benzyl alcohol (and) dehydroacetic acid 50 % solution",
            "shampoo, rinse-off",
        ),
        "ambiguous-name",
        Warning,
    );
}
