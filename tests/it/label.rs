//! What must stand on the label, and in which order: worked by hand from the law's own text and from the knowledge base.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use phasewright::chem::date::Date;
use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::NoFiles;
use phasewright::papers::label::allergens::Declared;
use phasewright::papers::label::order::Place;
use phasewright::papers::label::{Label, LabelOptions, MarketLabel, label};
use phasewright::papers::{CannotRender, FormulaContext, Paper};
use phasewright::rules::analyze;
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

const TODAY: &str = "2026-11-25";

fn try_label(text: &str, today: &str, kb: &Kb, wish: &LabelOptions) -> Result<Label, CannotRender> {
    let settings = Settings::on(today.parse().expect("a day"));
    let path = Path::new("test.formula");
    let tree = parse(FileKind::Formula, text);
    let judged = analyze(tree, path, kb, &settings, &NoFiles);
    label(&FormulaContext::of(&judged), wish)
}

/// The label of a formula with these fields and rows.
fn labelled(fields: &str, rows: &str) -> Label {
    on(TODAY, fields, rows)
}

fn on(today: &str, fields: &str, rows: &str) -> Label {
    let text = format!("formula \"Test\"\n{fields}\n\nphase A\n{rows}");
    try_label(&text, today, &Kb::bundled(), &LabelOptions::default()).expect("a label")
}

fn market<'a>(l: &'a Label, name: &str) -> &'a MarketLabel {
    l.labels
        .iter()
        .find(|m| m.market.code() == name)
        .unwrap_or_else(|| panic!("no label for {name}"))
}

fn shares(l: &MarketLabel) -> Vec<(String, String)> {
    l.ingredient_details
        .iter()
        .map(|i| {
            (
                i.name.clone(),
                i.percent.map_or_else(String::new, |p| p.to_string()),
            )
        })
        .collect()
}

fn declared(l: &MarketLabel) -> Vec<(&str, Declared)> {
    l.allergens
        .iter()
        .map(|a| (a.name.as_str(), a.declared))
        .collect()
}

fn noted(l: &MarketLabel, words: &str) -> bool {
    l.notes.iter().any(|n| n.contains(words))
}

// Order

#[test]
fn weights_through_blends_solutions_and_repeated_rows() {
    let l = labelled(
        "  product: body lotion, leave-on\n  sold in: EU",
        "  water  q.s.\n  glycerin  3 %\n  lactic acid 80 %  2 %\n  benzyl alcohol (and) dehydroacetic acid  1 %\n  sunflower oil  10 %\n  cetearyl alcohol  2 %\n  glycerin  1 %\n",
    );
    // By hand: water 100 - 3 - 2 - 1 - 10 - 2 - 1 = 81, + 20 % of 2 (the acid's water) + 5 % of 1 (the blend's) = 81.45;
    // lactic acid 80 % of 2 = 1.6; benzyl alcohol 87 % of 1; dehydroacetic acid 8 % of 1; glycerin 3 + 1.
    let expected = [
        ("Aqua", "81.45"),
        ("Helianthus Annuus Seed Oil", "10"),
        ("Glycerin", "4"),
        ("Cetearyl Alcohol", "2"),
        ("Lactic Acid", "1.6"),
        ("Benzyl Alcohol", "0.87"),
        ("Dehydroacetic Acid", "0.08"),
    ];
    let expected: Vec<(String, String)> = expected
        .iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect();
    assert_eq!(shares(market(&l, "EU")), expected);
}

#[test]
fn a_pharmacopoeia_ointment_in_order() {
    // USP 29, Hydrophilic Ointment, in grams: 1000.40 together. Sodium lauryl sulfate 10 / 1000.4 = 0.9996 %, so below 1 %.
    // Petrolatum and stearyl alcohol weigh the same and stand by name.
    let text = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/published/hydrophilic-ointment.formula"),
    )
    .expect("the formula is there");
    let l = try_label(&text, TODAY, &Kb::bundled(), &LabelOptions::default()).expect("a label");
    let eu = market(&l, "EU");
    assert_eq!(
        eu.ingredients,
        [
            "Aqua",
            "Petrolatum",
            "Stearyl Alcohol",
            "Propylene Glycol",
            "Sodium Lauryl Sulfate",
            "Methylparaben",
            "Propylparaben"
        ]
    );
    let free: Vec<&str> = eu
        .ingredient_details
        .iter()
        .filter(|i| i.place == Place::AnyOrder)
        .map(|i| i.name.as_str())
        .collect();
    assert_eq!(
        free,
        ["Sodium Lauryl Sulfate", "Methylparaben", "Propylparaben"]
    );
}

