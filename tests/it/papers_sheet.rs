//! The weigh sheet as a maker asks for it: the real program, its answers, its files.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use rust_decimal::Decimal;
use serde_json::Value;

/// USP 29, Calamine Topical Suspension, as printed: grams and millilitres, up to 1000 mL.
const CALAMINE: &str = "formula \"Calamine lotion\"
  product: lotion, leave-on
  type: suspension

phase A
  calamine                    80 g
  zinc oxide                  80 g
  glycerin                    20 mL
  bentonite magma             250 mL
  calcium hydroxide solution  q.s. to 1000 mL
";

const CREAM: &str = "formula \"Night cream\"
  version: 2
  product: face cream, leave-on
  batch: 100 g
  pH: 5.0 to 5.4
  extra for losses: 3 %
  fill: 2 x 50 g

phase A \"water\" at 75 °C, hold 20 min
  water  q.s.
  glycerin  4 %

premix A1 at room temperature, into A
  propanediol  2 %
  xanthan gum  0.2 %

phase B \"oil\" at 75 °C
  sunflower oil  15 %
  cetearyl alcohol  3 %
  glyceryl stearate citrate  3 %

phase C below 40 °C
  phenoxyethanol (and) ethylhexylglycerin  1 %
  lactic acid 10 %  q.s. to pH 5.2
";

fn decimal(v: &Value) -> Decimal {
    v.as_str()
        .expect("an exact figure is a string")
        .parse()
        .expect("it is a decimal")
}

fn column(sheet: &Value) -> Vec<String> {
    let rows = sheet["rows"].as_array().expect("rows");
    rows.iter()
        .map(|r| r["grams"].as_str().expect("grams").to_owned())
        .collect()
}

/// The sum of the rows is the batch, to the last digit.
fn adds_up(sheet: &Value) {
    let sum: Decimal = sheet["rows"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|r| decimal(&r["grams"]))
        .sum();
    assert_eq!(
        (sum, sum),
        (decimal(&sheet["batch_g"]), decimal(&sheet["total_g"]))
    );
}

#[test]
fn a_pharmacopoeia_formula_scaled_to_500_g() {
    // By hand. 1000 mL hold calamine 80 g, zinc oxide 80 g, glycerin 20 mL x 1.2613 g/mL (CRC Handbook, 20 °C) = 25.226 g,
    // magma 250 mL x 1.03 g/mL (5 % of clay in water) = 257.5 g, and lime water for the rest of the volume. No density is known
    // for the powders and for lime water, so they count as 1.00: 1000 - 80 - 80 - 20 - 250 = 570 mL = 570 g.
    // Together 1012.726 g, so 500 g take 500/1012.726 of each: 39.4973, 39.4973, 12.4545, 127.1321, 281.4187 g.
    // Cut to 0.01 g: 39.49, 39.49, 12.45, 127.13, 281.41 = 499.97, three steps short; the largest remainders are lime water
    // (0.0087) and the two powders (0.0073).
    let f = Folder::new();
    f.write("calamine.formula", CALAMINE);
    let sheet = holds(
        "sheet",
        &f.run(&["sheet", "calamine.formula", "--batch", "500g", "--json"]),
    );
    assert_eq!(
        column(&sheet),
        ["39.50", "39.50", "12.45", "127.13", "281.42"]
    );
    assert_eq!(decimal(&sheet["batch_g"]), Decimal::from(500));
    adds_up(&sheet);
}

