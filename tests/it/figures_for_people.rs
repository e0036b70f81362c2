//! Figures are written as people write them; a dilution can be made on the scale at hand and leaves the rest of the formula right;
//! lines fit a terminal; the label keeps the maker's word; the day is that of the maker's place.

use crate::support::cli::{Folder, json};

const OUNCES: &str = "formula \"Balm\"\n  product: lip balm, leave-on\n  type: anhydrous\n  batch: 3 oz\n  sold in: EU\n\nphase A at 75 °C\n  shea butter  1 oz\n  beeswax  0.5 oz\n  sunflower oil  3 tsp\n  tocopherol  3 drops\n\nmethod\n  melt A\n  fill\n";
const THIRDS: &str = "formula \"Thirds\"\n  product: serum, leave-on\n  type: gel\n  batch: 30 g\n  sold in: EU\n\nphase A\n  water  70 parts\n  glycerin  7 parts\n  xanthan gum  0.7 parts\n  sodium hyaluronate  0.01 parts\n\nphase B\n  benzyl alcohol (and) dehydroacetic acid  0.7 parts\n";
const SHELF: &str = "lot S1 of shea butter\n  bought: 1 lb for 9.40 EUR\n\nlot S2 of beeswax\n  bought: 7 oz for 9.40 EUR\n\nlot S3 of sunflower oil\n  bought: 33 oz for 9.40 EUR\n\nlot S4 of tocopherol\n  bought: 3 fl oz for 9.40 EUR\n";

fn folder() -> Folder {
    let f = Folder::new();
    f.write("oz.formula", OUNCES);
    f.write("thirds.formula", THIRDS);
    f.write("shelf.stock", SHELF);
    f
}

/// Numbers with more figures behind the point than anybody writes: four, or three that follow zeros.
fn long_numbers(text: &str, most: usize) -> Vec<String> {
    let is_part = |c: char| c.is_ascii_digit() || c == '.';
    let is_long = |w: &&str| {
        let Some((whole, rest)) = w.trim_end_matches('.').split_once('.') else {
            return false;
        };
        let figures = format!("{whole}{rest}").trim_start_matches('0').len();
        !whole.is_empty() && rest.len() > most && figures > 3
    };
    text.split(|c: char| !is_part(c))
        .filter(is_long)
        .map(str::to_owned)
        .collect()
}

#[test]
fn no_figure_has_more_digits_than_a_person_writes() {
    let f = folder();
    for file in ["oz.formula", "thirds.formula"] {
        for command in ["sheet", "label", "card", "cost"] {
            let a = f.run(&[command, file]);
            let long = long_numbers(&a.out, 4);
            assert!(long.is_empty(), "{command} {file}: {long:?}");
            if command != "card" {
                let csv = f.run(&[command, file, "--format", "csv"]);
                let long = long_numbers(&csv.out, 4);
                assert!(long.is_empty(), "{command} {file}, csv: {long:?}");
            }
        }
    }
    let card = f.run(&["card", "oz.formula"]).out;
    assert!(
        card.contains("batch of 85.05 g") && card.contains("shea butter    50.38 %"),
        "{card}"
    );
    let sheet = f.run(&["sheet", "oz.formula"]).out;
    assert!(
        sheet.contains("50.38") && !sheet.contains("50.3807"),
        "{sheet}"
    );
    let compared = f.run(&["compare", "oz.formula", "thirds.formula"]).out;
    assert!(
        compared.contains("89.27") && long_numbers(&compared, 4).is_empty(),
        "{compared}"
    );
}

/// Ounces stand with their grams, and no figure has more digits than the scale.
#[test]
fn ounces_are_weighed_in_the_digits_of_the_scale() {
    let f = folder();
    let filled = OUNCES.replace("batch: 3 oz", "batch: 3 oz\n  fill: 1 x 3 oz");
    f.write("filled.formula", filled);
    for (scale, wanted, pack) in [
        ("0.01 g", "85.05 g wanted", "1 x 3 oz (85.05 g)"),
        ("0.1 g", "85 g wanted", "1 x 3 oz (85.0 g)"),
    ] {
        let sheet = f.run(&["sheet", "filled.formula", "--scale", scale]).out;
        assert!(sheet.contains(wanted), "{scale}: {sheet}");
        assert!(
            sheet.contains(pack) || sheet.contains(&pack.replace(".0 g", " g")),
            "{scale}: {sheet}"
        );
        assert!(!sheet.contains("85.049"), "{sheet}");
    }
}

/// Every row is the nearest step to its own weight; what is left over by rounding falls on the water.
#[test]
fn rounding_falls_on_what_fills_up() {
    let f = Folder::new();
    f.write("x.formula", "formula \"x\"\n  product: body lotion, leave-on\n  batch: 10 g\n\nphase A\n  water  q.s.\n  glycerin  3.34 %\n  panthenol  0.34 %\n  allantoin  0.04 %\n  sodium hyaluronate  0.04 %\n");
    let v = json(&f.run(&["sheet", "x.formula", "--scale", "0.01 g", "--json"]));
    let grams: Vec<&str> = v["rows"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["grams"].as_str().unwrap())
        .collect();
    // 0.334, 0.034, 0.004 and 0.004 g by hand; the water by difference.
    assert_eq!(grams, ["9.64", "0.33", "0.03", "0.00", "0.00"]);
}