#[test]
fn exactly_one_percent_is_free_in_america_and_not_in_europe() {
    // Regulation (EC) No 1223/2009, Article 19(1)(g): less than 1 %. 21 CFR 701.3(f) and Canada, s. 21.4(2): 1 % or less.
    let l = labelled(
        "  product: face cream, leave-on",
        "  water  q.s.\n  panthenol  1 %\n  glycerin  0.99 %\n",
    );
    for (name, place) in [
        ("EU", Place::ByWeight),
        ("UK", Place::ByWeight),
        ("US", Place::AnyOrder),
        ("CA", Place::AnyOrder),
    ] {
        let details = &market(&l, name).ingredient_details;
        assert_eq!(
            details
                .iter()
                .find(|i| i.name == "Panthenol")
                .map(|i| i.place),
            Some(place),
            "{name}"
        );
        assert_eq!(
            details
                .iter()
                .find(|i| i.name == "Glycerin")
                .map(|i| i.place),
            Some(Place::AnyOrder),
            "{name}"
        );
    }
}

#[test]
fn colourants_stand_at_the_end_whatever_their_weight() {
    let l = labelled(
        "  product: foundation, leave-on",
        "  titanium dioxide  20 %  as colourant\n  red iron oxide  12 %\n  mica  5 %\n  caprylic/capric triglyceride  q.s.\n  tocopherol  0.2 %\n",
    );
    assert_eq!(
        market(&l, "EU").ingredients,
        [
            "Caprylic/Capric Triglyceride",
            "Mica",
            "Tocopherol",
            "CI 77891",
            "CI 77491"
        ]
    );
    // The American listings: 21 CFR 73.2575 (titanium dioxide), 73.2250 (iron oxides).
    assert_eq!(
        market(&l, "US").ingredients,
        [
            "Caprylic/Capric Triglyceride",
            "Mica",
            "Tocopherol",
            "Titanium Dioxide",
            "Iron Oxides (CI 77491)"
        ]
    );
    assert!(
        noted(market(&l, "EU"), "mica: if it is there for its colour"),
        "{:?}",
        market(&l, "EU").notes
    );
    // A sun filter is none.
    let l = labelled(
        "  product: sun lotion, leave-on\n  sold in: EU",
        "  water  q.s.\n  titanium dioxide  5 %\n  glycerin  3 %\n",
    );
    assert_eq!(
        market(&l, "EU").ingredients,
        ["Aqua", "Titanium Dioxide", "Glycerin"]
    );
}

#[test]
fn as_much_as_it_takes_stands_among_the_smallest() {
    let rows =
        "  water  q.s.\n  glycerin  3 %\n  xanthan gum  0.3 %\n  citric acid  q.s. to pH 5.2\n";
    let l = labelled("  product: gel, leave-on\n  sold in: EU", rows);
    let eu = market(&l, "EU");
    assert_eq!(
        eu.ingredients,
        ["Aqua", "Glycerin", "Xanthan Gum", "Citric Acid"]
    );
    assert_eq!(eu.ingredient_details[3].percent, None);
    assert!(
        noted(eu, "line 9: how much of Citric Acid it takes is not known"),
        "{:?}",
        eu.notes
    );
    // With an estimate it has its place.
    let l = labelled(
        "  product: gel, leave-on\n  sold in: EU",
        &rows.replace("pH 5.2", "pH 5.2, about 0.5 %"),
    );
    assert_eq!(
        market(&l, "EU").ingredients,
        ["Aqua", "Glycerin", "Citric Acid", "Xanthan Gum"]
    );
}

#[test]
fn nothing_is_dropped_in_silence() {
    let l = labelled(
        "  product: face cream, leave-on\n  sold in: EU",
        "  water  q.s.\n  oat milk  3 %\n  my secret powder  2 %\n  phenoxyethanol (and) caprylyl glycol (and) hexylene glycol  1 %\n  glycerin  2.5 %\n",
    );
    let eu = market(&l, "EU");
    let missing: Vec<(&str, &[u32])> = eu
        .ingredient_details
        .iter()
        .filter(|i| i.missing)
        .map(|i| (i.name.as_str(), i.lines.as_slice()))
        .collect();
    assert_eq!(
        missing
            .iter()
            .map(|(_, lines)| lines[0])
            .collect::<Vec<_>>(),
        [7, 8, 9]
    );
    assert!(
        eu.ingredients[1].starts_with("[oat milk:"),
        "{:?}",
        eu.ingredients
    );
    assert_eq!(eu.ingredients[2], "Glycerin");
    assert!(eu.ingredients[3].starts_with("[my secret powder:"));
    for words in [
        "line 7, [oat milk",
        "line 8, [my secret powder",
        "line 9, [caprylyl glycol (and) phenoxyethanol",
    ] {
        assert!(noted(eu, words), "{words}: {:?}", eu.notes);
    }
    assert!(noted(
        eu,
        "write them in as rows from the supplier's data sheet"
    ));
    assert!(
        eu.verdict.contains("as far as the materials are known"),
        "{}",
        eu.verdict
    );
}