#[test]
fn a_pharmacopoeia_formula_for_twelve_jars_of_50_ml() {
    // By hand, going on from above: 1012.726 g in 1000 mL are 1.0127 g/mL, so twelve jars of 50 mL take 600 x 1.0127 = 607.62 g,
    // 50.635 g each (50.64 on this scale). Of each 607.62/1012.726: 47.9987, 47.9987, 15.1352, 154.4960, 341.9912 g.
    // Each to its nearest step: 48.00, 48.00, 15.14, 154.50; the lime water, which fills up, takes what is left of 607.62.
    let f = Folder::new();
    f.write("calamine.formula", CALAMINE);
    let sheet = holds(
        "sheet",
        &f.run(&[
            "sheet",
            "calamine.formula",
            "--fill",
            "12 x 50 mL",
            "--json",
        ]),
    );
    assert_eq!(
        column(&sheet),
        ["48.00", "48.00", "15.14", "154.50", "341.98"]
    );
    assert_eq!(
        decimal(&sheet["size"]["density"]["g_per_ml"]),
        Decimal::new(10127, 4)
    );
    assert_eq!(sheet["size"]["containers"][0]["grams_each"], "50.64");
    // What is an estimate is called one, and what it rests on is named.
    assert_eq!(
        sheet["size"]["density"]["unknown"],
        serde_json::json!(["calamine", "zinc oxide", "calcium hydroxide solution"])
    );
    adds_up(&sheet);
    let given = holds(
        "sheet",
        &f.run(&[
            "sheet",
            "calamine.formula",
            "--fill",
            "12 x 50 mL",
            "--density",
            "1.05",
            "--json",
        ]),
    );
    assert_eq!(decimal(&given["batch_g"]), Decimal::from(630));
    adds_up(&given);
}

#[test]
fn three_ounces_add_up() {
    // 3 oz are 85.048569375 g (NIST Handbook 44), 85.05 g on this scale. A batch of 3 oz: common practice, no source.
    let f = Folder::new();
    f.write(
        "cream.formula",
        CREAM.replace("  extra for losses: 3 %\n", ""),
    );
    let sheet = holds(
        "sheet",
        &f.run(&["sheet", "cream.formula", "--batch", "3 oz", "--json"]),
    );
    assert_eq!(decimal(&sheet["batch_g"]), Decimal::new(8505, 2));
    adds_up(&sheet);
}

#[test]
fn losses_water_and_acid() {
    let f = Folder::new();
    f.write("cream.formula", CREAM);
    let sheet = holds("sheet", &f.run(&["sheet", "cream.formula", "--json"]));
    // 3 % on top of 100 g. Phase A: water 71.8 % and glycerin 4 %, premix 2.2 %: 78 % of 103 g.
    assert_eq!(decimal(&sheet["batch_g"]), Decimal::from(103));
    assert_eq!(
        sheet["evaporation"],
        serde_json::json!([{ "phase": "A", "start_g": "80.34" }])
    );
    adds_up(&sheet);
    let acid = sheet["rows"]
        .as_array()
        .expect("rows")
        .last()
        .expect("the acid");
    assert_eq!(
        (&acid["ingredient"], decimal(&acid["grams"])),
        (&Value::from("lactic acid 10 %"), Decimal::ZERO)
    );
    assert!(
        acid["note"]
            .as_str()
            .is_some_and(|n| n.contains("to pH 5.2") && n.contains("not in the sum")),
        "{acid}"
    );
    // Nothing in it holds the pH, so hardly any acid is expected: too little to name on this scale.
    assert_eq!(acid.get("estimate_g"), None);
    // Without a method, the steps are what the headings amount to, and the sheet says so.
    assert_eq!(sheet["steps_written"], false);
    assert_eq!(
        sheet["steps"],
        serde_json::json!([
            "mix A1 at room temperature, stir into A",
            "heat A: at 75 °C, hold 20 min",
            "heat B: at 75 °C",
            "bring A and B together, blend",
            "cool, add C below 40 °C, stir",
            "measure pH",
            "fill"
        ])
    );
    let text = f.run(&["sheet", "cream.formula"]);
    for words in [
        "100 g wanted, 3 % on top for what stays behind",
        "2 x 50 g",
        "Phase A holds 80.34 g",
        "Phase B, oil, at 75 °C",
    ] {
        assert!(text.out.contains(words), "{words}: {}", text.out);
    }
}

