//! What takes light: whatever burns skin in the sun is held to its figure, or warned of where none is published.

use super::{KB, findings, product, says, silent};
use phasewright::kb::Kb;
use phasewright::kb::schema::Ingredient;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use std::path::{Path, PathBuf};

/// Codes that keep such a material off the skin, louder ones first.
const STOPS: [&str; 5] = [
    "banned",
    "restricted-use",
    "above-legal-limit",
    "family-above-limit",
    "phototoxic",
];

fn oil_with(stays: &str, row: &str) -> String {
    let kind = if stays == "leave-on" {
        "body oil"
    } else {
        "shower oil"
    };
    product(
        &format!("product: {kind}, {stays}; type: anhydrous"),
        &["caprylic/capric triglyceride  q.s.", row],
    )
}

fn stops(text: &str) -> bool {
    findings(text)
        .iter()
        .any(|f| STOPS.contains(&f.code) && f.severity >= Severity::Warning)
}

fn burns(one: &Ingredient) -> bool {
    one.cautions.iter().any(|c| c == "phototoxic")
}

/// Each material that is marked, on both sides: above its figure it is stopped and below it is not called phototoxic;
/// without a figure the smallest share is stopped. What is rinsed off is left alone.
#[test]
fn each_marked_material_has_its_two_sides() {
    let (mut with, mut without) = (0, 0);
    for one in KB.ids().map(|id| KB.get(id)).filter(|one| burns(one)) {
        let row = |n: Decimal| format!("{}  {} %", one.id, n.normalize());
        match one.phototoxic_max_percent.as_deref() {
            Some(max) => {
                with += 1;
                let max = max.value.decimal();
                let above = oil_with("leave-on", &row(max * Decimal::new(105, 2)));
                assert!(stops(&above), "in silence:\n{above}");
                silent(
                    &oil_with("leave-on", &row(max * Decimal::new(95, 2))),
                    "phototoxic",
                );
            }
            None => {
                without += 1;
                let some = oil_with("leave-on", &row(Decimal::new(1, 1)));
                assert!(stops(&some), "in silence:\n{some}");
            }
        }
        silent(
            &oil_with("rinse-off", &row(Decimal::new(1, 1))),
            "phototoxic",
        );
    }
    assert!(
        with >= 10 && without >= 20,
        "{with} with, {without} without"
    );
}

/// What holds furocoumarins is marked, with the exception of oils freed of them.
#[test]
fn what_holds_furocoumarins_is_marked() {
    let mut holding = 0;
    for one in KB.ids().map(|id| KB.get(id)) {
        let holds = one.constituents.iter().find(|c| c.of == "furocoumarins");
        let Some(high) = holds.map(|c| c.high.or(c.usual).or(c.low)) else {
            continue;
        };
        holding += 1;
        let freed = high.is_some_and(|h| h.decimal() <= Decimal::new(1, 3));
        assert!(burns(one) || freed, "{} is not marked", one.id);
    }
    assert!(holding >= 4, "{holding}");
}

/// Plants of which juice, peel, leaf or root burns skin in the sun.
const PLANTS: &[&str] = &[
    "lime",
    "limes",
    "lemon",
    "bergamot",
    "grapefruit",
    "fig",
    "ficus",
    "celery",
    "apium",
    "rue",
    "ruta",
    "angelica",
    "parsnip",
    "parsley",
    "petroselinum",
    "lovage",
    "levisticum",
    "tagetes",
    "cumin",
    "cuminum",
    "psoralea",
    "babchi",
    "bergamia",
    "limon",
    "aurantifolia",
];