#[test]
fn hidden_parts_count_and_are_not_named() {
    let own = "id = \"base\"\nnames = [\"test base\"]\nroles = [\"emulsifier\"]\ncomposition = [{ of = \"glycerin\", percent = 60 }, { of = \"cetearyl-alcohol\", percent = 40, hidden = true }]\n";
    let (kb, faults) = Kb::with_user_entries(&[("base.toml".into(), own.to_owned())]);
    assert!(faults.is_empty(), "{faults:?}");
    let text = "formula \"Test\"\n  product: face cream, leave-on\n  sold in: EU\n\nphase A\n  water  q.s.\n  test base  10 %\n";
    let l = try_label(text, TODAY, &kb, &LabelOptions::default()).expect("a label");
    let eu = market(&l, "EU");
    assert_eq!(
        shares(eu),
        [
            ("Aqua".to_owned(), "90".to_owned()),
            ("Glycerin".to_owned(), "6".to_owned())
        ]
    );
    assert!(
        noted(
            eu,
            "line 7: cetearyl alcohol counts in the sum and is not named by itself"
        ),
        "{:?}",
        eu.notes
    );
}

// Spelling

#[test]
fn each_market_in_its_spelling() {
    let l = labelled(
        "  product: body cream, leave-on",
        "  water  q.s.\n  mineral oil  10 %\n  shea butter  5 %\n  beeswax  3 %\n  perfume oil  0.2 %\n  lavender oil  0.1 %\n",
    );
    let first = |m: &str| market(&l, m).ingredients[..6].to_vec();
    let european = [
        "Aqua",
        "Paraffinum Liquidum",
        "Butyrospermum Parkii Butter",
        "Cera Alba",
        "Parfum",
        "Lavandula Angustifolia Oil",
    ];
    assert_eq!(first("EU"), european);
    assert_eq!(first("UK"), european);
    assert_eq!(
        first("US"),
        [
            "Water",
            "Mineral Oil",
            "Butyrospermum Parkii (Shea) Butter",
            "Beeswax",
            "Fragrance",
            "Lavandula Angustifolia (Lavender) Oil"
        ]
    );
    // Cosmetic Regulations (Canada), s. 21.2(3) and (4)(c) with items 4, 12 and 39 of the Schedule, s. 21.4(3).
    assert_eq!(
        first("CA"),
        [
            "Aqua/Water/Eau",
            "Paraffinum Liquidum/Mineral Oil/Huile minérale",
            "Butyrospermum Parkii (Shea) Butter",
            "Cera Alba/Beeswax/Cire d’abeille",
            "Parfum",
            "Lavandula Angustifolia (Lavender) Oil"
        ]
    );
}

// Allergens

/// European Pharmacopoeia, lavender oil: linalool 20 to 45 %, linalyl acetate 25 to 47 %.
#[test]
fn lavender_oil_at_a_twentieth_of_a_percent() {
    let rows = "  caprylic/capric triglyceride  q.s.\n  lavender oil  0.05 %\n";
    // Linalool 0.05 x 20 to 45 % = 0.01 to 0.0225 %, middle 0.01625 (shown to four places, half to even); linalyl acetate 0.0125 to 0.0235 %.
    let stays = labelled("  product: body oil, leave-on\n  sold in: EU, UK", rows);
    let eu = market(&stays, "EU");
    for name in ["Linalool", "Linalyl Acetate", "Lavandula Oil/Extract"] {
        assert!(
            declared(eu).contains(&(name, Declared::Yes)),
            "{name}: {:?}",
            declared(eu)
        );
    }
    let linalool = eu
        .allergens
        .iter()
        .find(|a| a.name == "Linalool")
        .expect("declared");
    assert_eq!(
        (
            linalool.low_percent,
            linalool.percent,
            linalool.high_percent
        ),
        (0.01, 0.0162, 0.0225)
    );
    // 0.05 x 1 % limonene = 0.0005 and 0.05 x 2 % terpineol = 0.001 at the most: not above 0.001 %.
    for name in ["Limonene", "Terpineol", "Camphor"] {
        assert!(!eu.ingredients.iter().any(|i| i == name), "{name}");
    }
    // Rinsed off, above 0.01 %: the lowest linalool is 0.01, not above; the usual is. Linalyl acetate passes with its lowest.
    let rinsed = labelled("  product: bath oil, rinse-off\n  sold in: EU, UK", rows);
    assert_eq!(
        declared(market(&rinsed, "EU")),
        [
            ("Lavandula Oil/Extract", Declared::Yes),
            ("Linalool", Declared::Likely),
            ("Linalyl Acetate", Declared::Yes)
        ]
    );
    // Great Britain keeps the older list, which has no linalyl acetate and no oils.
    assert_eq!(
        declared(market(&rinsed, "UK")),
        [("Linalool", Declared::Likely)]
    );
    assert_eq!(
        market(&rinsed, "UK").ingredients,
        [
            "Caprylic/Capric Triglyceride",
            "Lavandula Angustifolia Oil",
            "Linalool"
        ]
    );
}