#[test]
fn a_dilution_says_in_what_and_the_sheet_still_adds_up() {
    let f = folder();
    let v = json(&f.run(&["sheet", "thirds.formula", "--json"]));
    let row = v["rows"]
        .as_array()
        .unwrap()
        .iter()
        .find(|r| r["ingredient"] == "sodium hyaluronate")
        .expect("the row");
    let note = row["note"].as_str().expect("a note");
    // By hand: 30 g x 0.01 / 78.41 = 0.003826 g. A 1 % solution in water: 0.38 g of it, on a scale of 0.01 g.
    assert!(
        note.contains("of water, weigh in 0.38 g of that, and leave out 0.38 g of the water"),
        "{note}"
    );
    // What is mixed can be weighed on that scale, and makes 1 %.
    let words: Vec<&str> = note.split_whitespace().collect();
    let after = |word: &str| {
        words
            .iter()
            .position(|w| *w == word)
            .map(|n| words[n + 1].parse::<f64>().unwrap())
            .unwrap()
    };
    let (take, with) = (after("mix"), after("with"));
    assert!(
        take >= 0.1 && (take / (take + with) - 0.01).abs() < 1e-9,
        "{note}"
    );
    let scale = |n: f64| (n * 100.0 - (n * 100.0).round()).abs() < 1e-6;
    assert!(scale(take) && scale(with), "{note}");
    let said = f
        .run(&["check", "thirds.formula"])
        .out
        .replace('│', " ")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        said.contains("or weigh 0.38 g of a 1 % dilution in water and leave out that much water"),
        "{said}"
    );
}

#[test]
fn a_dilution_follows_the_scale() {
    let f = folder();
    for (scale, weighed) in [
        ("0.001 g", "0.038 g of that"),
        ("0.01 g", "0.38 g of that"),
        ("0.1 g", "3.8 g of that"),
    ] {
        let v = json(&f.run(&["sheet", "thirds.formula", "--scale", scale, "--json"]));
        let row = v["rows"]
            .as_array()
            .unwrap()
            .iter()
            .find(|r| r["ingredient"] == "sodium hyaluronate")
            .expect("the row");
        assert!(
            row["note"].as_str().unwrap().contains(weighed),
            "{scale}: {row}"
        );
    }
}

#[test]
fn the_label_keeps_the_makers_word_for_the_product() {
    let f = Folder::new();
    for word in ["hand lotion", "Hand Sanitizer", "baby lotion", "hand cream"] {
        f.write("x.formula", format!("formula \"x\"\n  product: {word}\n  sold in: EU\n\nphase A\n  water  95 %\n  glycerin  5 %\n"));
        let v = json(&f.run(&["label", "x.formula", "--json"]));
        assert_eq!(v["labels"][0]["function"].as_str(), Some(word));
    }
}

#[test]
fn lines_of_explain_and_compare_fit_a_terminal() {
    let f = folder();
    let codes = json(&f.run(&["explain", "--json"]));
    let codes = codes["rules"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["code"].as_str().unwrap().to_owned());
    let asks = codes.map(|c| vec!["explain".to_owned(), c]).chain([
        vec!["explain".to_owned()],
        ["compare", "oz.formula", "thirds.formula"]
            .map(str::to_owned)
            .to_vec(),
    ]);
    for args in asks {
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        for line in f.run(&args).out.lines() {
            // An example is set as it is written.
            let example = line.starts_with("    ") && args[0] == "explain";
            assert!(example || line.chars().count() <= 80, "{args:?}: {line}");
        }
    }
}

#[test]
fn the_manual_names_no_page_that_is_not_there() {
    let page = Folder::new().run(&["manual"]).out;
    assert!(
        !page.contains("(1)\n") && page.contains("phasewright check\n"),
        "{}",
        &page[..1500]
    );
}

#[test]
fn sarif_has_a_rule_for_a_file_that_cannot_be_read() {
    let f = Folder::new();
    f.write("x.formula", b"formula \"\xff\xfe\"\n");
    let v = json(&f.run(&["check", "x.formula", "--format", "sarif"]));
    let run = &v["runs"][0];
    let id = run["results"][0]["ruleId"].as_str().expect("a rule");
    let rules = run["tool"]["driver"]["rules"].as_array().expect("rules");
    assert!(rules.iter().any(|r| r["id"] == id), "{id}");
}

/// Twenty-six hours lie between the two places, so never the same day.
#[test]
fn today_is_the_day_of_the_makers_place() {
    let f = folder();
    let day = |zone: &str| {
        let mut c = f.command(&["label", "oz.formula", "--json"]);
        c.env("TZ", zone);
        json(&crate::support::cli::answer(c.output().expect("it runs")))["today"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    let (early, late) = (day("<-12>12"), day("<+14>-14"));
    assert!(early < late, "{early} {late}");
}
