//! The card as a maker asks for it: figures worked by hand, the answer by its schema, the page with its drawings.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::papers::{FormulaContext, Paper, card};
use phasewright::rules::analyze;
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use serde_json::Value;
use std::path::Path;

const LOTION: &str = "formula \"Lotion <b>& 'co'</b>\"
  version: 2
  product: face cream, leave-on
  type: oil-in-water
  batch: 200 g
  pH: 5.0 to 5.5
  sold in: EU

phase A \"water\" at 75 °C, hold 20 min
  water              q.s.
  glycerin           5 %
  sodium benzoate    0.5 %

phase B \"oil\" at 75 °C
  mineral oil        30 %
  cetyl alcohol      1 %
  sorbitan stearate  1.4 %
  polysorbate 60     3.6 %

phase C below 40 °C
  lavender oil       0.2 %

method
  heat A and B to 75 °C, hold A 20 min
  pour B into A, blend 3 min
  cool to 38 °C
  add C
  fill
";

fn made(text: &str) -> (Folder, Value) {
    let f = Folder::new();
    f.write("lotion.formula", text);
    let a = f.run(&["card", "lotion.formula", "--json"]);
    assert!(a.status < 2, "{}", a.err);
    let value = holds("card", &a);
    (f, value)
}

fn decimal(v: &Value) -> Decimal {
    v.as_str()
        .expect("an exact figure is a string")
        .parse()
        .expect("it is a decimal")
}

fn sum(all: &Value) -> Decimal {
    all.as_array()
        .expect("a list")
        .iter()
        .map(|s| decimal(&s["percent"]))
        .sum()
}

#[test]
fn everything_adds_up() {
    let (_, c) = made(LOTION);
    assert_eq!(c["total_percent"], "100");
    for list in ["phases", "kinds", "largest"] {
        assert_eq!(sum(&c[list]), Decimal::ONE_HUNDRED, "{list}");
    }
    // By hand: 100 - 5 - 0.5 - 30 - 1 - 1.4 - 3.6 - 0.2 = 58.3; 30 + 1 = 31; 1.4 + 3.6 = 5.
    assert_eq!(
        (
            &c["water_percent"],
            &c["oil_percent"],
            &c["emulsifier_percent"]
        ),
        (&"58.3".into(), &"31".into(), &"5".into())
    );
    assert_eq!(c["phases"][1]["percent"], "36");
    assert_eq!(c["largest"][0]["name"], "water");
    assert_eq!(c["batch_g"], "200");
}

/// 1.4 parts of sorbitan stearate (4.7) with 3.6 of polysorbate 60 (14.9), the pair of a pharmaceutics lecture's worked example for
/// a required HLB of 12: (1.4 x 4.7 + 3.6 x 14.9) / 5 = 12.04.
#[test]
fn the_hlb_of_a_worked_example() {
    let (_, c) = made(LOTION);
    assert_eq!(c["hlb"]["blend"], 12.0);
    assert!(
        c["hlb"]["required"]
            .as_f64()
            .is_some_and(|r| (9.0..=15.5).contains(&r)),
        "{}",
        c["hlb"]
    );
    assert_eq!(c["hlb"].get("not_compared"), None);
    let (_, held) = made(&LOTION.replace("  cetyl alcohol      1 %", "  cetyl alcohol      5 %"));
    assert!(
        held["hlb"]["not_compared"]
            .as_str()
            .is_some_and(|w| w.contains("fatty alcohol")),
        "{}",
        held["hlb"]
    );
}

#[test]
fn a_ph_that_cannot_be_estimated_is_no_range_but_a_sentence() {
    let (f, c) = made(&LOTION.replace("  sodium benzoate    0.5 %", "  lemon juice        20 %"));
    assert!(c["ph"].get("predicted").is_none(), "{}", c["ph"]);
    let why = c["ph"]["not_predicted"].as_str().expect("a sentence");
    assert!(
        why.starts_with("the pH cannot be estimated: ")
            && why.contains("lemon juice")
            && why.ends_with("; measure it"),
        "{why}"
    );
    assert_eq!(c["ph"]["bounded"], serde_json::json!(["polysorbate 60"]));
    let text = f.run(&["card", "lotion.formula"]).out;
    for want in [
        "not calculated: the pH cannot be estimated",
        "left out: lemon juice, for its strength as an acid or base is not known",
    ] {
        assert!(
            text.replace('\n', " ")
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .contains(want),
            "{want} in {text}"
        );
    }
}

/// Benzoic acid, pKa 4.2 (the base has 4.19 to 4.21, by edition): at pH 5.0 about 13.7 % is undissociated, at 5.5 about 4.8 %, by hand
/// 1/(1 + 10^(5.0 - 4.2)) and 1/(1 + 10^(5.5 - 4.2)).
#[test]
fn the_active_share_of_the_preservative_acid() {
    let (_, c) = made(LOTION);
    let p = &c["keeping"]["preservatives"][0];
    assert_eq!(p["percent"], "0.5");
    let share = |n: usize| p["active_percent"][n].as_f64().expect("a number");
    assert!(
        (share(0) - 4.8).abs() <= 0.15 && (share(1) - 13.7).abs() <= 0.5,
        "{p}"
    );
}