#[test]
fn the_list_of_2023_from_its_day_on() {
    // (EU) 2023/1545: new products from 1 August 2026, those already there until 31 July 2028.
    let (fields, rows) = (
        "  product: body oil, leave-on\n  sold in: EU",
        "  caprylic/capric triglyceride  q.s.\n  lavender oil  0.05 %\n",
    );
    let named = |today: &str| {
        let l = on(today, fields, rows);
        (
            market(&l, "EU").ingredients.clone(),
            market(&l, "EU").notes.clone(),
        )
    };
    let (before, notes) = named("2026-07-31");
    assert!(
        before.contains(&"Linalool".to_owned()) && !before.contains(&"Linalyl Acetate".to_owned()),
        "{before:?}"
    );
    assert!(
        notes
            .iter()
            .any(|n| n.starts_with("from 2026-08-01 the list also names")
                && n.contains("Linalyl Acetate")),
        "{notes:?}"
    );
    let (after, notes) = named("2026-08-01");
    assert!(after.contains(&"Linalyl Acetate".to_owned()), "{after:?}");
    assert!(
        notes.iter().any(|n| n.contains("until 2028-07-31")),
        "{notes:?}"
    );
    let (_, notes) = named("2028-08-01");
    assert!(
        !notes.iter().any(|n| n.contains("until 2028-07-31")),
        "{notes:?}"
    );
}

#[test]
fn allergens_stand_before_the_colourants_and_never_twice() {
    let l = labelled(
        "  product: body oil, leave-on\n  sold in: EU",
        "  caprylic/capric triglyceride  q.s.\n  benzyl alcohol  0.9 %\n  linalool  0.1 %\n  sweet orange oil  0.2 %\n  red iron oxide  0.5 %\n",
    );
    let eu = market(&l, "EU");
    for name in ["Benzyl Alcohol", "Linalool", "Limonene"] {
        assert_eq!(
            eu.ingredients.iter().filter(|i| *i == name).count(),
            1,
            "{name}: {:?}",
            eu.ingredients
        );
    }
    assert!(
        eu.allergens
            .iter()
            .filter(|a| a.listed)
            .map(|a| a.name.as_str())
            .eq(["Benzyl Alcohol", "Linalool"]),
        "{:?}",
        eu.allergens
    );
    let place = |name: &str| {
        eu.ingredients
            .iter()
            .position(|i| i == name)
            .unwrap_or_else(|| panic!("{name}"))
    };
    assert!(place("Linalool") < place("Limonene") && place("Limonene") < place("CI 77491"));
    assert_eq!(place("CI 77491"), eu.ingredients.len() - 1);
}

#[test]
fn one_allergen_from_all_that_brings_it() {
    let oil = |id: &str, low: &str| {
        format!(
            "id = \"{id}\"\ninci = \"{id} Test Oil\"\nnames = [\"{id} test oil\"]\nroles = [\"aroma\"]\nconstituents = [{{ of = \"geraniol\", {low} high = 3, source = \"memory\" }}]\n"
        )
    };
    let (kb, faults) = Kb::with_user_entries(&[
        ("one.toml".into(), oil("one", "low = 1, usual = 2,")),
        ("two.toml".into(), oil("two", "")),
    ]);
    assert!(faults.is_empty(), "{faults:?}");
    let geraniol = |share: &str| {
        let text = format!(
            "formula \"Test\"\n  product: body oil, leave-on\n  sold in: EU\n\nphase A\n  caprylic/capric triglyceride  q.s.\n  one test oil  {share} %\n  two test oil  {share} %\n"
        );
        let l = try_label(&text, TODAY, &kb, &LabelOptions::default()).expect("a label");
        market(&l, "EU")
            .allergens
            .first()
            .map(|a| (a.declared, a.low_percent, a.percent, a.high_percent))
    };
    // Of 0.02 % of each: low 0.0002 + 0, usual 0.0004 + unknown, high 0.0006 + 0.0006 = 0.0012, above 0.001 only at the highest.
    assert_eq!(
        geraniol("0.02"),
        Some((Declared::Possible, 0.0002, 0.0004, 0.0012))
    );
    // Of 0.06 %: 0.0006, 0.0012, 0.0036. Of 0.11 %: 0.0011 already at the lowest. Of 0.01 %: 0.0006 at the most.
    assert_eq!(
        geraniol("0.06"),
        Some((Declared::Likely, 0.0006, 0.0012, 0.0036))
    );
    assert_eq!(geraniol("0.11").map(|g| g.0), Some(Declared::Yes));
    assert_eq!(geraniol("0.01"), None);
}