#[test]
fn how_much_acid_the_known_salts_will_take() {
    // By hand: sodium benzoate 0.5 %, 144.11 g/mol, is 34.7 mmol/kg; at pH 5.0 the share 1/(1 + 10^(5.0 - 4.20)) = 0.137 of it is
    // benzoic acid (pKa 4.20), so 4.75 mmol/kg of protons are taken up; lactic acid (pKa 3.86) gives 1/(1 + 10^(3.86 - 5.0)) = 0.932
    // of its own, so 5.1 mmol/kg, 0.46 g/kg; of a 10 % solution 0.46 g for 100 g. Activity moves it by less than a fifth.
    let f = Folder::new();
    f.write(
        "gel.formula",
        "formula \"x\"\n  batch: 100 g\n\nphase A\n  water  q.s.\n  sodium benzoate  0.5 %\n  lactic acid 10 %  q.s. to pH 5.0\n",
    );
    let sheet = holds("sheet", &f.run(&["sheet", "gel.formula", "--json"]));
    let estimate = sheet["rows"][2]["estimate_g"]
        .as_f64()
        .expect("an estimate");
    assert!((0.37..=0.55).contains(&estimate), "{estimate}");
    assert_eq!(
        (
            sheet["rows"][2]["grams"].as_str(),
            sheet["total_g"].as_str()
        ),
        (Some("0.00"), Some("100.00"))
    );
}

#[test]
fn what_the_scale_cannot_show_is_said_at_the_row() {
    let f = Folder::new();
    f.write("cream.formula", CREAM);
    let sheet = holds(
        "sheet",
        &f.run(&[
            "sheet",
            "cream.formula",
            "--batch",
            "50 g",
            "--scale",
            "0.1 g",
            "--json",
        ]),
    );
    adds_up(&sheet);
    let note = |name: &str| {
        let rows = sheet["rows"].as_array().expect("rows").iter();
        rows.filter(|r| r["ingredient"] == name)
            .find_map(|r| r["note"].as_str())
            .unwrap_or_default()
            .to_owned()
    };
    // 0.2 % of 51.5 g are 0.103 g on a scale of 0.1 g; glycerin, 2.06 g, is weighed well.
    assert!(
        note("xanthan gum").contains("one step of the scale is 97 % of it"),
        "{}",
        note("xanthan gum")
    );
    assert_eq!(note("glycerin"), "");
}

#[test]
fn errors_of_the_check_stand_on_the_sheet_and_in_the_status() {
    let f = Folder::new();
    f.write(
        "cream.formula",
        CREAM
            .replace("glycerin  4 %", "glycerin  4 %\n  hydroquinone  1 %")
            .replace("pH:", "sold in: EU\n  pH:"),
    );
    let a = f.run(&["sheet", "cream.formula", "--json"]);
    assert_eq!(a.status, 1);
    let sheet = holds("sheet", &a);
    assert!(
        sheet["objections"]
            .as_array()
            .is_some_and(|o| o.iter().any(|o| o["code"] == "banned")),
        "{}",
        sheet["objections"]
    );
    assert!(f.run(&["sheet", "cream.formula"]).out.contains("error: "));
}

#[test]
fn what_hinders_is_named_with_its_line_and_the_way_out() {
    let f = Folder::new();
    f.write(
        "broken.formula",
        CREAM.replace("cetearyl alcohol  3 %", "cetearyl alcohol  1,000 %"),
    );
    let a = f.run(&["sheet", "broken.formula"]);
    assert_eq!((a.status, a.out.as_str()), (2, ""));
    assert!(
        a.err
            .starts_with("phasewright: broken.formula:19: this amount cannot be read"),
        "{}",
        a.err
    );
    f.write(
        "sizeless.formula",
        "formula \"x\"\n\nphase A\n  water  100 %\n",
    );
    let a = f.run(&["sheet", "sizeless.formula"]);
    assert!(
        a.err.contains("how much is to be made?") && a.err.contains("--batch 250g"),
        "{}",
        a.err
    );
    for (args, words) in [
        (&["sheet", "gone.formula"][..], "there is no such file"),
        (
            &["sheet", "sizeless.formula", "--batch", "100 mL"],
            "such as 250 g",
        ),
        (
            &["sheet", "sizeless.formula", "--batch", "0 g"],
            "more than nothing",
        ),
        (
            &[
                "sheet",
                "sizeless.formula",
                "--density",
                "40",
                "--fill",
                "1 x 50 mL",
            ],
            "between 0.05 and 10",
        ),
        (&["sheet", "sizeless.formula", "--fill", "many"], "5 x 50 g"),
        (
            &["sheet", "sizeless.formula", "--fill", "4000000000 x 50 g"],
            "more than this sheet plans for",
        ),
        (
            &[
                "sheet",
                "sizeless.formula",
                "--batch",
                "99999999999999999999999999 kg",
            ],
            "",
        ),
    ] {
        let a = f.run(args);
        assert_eq!((a.status, a.out.as_str()), (2, ""), "{args:?}");
        assert!(
            a.err.contains(words) && !a.err.contains("panicked"),
            "{args:?}: {}",
            a.err
        );
    }
}