#[test]
fn an_estimate_is_shown_as_one_with_what_it_leaves_out() {
    let soured = LOTION.replace(
        "  sodium benzoate    0.5 %\n",
        "  sodium benzoate    0.5 %\n  lactic acid        0.2 %\n",
    );
    let (f, c) = made(&soured);
    let p = &c["ph"]["predicted"];
    let at = |k: &str| p[k].as_f64().expect("a number");
    assert!(
        at("high") - at("low") >= 0.99,
        "never narrower than 0.5 on either side: {p}"
    );
    assert!(at("low") <= at("middle") && at("middle") <= at("high"));
    assert_eq!(c["ph"]["aim"], serde_json::json!(["5", "5.5"]));
    let unknown = LOTION.replace("  glycerin           5 %", "  gubbins            5 %");
    f.write("odd.formula", unknown);
    let odd = holds("card", &f.run(&["card", "odd.formula", "--json"]));
    assert_eq!(odd["unknown"], serde_json::json!(["gubbins"]));
    assert!(
        odd["ph"]["left_out"]
            .as_array()
            .is_some_and(|l| l.iter().any(|m| m["ingredient"] == "gubbins")),
        "{}",
        odd["ph"]
    );
    assert!(odd["kinds"].as_array().is_some_and(|k| {
        k.iter()
            .any(|s| s["name"] == "not known" && s["percent"] == "5")
    }));
}

#[test]
fn what_each_goes_through() {
    let (_, c) = made(LOTION);
    let of = |name: &str| {
        c["histories"]
            .as_array()
            .expect("rows")
            .iter()
            .find(|h| h["ingredient"] == name)
            .expect("there")
            .clone()
    };
    assert_eq!(of("glycerin")["highest_c"], "75");
    assert_eq!(of("lavender oil")["added_c"], "38");
    assert_eq!(of("lavender oil")["highest_c"], "38");
}

#[test]
fn law_allergens_and_skin() {
    let (_, c) = made(LOTION);
    let benzoate = c["limits"]
        .as_array()
        .expect("limits")
        .iter()
        .find(|l| l["ingredients"][0] == "sodium benzoate")
        .expect("Annex V")
        .clone();
    // 0.5 % x 122.12/144.10 = 0.4237 % as acid, of 0.5 % in leave-on: 84.7 % of the limit.
    assert_eq!(benzoate["max_percent"], "0.5");
    assert!(
        (decimal(&benzoate["used_percent"]) - Decimal::new(847, 1)).abs() <= Decimal::new(2, 1),
        "{benzoate}"
    );
    let linalool = c["allergens"]
        .as_array()
        .expect("allergens")
        .iter()
        .find(|a| a["name"] == "Linalool")
        .expect("lavender brings it")
        .clone();
    assert_eq!(linalool["threshold_percent"], "0.001");
    assert!(decimal(&linalool["high_percent"]) > decimal(&linalool["threshold_percent"]));
    // SCCS/1647/22, Table 3A: face cream 24.14 mg/kg a day, all of it stays.
    assert_eq!(c["skin"]["exposure"]["product_mg_per_kg"], 24.1);
    assert!(c["skin"]["left_out"].as_array().is_some_and(|l| {
        l.iter()
            .any(|w| w.as_str().is_some_and(|w| w.contains("point of departure")))
    }));
    assert_eq!(c["law"][0]["market"], "EU");
    assert!(!c.to_string().contains("compliant"));
}

#[test]
fn the_page_has_its_drawings_and_no_name_breaks_out() {
    let (f, _) = made(LOTION);
    let html = f.run(&["card", "lotion.formula", "--format", "html"]).out;
    assert_eq!(html.matches("<svg ").count(), 5);
    assert_eq!(html.matches("<figcaption>").count(), 5);
    assert!(
        !html.contains("<b>") && !html.contains("http://www.w3.org/1999") && !html.contains("src=")
    );
    for figure in html.split("<svg ").skip(1) {
        let svg = format!(
            "<svg {}</svg>",
            figure.split("</svg>").next().expect("it ends")
        );
        roxmltree::Document::parse(&svg).expect("XML");
    }
    // Without preserving acid and heat there is nothing to draw of them.
    f.write(
        "cold.formula",
        "formula \"Oil\"\n  product: body oil, leave-on\n\nphase A\n  sunflower oil  100 %\n",
    );
    assert_eq!(
        f.run(&["card", "cold.formula", "--format", "html"])
            .out
            .matches("<svg ")
            .count(),
        2
    );
}

#[test]
fn in_a_terminal_no_line_is_too_long_and_there_is_no_table_for_csv() {
    let (f, _) = made(LOTION);
    f.write("plain.formula", LOTION);
    let kb = Kb::bundled();
    let (path, settings) = (
        Path::new("plain.formula"),
        Settings::on("2026-06-01".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, LOTION);
    let judged = analyze(tree, path, &kb, &settings, &NoFiles);
    let work = FormulaContext::of(&judged);
    let text = card::card(&work).expect("all amounts are known").text(80);
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for said in [
        "Formula card: Lotion",
        "By kind",
        "58.3 %",
        "HLB",
        "aimed at: 5 to 5.5",
        "an estimate",
        "Limits of the law",
        "Linalool",
        "law of EU as of",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    let csv = f.run(&["card", "plain.formula", "--format", "csv"]);
    assert_eq!(csv.status, 2);
    assert!(csv.err.contains("no table"), "{}", csv.err);
    f.write(
        "half.formula",
        "formula \"Half\"\nphase A\n  water 5 %\n  glycerin\n",
    );
    assert_eq!(f.run(&["card", "half.formula"]).status, 2);
}