#[test]
fn unsaid_counts_as_leave_on_and_perfume_asks_for_its_statement() {
    let l = labelled(
        "  sold in: EU, US",
        "  caprylic/capric triglyceride  q.s.\n  lavender oil  0.05 %\n  perfume oil  0.2 %\n",
    );
    let eu = market(&l, "EU");
    assert!(declared(eu).contains(&("Linalool", Declared::Yes)));
    assert!(noted(eu, "counted as for a leave-on product"));
    assert!(
        noted(
            eu,
            "line 7: which allergens parfum brings is not known here"
        ),
        "{:?}",
        eu.notes
    );
    // No rule on fragrance allergens is listed for the United States.
    assert!(market(&l, "US").allergens.is_empty());
    assert!(
        market(&l, "US")
            .also_on_the_label
            .iter()
            .any(|a| a.text.contains("fragrance allergens is due"))
    );
}

// Words

#[test]
fn words_that_the_law_asks_for() {
    let of = |fields: &str, rows: &str, name: &str| {
        market(&labelled(fields, rows), name).warnings.clone()
    };
    let cream = "  product: face cream, leave-on";
    // Annex V, preamble 2; Annex III, entry 376; Annex VI, entry 4 (above 0.5 %).
    assert_eq!(
        of(cream, "  water  q.s.\n  DMDM hydantoin  0.2 %\n", "EU"),
        ["releases formaldehyde"]
    );
    assert_eq!(
        of(
            cream,
            "  caprylic/capric triglyceride  q.s.\n  retinol  0.1 %\n",
            "EU"
        ),
        ["Contains Vitamin A. Consider your daily intake before use"]
    );
    let filter = |share: &str| {
        of(
            "  product: sun lotion, leave-on",
            &format!("  water  q.s.\n  benzophenone-3  {share} %\n"),
            "EU",
        )
    };
    assert!(filter("0.5").is_empty());
    assert_eq!(filter("0.6"), ["Contains Benzophenone-3"]);
    // 21 CFR 740.11 and Cosmetic Regulations (Canada), s. 25: what is sprayed from under pressure.
    let spray = "  product: body spray, leave-on\n  form: propellant spray";
    assert!(
        of(spray, "  ethanol  q.s.\n  glycerin  1 %\n", "US")[0]
            .starts_with("Warning: Avoid spraying in eyes.")
    );
    assert!(
        of(spray, "  ethanol  q.s.\n  glycerin  1 %\n", "CA")[0]
            .starts_with("CAUTION. CONTAINER MAY EXPLODE IF HEATED.")
    );
    assert!(of(cream, "  water  q.s.\n  glycerin  1 %\n", "US").is_empty());
}

#[test]
fn hydroxy_acids_warn_of_the_sun_where_they_work() {
    // FDA guidance of 2005: advice, and for acids that act on the skin; what sets the pH does not.
    let l = |rows: &str| labelled("  product: face toner, leave-on\n  sold in: US", rows);
    let works = l("  water  q.s.\n  glycolic acid  5 %\n");
    assert!(
        market(&works, "US").warnings[0].starts_with("Sunburn Alert:"),
        "{:?}",
        market(&works, "US").warnings
    );
    assert!(noted(market(&works, "US"), "recommended, not law"));
    assert!(
        market(&l("  water  q.s.\n  lactic acid  0.2 %\n"), "US")
            .warnings
            .is_empty()
    );
}

#[test]
fn conditions_and_dates_stand_in_the_notes() {
    let (fields, rows) = (
        "  product: body lotion, leave-on\n  sold in: EU",
        "  water  q.s.\n  DMDM hydantoin  0.2 %\n  retinol  0.02 %\n",
    );
    let l = labelled(fields, rows);
    assert!(
        noted(market(&l, "EU"), "more than 0.001 % formaldehyde"),
        "{:?}",
        market(&l, "EU").notes
    );
    assert!(
        noted(market(&l, "EU"), "may be sold until 2027-05-01"),
        "{:?}",
        market(&l, "EU").notes
    );
    let before = on("2025-10-31", fields, rows);
    assert!(noted(
        market(&before, "EU"),
        "from 2025-11-01 the label also says \"Contains Vitamin A."
    ));
    assert!(
        !market(&before, "EU")
            .warnings
            .iter()
            .any(|w| w.contains("Vitamin A"))
    );
}

// Net content, durability, the rest