#[test]
fn files_appear_whole_or_not_at_all() {
    let f = Folder::new();
    f.write("cream.formula", CREAM);
    for (name, begins) in [
        ("s.html", "<!DOCTYPE html>"),
        ("s.csv", "phase,ingredient,percent,grams,note\n"),
        ("s.json", "{\n  \"version\": 1,"),
        ("s.txt", "Weigh sheet: Night cream\n"),
    ] {
        let a = f.run(&["sheet", "cream.formula", "-o", name]);
        assert_eq!(
            (a.status, a.out.as_str(), a.err.as_str()),
            (0, "", ""),
            "{name}"
        );
        assert!(f.read(name).starts_with(begins), "{name}: {}", f.read(name));
    }
    // Named again, it is replaced; the form that is asked for goes before the ending.
    f.run(&["sheet", "cream.formula", "--format", "text", "-o", "s.html"]);
    assert!(f.read("s.html").starts_with("Weigh sheet"));
    // A slip of the hand never costs a formula.
    let a = f.run(&["sheet", "cream.formula", "-o", "cream.formula"]);
    assert_eq!(a.status, 2);
    assert!(
        a.err.contains("a paper is not written over a formula"),
        "{}",
        a.err
    );
    assert_eq!(f.read("cream.formula"), CREAM);
    std::fs::create_dir(f.path().join("folder.html")).expect("a folder");
    for (to, words) in [
        ("none/s.html", "its folder does not exist"),
        ("folder.html", "this is a folder"),
    ] {
        let a = f.run(&["sheet", "cream.formula", "-o", to]);
        assert_eq!(a.status, 2);
        assert!(a.err.contains(words), "{}", a.err);
    }
    // A paper that cannot be made leaves the old one as it was, and nothing half-written beside it.
    f.write("bad.formula", CREAM.replace("15 %", "1,000 %"));
    let before = f.read("s.json");
    assert_eq!(f.run(&["sheet", "bad.formula", "-o", "s.json"]).status, 2);
    assert_eq!(f.read("s.json"), before);
    let names: Vec<_> = std::fs::read_dir(f.path())
        .expect("the folder")
        .map(|e| e.expect("an entry").file_name())
        .collect();
    assert_eq!(names.len(), 7, "{names:?}");
}

#[test]
fn the_table_for_a_spreadsheet_quotes_what_has_to_be_quoted() {
    let f = Folder::new();
    f.write(
        "ingredients/odd.toml",
        "id = \"odd-oil\"\nnames = [\"oil, \\\"first\\\" press\"]\nroles = [\"oil\"]\n",
    );
    f.write(
        "x.formula",
        "formula \"x\"\n  batch: 10 g\n\nphase A\n  oil, \"first\" press  100 %\n",
    );
    let a = f.run(&["sheet", "x.formula", "--format", "csv"]);
    assert_eq!(
        a.out,
        "phase,ingredient,percent,grams,note\nA,\"oil, \"\"first\"\" press\",100,10.00,\n"
    );
}