/// What is named after them and does not burn, by the reason.
const HARMLESS: &[(&str, &[&str])] = &[
    (
        "distilled: furocoumarins do not go over with steam",
        &[
            "lime-oil-distilled",
            "lemon-oil-distilled",
            "celery-seed-oil",
            "parsley-seed-oil",
        ],
    ),
    ("freed of furocoumarins", &["bergamot-oil-bergapten-free"]),
    (
        "oil of the leaf, not of the peel",
        &[
            "lemon-leaf-oil",
            "lime-leaf-petitgrain",
            "kaffir-lime-leaf-oil",
        ],
    ),
    (
        "a water of distillation",
        &["lemon-water", "lemon-verbena-water", "lemongrass-water"],
    ),
    (
        "another plant that smells of it or is named like it",
        &[
            "bergamot-mint-oil",
            "black-cumin-oil",
            "black-cumin-co2-extract",
            "dried-lemon-balm",
            "lemon-balm-extract",
            "lemon-balm-infused-oil",
            "lemon-eucalyptus-oil",
            "lemongrass-oil",
            "lemon-myrtle-oil",
            "lemon-tea-tree-oil",
            "dried-linden-flowers",
            "linden-extract",
            "linden-water",
            "melissa-oil",
            "melissa-water",
            "prickly-pear-extract",
            "prickly-pear-seed-oil",
            "verbena-absolute",
        ],
    ),
    (
        "the seed without the peel, or a thin extract of the fruit",
        &["grapefruit-seed-extract", "lemon-fruit-extract"],
    ),
    (
        "mineral: slaked lime and what is made of it",
        &[
            "calcium-chloride",
            "calcium-hydroxide",
            "calcium-hydroxide-solution",
            "calcium-oxide",
            "soda-lime",
        ],
    ),
    (
        "one pure substance out of it",
        &["bakuchiol", "citric-acid", "nootkatone"],
    ),
    ("held by its part, the expressed oil", &["lemon-extract"]),
];

#[test]
fn no_juice_peel_or_oil_of_such_a_plant_is_forgotten() {
    let named = |one: &Ingredient| {
        let all = one
            .names
            .iter()
            .chain(&one.inci)
            .chain(&one.ambiguous_names);
        all.flat_map(|n| n.split(|c: char| !c.is_alphanumeric()))
            .any(|w| PLANTS.contains(&w.to_lowercase().as_str()))
    };
    let (mut marked, mut forgotten) = (0, Vec::new());
    for one in KB.ids().map(|id| KB.get(id)).filter(|one| named(one)) {
        let harmless = HARMLESS
            .iter()
            .any(|(_, ids)| ids.contains(&one.id.as_str()));
        assert!(!(harmless && burns(one)), "{} is marked", one.id);
        if burns(one) {
            marked += 1;
        } else if !harmless {
            forgotten.push(one.id.to_string());
        }
    }
    assert!(
        forgotten.is_empty(),
        "neither marked nor excused: {forgotten:?}"
    );
    assert!(marked >= 25, "{marked}");
}

/// Kitchen extract of lemon is 5 % expressed oil in alcohol, of which skin bears 2 %.
#[test]
fn what_takes_light_is_found_inside_a_mixture() {
    let splash = |percent: &str| {
        product(
            "product: body spray, leave-on; type: solution",
            &["alcohol  q.s.", &format!("pure lemon extract  {percent} %")],
        )
    };
    assert!(stops(&splash("45")));
    silent(&splash("35"), "phototoxic");
}

/// A mask with juice is rinsed off after a quarter of an hour: it is told of, and so is oil above its figure.
#[test]
fn a_mask_that_is_rinsed_off_is_told_of() {
    let of = |kind: &str, row: &str| {
        product(
            &format!("product: {kind}, rinse-off; keep: use at once"),
            &["water  q.s.", "kaolin  30 %", row],
        )
    };
    for row in [
        "lime juice  5 %",
        "lemon peel powder  5 %",
        "bergamot oil  0.5 %",
    ] {
        says(&of("face mask", row), "caution-sun", Severity::Hint);
        silent(&of("face mask", row), "phototoxic");
    }
    silent(&of("face mask", "bergamot oil  0.3 %"), "caution-sun");
    silent(&of("shampoo", "lime juice  5 %"), "caution-sun");
}

/// An oil of the maker's own, of which nothing is said but what it holds.
#[test]
fn an_own_oil_that_holds_furocoumarins_is_warned_of() {
    let said = |usual: &str| {
        let own = format!(
            "id = \"peel-oil\"\nnames = [\"peel oil\"]\nroles = [\"essential-oil\"]\nphase = [\"oil\"]\nconstituents = [{{ of = \"furocoumarins\", usual = {usual}, high = 0.1, source = \"practice\" }}]\n"
        );
        let (kb, faults) =
            Kb::with_user_entries(&[(PathBuf::from("ingredients/peel-oil.toml"), own)]);
        assert!(faults.is_empty(), "{faults:?}");
        let settings = Settings::on("2026-11-01".parse().expect("a day"));
        let text = oil_with("leave-on", "peel oil  0.5 %");
        let tree = parse(FileKind::Formula, &text);
        let judged = analyze(tree, Path::new("own.formula"), &kb, &settings, &NoFiles);
        judged.findings().iter().any(|f| f.code == "phototoxic")
    };
    assert!(said("0.05"));
    assert!(!said("0"), "freed of them as a rule");
}