#[test]
fn net_content_in_the_units_of_the_market() {
    let net = |fill: &str, name: &str| {
        let fields = format!("  product: body lotion, leave-on\n  fill: {fill}");
        market(&labelled(&fields, "  water  q.s.\n  glycerin  5 %\n"), name)
            .net
            .clone()
    };
    // NIST Handbook 44, Appendix C: 50 / 29.573 529 562 5 = 1.690 fl oz; 50 / 28.349 523 125 = 1.763 oz.
    assert_eq!(net("10 x 50 mL", "US"), ["1.69 fl oz (50 mL)"]);
    assert_eq!(net("10 x 50 g", "US"), ["Net Wt. 1.76 oz (50 g)"]);
    assert_eq!(net("10 x 50 g", "EU"), ["Net content: 50 g"]);
    // 21 CFR 701.13(a): fluid measure for a liquid, weight for what is solid; nothing is said of what may be either.
    let american = |form: &str, fill: &str| {
        let l = labelled(
            &format!("  product: leave-on\n  form: {form}\n  fill: {fill}"),
            "  water  q.s.\n  glycerin  5 %\n",
        );
        noted(market(&l, "US"), "21 CFR 701.13(a)")
    };
    assert!(american("liquid", "50 g") && american("stick", "50 mL"));
    assert!(
        !american("liquid", "50 mL") && !american("cream", "50 mL") && !american("cream", "50 g")
    );
    // 4 x 28.349 523 125 = 113.398 g: never rounded up.
    assert_eq!(net("3 x 4 oz", "CA"), ["Net content / Contenu net: 113 g"]);
    let l = labelled(
        "  product: body lotion, leave-on",
        "  water  q.s.\n  glycerin  5 %\n",
    );
    assert!(l.labels.iter().all(
        |m| m.net.is_empty() && noted(m, "the net content is not known; add it to the formula")
    ));
    assert!(!l.text(100).contains('℮'));
}

#[test]
fn durability_is_a_hint_that_promises_nothing() {
    let rows = "  sunflower oil  q.s.\n  tocopherol  0.2 %\n";
    let text = format!(
        "formula \"Test\"\n  product: body oil, leave-on\n  type: anhydrous\n  sold in: EU, US\n\nphase A\n{rows}"
    );
    let kb = Kb::bundled();
    let months = kb
        .by_id("sunflower-oil")
        .and_then(|id| kb.get(id).shelf_life_months.as_ref())
        .expect("it is known")
        .value
        .0;
    let made = LabelOptions {
        made: Date::new(2026, 3, 14),
        batch_code: Some("CS-004".into()),
    };
    let l = try_label(&text, TODAY, &kb, &made).expect("a label");
    let eu = market(&l, "EU");
    assert!(
        eu.durability.contains("30 months or less") && eu.durability.contains("the maker decides"),
        "{}",
        eu.durability
    );
    assert!(
        eu.durability
            .contains(&format!("keeps about {months} months")),
        "{}",
        eu.durability
    );
    let until = Date::new(2026, 3, 14)
        .and_then(|d| d.plus_months(months.to_string().parse().expect("whole months")))
        .expect("a date");
    assert!(
        eu.durability
            .contains(&format!("that is {:02}/{}", until.month(), until.year())),
        "{}",
        eu.durability
    );
    assert_eq!(eu.batch, "CS-004");
    assert!(
        eu.to_fill_in
            .iter()
            .any(|t| t.contains("responsible person"))
    );
    assert!(
        market(&l, "US")
            .to_fill_in
            .iter()
            .any(|t| t.contains("place of business"))
    );
}

#[test]
fn the_verdict_promises_nothing() {
    let l = labelled(
        "  product: face cream, leave-on",
        "  water  q.s.\n  phenoxyethanol  1.5 %\n",
    );
    // Annex V, entry 29: 1 %. None is listed for the United States.
    assert_eq!(
        market(&l, "EU").verdict,
        "1 finding against the law tables (data as of 2026-05-18)."
    );
    assert_eq!(market(&l, "EU").law_findings[0].line, 6);
    assert!(
        market(&l, "US")
            .verdict
            .starts_with("No listed limit exceeded (data as of "),
        "{}",
        market(&l, "US").verdict
    );
    for paper in [l.text(80), l.html(), l.json()] {
        assert!(!paper.to_lowercase().contains("compliant"));
        assert!(paper.contains("qualified assessor"));
    }
}

#[test]
fn soap_and_unknown_amounts_are_refused_with_their_line() {
    let refused = |text: &str| {
        try_label(text, TODAY, &Kb::bundled(), &LabelOptions::default()).expect_err("no label")
    };
    assert_eq!(
        refused("formula \"Bar\"\n  type: soap\n\nphase A\n  olive oil  50 %\n  water  50 %\n")
            .line,
        Some(1)
    );
    assert_eq!(
        refused("formula \"Cream\"\n\nphase A\n  water  q.s.\n  glycerin  abc %\n").line,
        Some(4)
    );
    assert!(
        refused("formula \"Empty\"\n")
            .what
            .contains("no ingredients")
    );
}

// The command

#[test]
fn the_command_and_its_forms() {
    let f = Folder::new();
    f.write(
        "base.formula",
        "formula \"Base\"\n\nphase A\n  water  60 %\n  glycerin  40 %\n",
    );
    f.write(
        "cream.formula",
        "formula \"Cream\"\n  version: 3\n  product: face cream, leave-on\n  sold in: EU\n  fill: 5 x 50 g\n\nphase A\n  water  q.s.\n  sunflower oil  30 %\n  \"base.formula\"  20 %\n  lavender oil  0.1 %\n  oat milk  1 %\n  citric acid  q.s. to pH 5.2\n",
    );
    let value = holds("label", &f.run(&["label", "cream.formula", "--json"]));
    // Water 100 - 30 - 20 - 0.1 - 1 = 48.9, + 60 % of 20 = 60.9; glycerin 40 % of 20 = 8.
    let details = value["labels"][0]["ingredient_details"]
        .as_array()
        .expect("details");
    let first: Vec<(&str, &str)> = details
        .iter()
        .take(3)
        .map(|d| {
            (
                d["name"].as_str().unwrap_or_default(),
                d["percent"].as_str().unwrap_or_default(),
            )
        })
        .collect();
    assert_eq!(
        first,
        [
            ("Aqua", "60.9"),
            ("Helianthus Annuus Seed Oil", "30"),
            ("Glycerin", "8")
        ]
    );
    assert_eq!(value["formula_version"], "3");

    let markets = |args: &[&str]| -> Vec<String> {
        let value = holds("label", &f.run(args));
        value["labels"]
            .as_array()
            .expect("labels")
            .iter()
            .map(|l| l["market"].as_str().unwrap_or_default().to_owned())
            .collect()
    };
    assert_eq!(markets(&["label", "cream.formula", "--json"]), ["EU"]);
    assert_eq!(
        markets(&["label", "cream.formula", "--market", "US,CA", "--json"]),
        ["US", "CA"]
    );

    let csv = f.run(&["label", "cream.formula", "--format", "csv"]);
    assert!(
        csv.out
            .starts_with("market,number,ingredient,percent,place\nEU,1,Aqua,60.9,by-weight\n"),
        "{}",
        csv.out
    );

    let text = f.run(&[
        "label",
        "cream.formula",
        "--batch-code",
        "C-7",
        "--made",
        "2026-03-14",
    ]);
    assert!(
        text.out
            .contains("Ingredients: Aqua, Helianthus Annuus Seed Oil, Glycerin"),
        "{}",
        text.out
    );
    assert!(
        text.out.contains("Batch: C-7") && text.out.contains("on 2026-03-14, that is 03/2027"),
        "{}",
        text.out
    );
    assert_eq!(
        f.run(&["label", "cream.formula", "--made", "14.3.2026"])
            .status,
        2
    );
    assert_eq!(
        f.run(&["label", "cream.formula", "--market", "Mars"])
            .status,
        2
    );

    let refused = f.run(&["label", "base.formula", "-o", "cream.formula"]);
    assert_eq!(refused.status, 2, "{}", refused.err);
}

#[test]
fn odd_names_cannot_break_out() {
    let f = Folder::new();
    f.write(
        "ingredients/odd.toml",
        "id = \"odd\"\ninci = \"Oleum <i>Mirabile</i> & \\\"Co\\\"\"\nnames = [\"שמן <b>זית</b>\"]\nroles = [\"oil\"]\n",
    );
    f.write(
        "odd.formula",
        "formula \"A <script>alert(1)</script> & co\"\n  product: body oil, leave-on\n\nphase A\n  שמן <b>זית</b>  100 %\n",
    );
    let page = f
        .run(&[
            "label",
            "odd.formula",
            "--format",
            "html",
            "--batch-code",
            "<u>7</u>",
        ])
        .out;
    for part in ["<script>", "<i>Mirabile", "<b>", "<u>"] {
        assert!(!page.contains(part), "{part}");
    }
    assert!(page.contains("Oleum") && page.contains("<bdi>"), "{page}");
}

#[test]
fn the_same_words_from_two_sources_stand_once() {
    // Annex V, entries 7 and 54: both ask for "Avoid contact with eyes".
    let l = labelled(
        "  product: shampoo, rinse-off\n  sold in: EU",
        "  water  q.s.\n  o-phenylphenol  0.1 %\n  glutaral  0.06 %\n  benzalkonium chloride  0.05 %\n",
    );
    let eu = market(&l, "EU");
    assert_eq!(
        eu.warnings,
        ["Avoid contact with eyes", "Contains glutaral"]
    );
    assert_eq!(eu.warning_details.len(), 3);
}

/// The wording of section 25 of the Cosmetic Regulations, C.R.C., c. 869, in both official languages of Canada.
#[test]
fn canada_has_its_words_in_both_languages() {
    let l = labelled(
        "  product: deodorant, leave-on\n  form: propellant spray\n  sold in: CA",
        "  ethanol 96 %  q.s.\n  isobutane  40 %\n",
    );
    let words = &market(&l, "CA").warnings;
    assert!(
        words
            .iter()
            .any(|w| w.starts_with("CAUTION. CONTAINER MAY EXPLODE IF HEATED.")),
        "{words:?}"
    );
    assert!(
        words
            .iter()
            .any(|w| w.starts_with("ATTENTION. CE CONTENANT PEUT EXPLOSER S’IL EST CHAUFFÉ.")),
        "{words:?}"
    );
    // What was not found in French is said on the label, not translated.
    let l = labelled(
        "  product: body lotion, leave-on\n  sold in: CA",
        "  water  q.s.\n  eucalyptus oil  0.1 %\n",
    );
    let ca = market(&l, "CA");
    assert!(
        ca.warnings
            .iter()
            .any(|w| w.starts_with("[wording in French: take it from ")),
        "{:?}",
        ca.warnings
    );
    // The maker's word stands in one language: the other is asked for.
    assert!(
        ca.to_fill_in
            .iter()
            .any(|t| t == "[what the product is, in the other of English and French]"),
        "{:?}",
        ca.to_fill_in
    );
}

#[test]
fn the_languages_of_the_label_stand_behind_the_market() {
    let rows = "  water  q.s.\n  hydrogen peroxide  3 %\n";
    let of = |sold: &str| {
        labelled(
            &format!("  product: body lotion, leave-on\n  sold in: {sold}"),
            rows,
        )
    };
    let other = |l: &Label| {
        let details = market(l, "EU").warning_details.iter();
        let texts = details.flat_map(|w| w.in_languages.iter().map(|i| i.text.clone()));
        texts.collect::<Vec<String>>()
    };
    assert!(other(&of("EU")).is_empty());
    assert!(other(&of("EU (en)")).is_empty());
    let two = of("EU (de, fr), US");
    assert_eq!(two.labels.len(), 2);
    let printed = &market(&two, "EU").warnings;
    for words in [
        "[wording in German: take it from Annex III, entry 12]",
        "[wording in French: take it from Annex III, entry 12]",
    ] {
        assert!(printed.iter().any(|w| w == words), "{words}: {printed:?}");
    }
    // English stays on it in any case.
    assert!(
        market(&two, "EU")
            .warnings
            .iter()
            .any(|w| w.starts_with("Contains hydrogen peroxide"))
    );
}

/// Regulation (EC) No 1223/2009 in its own words: the preamble of Annex V, Annex III entries 2a and 376, Annex VI entry 4.
#[test]
fn warnings_stand_in_the_words_of_the_law_in_each_language() {
    let of = |product: &str, rows: &str| {
        let fields = format!("  product: {product}\n  sold in: EU (de, fr, es, it)");
        market(
            &labelled(&fields, &format!("  water  q.s.\n{rows}\n")),
            "EU",
        )
        .warnings
        .clone()
    };
    for (product, row, german) in [
        (
            "body lotion, leave-on",
            "  DMDM hydantoin  0.3 %",
            "spaltet Formaldehyd ab",
        ),
        (
            "face cream, leave-on",
            "  retinol  0.1 %",
            "Enthält Vitamin A. Berücksichtigen Sie Ihre tägliche Aufnahme vor der Anwendung",
        ),
        (
            "face cream, leave-on",
            "  benzophenone-3  3 %",
            "Enthält Benzophenon-3",
        ),
    ] {
        let words = of(product, row);
        assert!(words.iter().any(|w| w == german), "{row}: {words:?}");
        // What was not found says where to look, in each language that lacks it.
        for language in ["Spanish", "Italian"] {
            let asks = format!("[wording in {language}: take it from Annex ");
            assert!(
                words.iter().any(|w| w.starts_with(&asks)),
                "{row}: {words:?}"
            );
        }
    }
    let words = of("body lotion, leave-on", "  DMDM hydantoin  0.3 %");
    assert!(
        words.iter().any(|w| w == "libère du formaldéhyde"),
        "{words:?}"
    );
}

/// The guidance speaks of whatever is put on the skin, rinsed off or not.
#[test]
fn a_mask_with_hydroxy_acids_warns_of_the_sun_and_a_bath_does_not() {
    let l = |product: &str| {
        let fields = format!("  product: {product}\n  sold in: US");
        labelled(&fields, "  water  q.s.\n  glycolic acid  5 %\n")
    };
    let alerts = |l: &Label| {
        let words = &market(l, "US").warnings;
        words
            .iter()
            .filter(|w| w.starts_with("Sunburn Alert:"))
            .count()
    };
    assert_eq!(alerts(&l("face mask, rinse-off")), 1);
    assert_eq!(alerts(&l("bubble bath")), 0);
    assert_eq!(alerts(&l("shampoo")), 0);
}
