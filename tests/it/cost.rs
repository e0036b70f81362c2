//! The shelf and the cost sheet, by the real program: every figure worked out by hand beside the check.

use crate::support::cli::{Answer, Folder, json};
use serde_json::Value;
use std::path::Path;

/// Holds an answer against its schema, which lets no unknown key through.
fn holds(answer: &Answer) -> Value {
    let value = json(answer);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/schemas/cost.schema.json");
    let schema: Value =
        serde_json::from_str(&std::fs::read_to_string(path).expect("the schema is there"))
            .expect("it is JSON");
    let (mut schemas, mut compiler) = (boon::Schemas::new(), boon::Compiler::new());
    compiler
        .add_resource("answer.json", schema)
        .expect("it is a schema");
    let index = compiler
        .compile("answer.json", &mut schemas)
        .expect("it compiles");
    if let Err(e) = schemas.validate(&value, index) {
        panic!("{e:#}\n{value:#}");
    }
    let mut wrong = value.clone();
    wrong["surprise"] = Value::Null;
    assert!(
        schemas.validate(&wrong, index).is_err(),
        "unknown keys are taken"
    );
    value
}

/// The cost of `cream.formula` in a folder with these files, on a day in spring.
fn cost(files: &[(&str, &str)], more: &[&str]) -> Value {
    let a = run(files, more);
    assert!(a.status < 2, "{}", a.err);
    holds(&a)
}

fn run(files: &[(&str, &str)], more: &[&str]) -> Answer {
    let f = Folder::new();
    for (name, text) in files {
        f.write(name, text);
    }
    let mut args = vec!["cost", "cream.formula", "--on", "2026-03-14", "--json"];
    args.extend(more);
    f.run(&args)
}

/// Draws of a row: lot, grams, cost.
fn draws(v: &Value, row: usize) -> Vec<(String, String, String)> {
    let text = |v: &Value| v.as_str().unwrap_or("-").to_owned();
    let lots = v["rows"][row]["lots"].as_array().expect("lots");
    lots.iter()
        .map(|l| (text(&l["lot"]), text(&l["grams"]), text(&l["cost"])))
        .collect()
}

fn owned(all: &[(&str, &str, &str)]) -> Vec<(String, String, String)> {
    all.iter()
        .map(|(a, b, c)| ((*a).to_owned(), (*b).to_owned(), (*c).to_owned()))
        .collect()
}

const CREAM: &str = "formula \"Cream\"\n  batch: 200 g\n  fill: 4 x 50 g\n\nphase A\n  water  q.s.\n  glycerin  10 %\n  sunflower oil  30 %\n";

const SHELF: &str = "\
lot GLY-1 of glycerin
  best before: 2027-06-30
  bought: 1 kg for 9.40 EUR

lot SUN-1 of sunflower oil
  best before: 2026-02-28
  bought: 1 kg for 1.00 EUR

lot SUN-3 of sunflower oil
  best before: 2026-12-31
  bought: 500 g for 4.00 EUR

lot SUN-2 of sunflower oil
  best before: 2026-09-30
  bought: 2 x 20 g for 1.20 EUR
";

/// By hand. Glycerin: 20 g of a kilo for 9.40: 0.188. Oil, 60 g: SUN-1 is past its date, SUN-2 expires first and has 40 g
/// (1.20), SUN-3 gives 20 g at 0.008: 0.16. Together 0.188 + 1.20 + 0.16 = 1.548; 4 jars at 0.85 are 3.40: 4.948, one 1.237;
/// 100 g of the 200 g: 0.774. It keeps until SUN-2's date, 30 September: six whole months from 14 March.
#[test]
fn first_to_expire_goes_first_and_a_lot_past_its_date_is_left_alone() {
    let v = cost(
        &[("cream.formula", CREAM), ("shelf.stock", SHELF)],
        &["--packaging", "0.85"],
    );
    assert_eq!(draws(&v, 1), owned(&[("GLY-1", "20", "0.188")]));
    assert_eq!(
        draws(&v, 2),
        owned(&[("SUN-2", "40", "1.2"), ("SUN-3", "20", "0.16")])
    );
    assert_eq!(
        (&v["rows"][2]["cost"], &v["rows"][2]["currency"]),
        (&"1.36".into(), &"EUR".into())
    );
    assert_eq!(
        (&v["currency"], &v["materials"], &v["packaging"]),
        (&"EUR".into(), &"1.548".into(), &"3.4".into())
    );
    assert_eq!(
        (&v["total"], &v["per_container"], &v["per_100_g"]),
        (&"4.948".into(), &"1.237".into(), &"0.774".into())
    );
    assert_eq!(v["missing"], Value::Array(vec![]));
    assert_eq!(v["free"], serde_json::json!(["water"]));
    assert_eq!(
        v["left_alone"],
        serde_json::json!([{"lot": "SUN-1", "ingredient": "sunflower oil", "best_before": "2026-02-28", "left_g": "1000"}])
    );
    let life = &v["shelf_life"];
    assert_eq!(
        (&life["until"], &life["months"]),
        (&"2026-09-30".into(), &6.into())
    );
    assert_eq!(
        (&life["limiting"]["ingredient"], &life["limiting"]["lot"]),
        (&"sunflower oil".into(), &"SUN-2".into())
    );
}

/// On its date a lot is still good.
#[test]
fn the_day_of_the_date_is_a_good_day() {
    let f = Folder::new();
    f.write("cream.formula", CREAM);
    f.write("shelf.stock", SHELF);
    let last = holds(&f.run(&["cost", "cream.formula", "--on", "2026-02-28", "--json"]));
    assert_eq!(draws(&last, 2)[0].0, "SUN-1");
    let after = holds(&f.run(&["cost", "cream.formula", "--on", "2026-03-01", "--json"]));
    assert_eq!(draws(&after, 2)[0].0, "SUN-2");
}

/// By hand: the batch took 990 g of the kilo of glycerin, so 10 g (0.094) are left of 20 g; `?` and other lots take nothing.
#[test]
fn what_batches_weighed_is_gone() {
    let batch = "batch CR-1 of \"cream.formula\"\n  made: 2026-03-01\n\nweighed\n  glycerin  0.6 kg of 600 g  lot GLY-1\n  glycerin  390 g  lot GLY-1\n  sunflower oil  ? of 60 g  lot SUN-2\n  sunflower oil  5 g  lot SUN-9\n";
    let v = cost(
        &[
            ("cream.formula", CREAM),
            ("shelf.stock", SHELF),
            ("one.batch", batch),
        ],
        &[],
    );
    assert_eq!(draws(&v, 1), owned(&[("GLY-1", "10", "0.094")]));
    assert_eq!(v["rows"][1]["short_g"], "10");
    assert!(
        v["rows"][1].get("cost").is_none(),
        "no cost of a part is given for the whole"
    );
    assert_eq!(
        v["missing"],
        serde_json::json!([{"ingredient": "glycerin", "grams": "10", "why": "the shelf is 10 g short"}])
    );
    assert_eq!(draws(&v, 2)[0], owned(&[("SUN-2", "40", "1.2")])[0]);
    assert_eq!(v["materials"], "1.454", "0.094 + 1.36");
}

/// Two rows of one material share its lots: 30 g and 30 g of a lot of 50 g leave 10 g short.
#[test]
fn what_one_row_takes_is_gone_for_the_next() {
    let cream = "formula \"Cream\"\n  batch: 100 g\n\nphase A\n  glycerin  30 %\n  water  q.s.\n\nphase B\n  glycerin  30 %\n";
    let v = cost(
        &[
            ("cream.formula", cream),
            (
                "shelf.stock",
                "lot G of glycerin\n  bought: 50 g for 5 EUR\n",
            ),
        ],
        &[],
    );
    assert_eq!(
        (draws(&v, 0), draws(&v, 2)),
        (owned(&[("G", "30", "3")]), owned(&[("G", "20", "2")]))
    );
    assert_eq!(
        (&v["rows"][2]["short_g"], &v["materials"], &v["per_100_g"]),
        (&"10".into(), &"5".into(), &"5".into())
    );
    assert!(v.get("per_container").is_none(), "no containers are named");
}

/// By hand: batch CS-2 put 20 g of citric acid (100 g for 5.00: 1.00) and water into a solution of 100 g; it yielded 98 g, so
/// 49 g cost 0.50. It keeps no longer than the acid's lot.
#[test]
fn a_solution_made_here_costs_what_went_into_it() {
    let files = [
        (
            "cream.formula",
            "formula \"Cream\"\n  batch: 490 g\n\nphase A\n  water  q.s.\n  \"citric acid solution.formula\"  10 %\n",
        ),
        (
            "citric acid solution.formula",
            "formula \"Citric acid solution\"\n  batch: 100 g\n\nphase A\n  water  80 %\n  citric acid  20 %\n",
        ),
        (
            "shelf.stock",
            "lot ACI-1 of citric acid\n  best before: 2028-05-31\n  bought: 100 g for 5.00 EUR\n\nlot CIT-3 of \"citric acid solution.formula\"\n  from: batch CS-2\n",
        ),
        (
            "cs.batch",
            "batch CS-2 of \"citric acid solution.formula\"\n  made: 2026-02-01\n\nweighed\n  water  80 g\n  citric acid  20 g  lot ACI-1\n\nlog\n  10:00  yield 98 g\n",
        ),
    ];
    let v = cost(&files, &[]);
    assert_eq!(draws(&v, 1), owned(&[("CIT-3", "49", "0.5")]));
    assert_eq!(
        (&v["materials"], &v["missing"]),
        (&"0.5".into(), &serde_json::json!([]))
    );
    assert_eq!(v["shelf_life"]["until"], "2028-05-31");
    assert_eq!(
        v["shelf_life"]["limiting"]["why"],
        "the date of lot ACI-1 in it"
    );

    let mut files = files;
    // Nobody weighed what came out, and a sample of 30 g was thrown away: 70 g are left for what 100 g cost. What went into the
    // sample is no part of it, and asks for no lot.
    files[3].1 = "batch CS-2 of \"citric acid solution.formula\"\n\nweighed\n  water  80 g\n  citric acid  20 g  lot ACI-1\n\nlog\n  10:00  sample 30 g\n  10:01  add 1.0 g sodium hydroxide 10 % to sample, sample pH 2.9\n";
    let v = cost(&files, &[]);
    assert_eq!(draws(&v, 1), owned(&[("CIT-3", "49", "0.7")]), "{v}");
    files[3].1 = "batch CS-2 of \"citric acid solution.formula\"\n  made: 2026-02-01\n\nweighed\n  water  80 g\n  citric acid  20 g  lot ACI-1\n\nlog\n  10:00  yield 98 g\n";

    // Without the acid's price it has none either, and says why.
    files[2].1 = "lot ACI-1 of citric acid\n  bought: 100 g\n\nlot CIT-3 of \"citric acid solution.formula\"\n  from: batch CS-2\n";
    let v = cost(&files, &[]);
    assert_eq!(draws(&v, 1), owned(&[("CIT-3", "49", "-")]));
    assert_eq!(
        v["missing"][0]["why"],
        "what lot CIT-3 cost is not known: lot ACI-1 in its batch has no price"
    );
    assert!(v.get("materials").is_none());

    // A batch that is not there, and a lot that was made of itself.
    files[3].1 = "batch CS-9 of \"x.formula\"\n";
    let v = cost(&files, &[]);
    assert_eq!(
        (&v["problems"][0]["path"], &v["problems"][0]["line"]),
        (&"shelf.stock".into(), &4.into())
    );
    assert!(
        v["problems"][0]["message"]
            .as_str()
            .is_some_and(|m| m.contains("no file of batch CS-2")),
        "{v}"
    );
    files[3].1 = "batch CS-2 of \"x.formula\"\nweighed\n  \"citric acid solution.formula\"  10 g  lot CIT-3\n";
    let v = cost(&files, &[]);
    assert!(
        v["problems"][0]["message"]
            .as_str()
            .is_some_and(|m| m.contains("made of itself")),
        "{v}"
    );
}

/// By hand: 20 g of lactic acid 10 % are 2.5 g of 80 % and water. A lot of 10 % goes first, though its date is later; a weaker
/// one, and one whose strength is not said, give nothing.
#[test]
fn a_stronger_lot_is_thinned_with_water() {
    let cream =
        "formula \"Cream\"\n  batch: 200 g\n\nphase A\n  water  q.s.\n  lactic acid 10 %  10 %\n";
    let strong =
        "lot L-80 of lactic acid 80 %\n  best before: 2027-01-31\n  bought: 100 g for 8.00 EUR\n";
    let v = cost(&[("cream.formula", cream), ("shelf.stock", strong)], &[]);
    assert_eq!(draws(&v, 1), owned(&[("L-80", "2.5", "0.2")]));
    assert_eq!(v["rows"][1]["lots"][0]["thinned_to_g"], "20");
    let both = format!(
        "{strong}\nlot L-10 of lactic acid 10 %\n  best before: 2027-12-31\n  bought: 12 g for 0.60 EUR\n"
    );
    let v = cost(&[("cream.formula", cream), ("shelf.stock", &both)], &[]);
    assert_eq!(
        draws(&v, 1),
        owned(&[("L-10", "12", "0.6"), ("L-80", "1", "0.08")]),
        "the other 8 g are 1 g of 80 %"
    );
    for other in [
        "lot L-5 of lactic acid 5 %\n  bought: 1 kg for 1 EUR\n",
        "lot L-0 of lactic acid\n  bought: 1 kg for 1 EUR\n",
    ] {
        let v = cost(&[("cream.formula", cream), ("shelf.stock", other)], &[]);
        assert_eq!(v["rows"][1]["lots"], serde_json::json!([]), "{other}");
        assert!(
            v["missing"][0]["why"]
                .as_str()
                .is_some_and(|w| w.contains("name the same strength in both places")),
            "{v}"
        );
    }
    // What a batch weighs of the thinned acid is taken off the strong lot as what it held of it.
    let batch = "batch X of \"cream.formula\"\nweighed\n  lactic acid 10 %  792 g  lot L-80\n";
    let v = cost(
        &[
            ("cream.formula", cream),
            ("shelf.stock", strong),
            ("x.batch", batch),
        ],
        &[],
    );
    assert_eq!(
        (draws(&v, 1), &v["rows"][1]["short_g"]),
        (owned(&[("L-80", "1", "0.08")]), &"12".into()),
        "99 of 100 g are gone"
    );
}

/// Two kinds of money are never added up.
#[test]
fn different_money_is_summed_apart() {
    let shelf = SHELF.replace("9.40 EUR", "$9.40");
    let files = [("cream.formula", CREAM), ("shelf.stock", shelf.as_str())];
    let v = cost(&files, &["--packaging", "0.50 eur"]);
    assert!(
        v.get("materials").is_none() && v.get("total").is_none() && v.get("currency").is_none()
    );
    let sums = v["sums"].as_array().expect("two sums");
    let figures: Vec<[&str; 4]> = sums
        .iter()
        .map(|s| {
            ["currency", "materials", "total", "per_container"]
                .map(|k| s[k].as_str().expect("a figure"))
        })
        .collect();
    // Oil 1.36 in euros with 4 x 0.50; glycerin 0.188 in dollars.
    assert_eq!(
        figures,
        [
            ["$", "0.188", "0.188", "0.047"],
            ["EUR", "1.36", "3.36", "0.84"]
        ]
    );
    assert!(
        v["notes"]
            .as_array()
            .expect("notes")
            .iter()
            .any(|n| n.as_str().is_some_and(|n| n.contains("$ and EUR")))
    );
    let a = run(&files, &["--packaging", "0.50"]);
    assert_eq!(a.status, 2);
    assert!(
        a.err.contains("in which money is the packaging"),
        "{}",
        a.err
    );
    // One row from lots of both.
    let v = cost(
        &[
            ("cream.formula", CREAM),
            ("shelf.stock", &SHELF.replace("1.20 EUR", "1.20 GBP")),
        ],
        &[],
    );
    assert!(v["rows"][2].get("cost").is_none() && v["rows"][2].get("currency").is_none());
    assert_eq!(v["rows"][2]["lots"][0]["currency"], "GBP");
}

/// What has no price is named, and the text says of every sum that it goes without it.
#[test]
fn no_sum_pretends_to_be_whole() {
    let shelf = "lot G of glycerin\n  bought: 1 kg for 9.40 EUR\n\nlot SUN of sunflower oil\n  bought: 1 kg\n";
    let cream = format!("{CREAM}  panthenol  1 %\n  pink dust of the moon  1 %\n");
    let files = [("cream.formula", cream.as_str()), ("shelf.stock", shelf)];
    let v = cost(&files, &[]);
    let why: Vec<[&str; 3]> = v["missing"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|m| ["ingredient", "grams", "why"].map(|k| m[k].as_str().expect("text")))
        .collect();
    assert_eq!(
        why,
        [
            ["sunflower oil", "60", "lot SUN has no price"],
            ["panthenol", "2", "no lot of it on the shelf"],
            ["pink dust of the moon", "2", "no lot of it on the shelf"]
        ]
    );
    assert_eq!(v["materials"], "0.188");
    assert!(
        v["shelf_life"]["no_date"]
            .as_array()
            .is_some_and(|l| l.contains(&"pink dust of the moon".into())),
        "{v}"
    );
    let f = Folder::new();
    files.iter().for_each(|(n, t)| drop(f.write(n, t)));
    let text = f.run(&["cost", "cream.formula", "--on", "2026-03-14"]).out;
    for said in [
        "at least 0.19  EUR  without 3 materials",
        "at least 0.05  EUR  its packaging not counted",
        "sunflower oil, 60 g: lot SUN has no price.",
    ] {
        assert!(text.contains(said), "{said}\n{text}");
    }
    // A name that nobody knows is found on the shelf by its name.
    let shelf = format!("{shelf}\nlot MOON of Pink dust of the Moon\n  bought: 10 g for 1 EUR\n");
    let v = cost(&[files[0], ("shelf.stock", &shelf)], &[]);
    assert_eq!(draws(&v, 4), owned(&[("MOON", "2", "0.2")]));
}

/// A line that cannot be read is named, and everything else stands.
#[test]
fn what_cannot_be_read_names_its_line() {
    let shelf = "\
lot GLY-1 of glycerin
  best before: 31.6.2027
  bought: 1 kg for 9.40 EUR

lot SUN-2 of sunflower oil
  bought: two bottles

lot
  bought: 1 kg for 3 EUR

lot SUN-3 of sunflower oil
  boght: 1 kg for 3 EUR

lot SUN-4 of sunflower oil
  bought: 500 g for 4.00 EUR

lot OLI-1 of olive oil
  bought: many
";
    let batch = "batch B of \"cream.formula\"\nweighed\n  glycerin  half of it  lot GLY-1\n  sunflower oil  600 g  lot SUN-4\n";
    let v = cost(
        &[
            ("cream.formula", CREAM),
            ("shelf.stock", shelf),
            ("b.batch", batch),
        ],
        &[],
    );
    let said: Vec<(String, u64)> = v["problems"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|p| {
            (
                p["path"].as_str().expect("a path").to_owned(),
                p["line"].as_u64().expect("a line"),
            )
        })
        .collect();
    let line = |n| ("shelf.stock".to_owned(), n);
    // Olive oil is none of this cream's business. SUN-4 held 500 g, and 600 g were weighed of it.
    assert_eq!(
        said,
        [
            line(2),
            line(6),
            line(8),
            line(12),
            ("b.batch".to_owned(), 3),
            line(14)
        ],
        "{:#}",
        v["problems"]
    );
    assert_eq!(draws(&v, 1), owned(&[("GLY-1", "20", "0.188")]));
    assert_eq!(
        (draws(&v, 2), &v["rows"][2]["short_g"]),
        (vec![], &"60".into())
    );
    let why = v["missing"][0]["why"].as_str().expect("a reason");
    assert!(
        why.contains("how much it holds is not known: SUN-2, SUN-3"),
        "{why}"
    );
}

/// One code on two lots: said, and what was weighed is taken off the first alone.
#[test]
fn a_code_stands_for_one_lot() {
    let shelf = "lot G of glycerin\n  best before: 2027-01-31\n  bought: 15 g for 1 EUR\nlot G of glycerin\n  bought: 15 g for 2 EUR\n";
    let batch = "batch B of \"cream.formula\"\nweighed\n  glycerin  10 g  lot G\n";
    let v = cost(
        &[
            ("cream.formula", CREAM),
            ("shelf.stock", shelf),
            ("b.batch", batch),
        ],
        &[],
    );
    assert_eq!(v["rows"][1]["lots"].as_array().map(Vec::len), Some(2));
    assert_eq!(
        (&draws(&v, 1)[0].1, &draws(&v, 1)[1].1),
        (&"5".to_owned(), &"15".to_owned())
    );
    assert_eq!(
        (&v["problems"][0]["line"], &v["problems"][0]["path"]),
        (&4.into(), &"shelf.stock".into())
    );
}

/// By hand, one litre of sunflower oil for 9.20: by the density d of the base 1000 d g, so that 60 g cost 0.552 / d.
#[test]
fn a_volume_is_weighed_by_its_density() {
    let shelf = "lot G of glycerin\n  bought: 1 kg for 9.40 EUR\nlot S of sunflower oil\n  bought: 1 L for 9.20 EUR\nlot M of moon oil\n  bought: 1 L for 3 EUR\n";
    let cream = format!("{CREAM}  moon oil  1 %\n");
    let v = cost(&[("cream.formula", &cream), ("shelf.stock", shelf)], &[]);
    let d: f64 = phasewright::chem::float(density("sunflower oil"));
    let got: f64 = draws(&v, 2)[0].2.parse().expect("a number");
    assert!((got - 0.552 / d).abs() < 1e-9, "{got} by a density of {d}");
    assert!(
        v["notes"][0]
            .as_str()
            .is_some_and(|n| n.starts_with("S was bought by volume")),
        "{v}"
    );
    assert_eq!(
        (&v["problems"][0]["line"], &v["rows"][3]["lots"]),
        (&6.into(), &serde_json::json!([]))
    );
}

fn density(name: &str) -> rust_decimal::Decimal {
    let kb = phasewright::kb::Kb::bundled();
    let phasewright::kb::Lookup::Known { id, .. } = kb.lookup(name) else {
        panic!("{name} is known")
    };
    kb.get(id)
        .density_g_ml
        .as_ref()
        .expect("its density is known")
        .value
        .0
}

/// By hand: 200 g and 5 % extra are 210 g on the scale, 21 g of them glycerin: 0.1974; 100 g in the jar cost what 105 g cost.
/// A batch that is asked for is what is wanted, as on the weigh sheet: 400 g fill 8 jars.
#[test]
fn losses_are_paid_for() {
    let cream = "formula \"Cream\"\n  batch: 200 g\n  fill: 4 x 50 g\n  extra for losses: 5 %\n\nphase A\n  water  q.s.\n  glycerin  10 %\n";
    let files = [("cream.formula", cream), ("shelf.stock", SHELF)];
    let v = cost(&files, &[]);
    assert_eq!(
        (&v["batch_g"], &v["filled_g"], &v["losses_percent"]),
        (&"210.00".into(), &"200".into(), &"5".into())
    );
    assert_eq!(
        (&v["materials"], &v["per_100_g"], &v["per_container"]),
        (&"0.1974".into(), &"0.0987".into(), &"0.04935".into())
    );
    let v = cost(&files, &["--batch", "400g"]);
    assert_eq!(
        (
            &v["containers"][0]["count"],
            &v["filled_g"],
            &v["per_container"]
        ),
        (&8.into(), &"400".into(), &"0.04935".into())
    );
}

/// By hand: glycerin 20 g, 0.188, over 2 x 50 g and 1 x 100 g: 0.047 and 0.094, with 0.50 each for the packaging.
#[test]
fn containers_share_by_their_content() {
    let of = |fill: &str, more: &[&str]| {
        let cream = format!(
            "formula \"Cream\"\n  batch: 200 g\n  fill: {fill}\n\nphase A\n  water  q.s.\n  glycerin  10 %\n"
        );
        cost(&[("cream.formula", &cream), ("shelf.stock", SHELF)], more)
    };
    let v = of("2 x 50 g, 100 g", &["--packaging", "0.50"]);
    assert_eq!(
        v["each"],
        serde_json::json!([{"content": "50 g", "cost": "0.547"}, {"content": "100 g", "cost": "0.594"}])
    );
    assert_eq!(
        (v.get("per_container"), &v["total"], &v["packaging"]),
        (None, &"1.688".into(), &"1.5".into())
    );
    // By volume alone: shared by the millilitre; 100 g is then 100 g of what is made.
    let v = of("2 x 50 mL, 100 mL", &[]);
    assert_eq!(
        v["each"][1],
        serde_json::json!({"content": "100 mL", "cost": "0.094"})
    );
    assert_eq!(
        (&v["filled_g"], &v["per_100_g"]),
        (&"200".into(), &"0.094".into())
    );
    // By weight and by volume: not shared at all. More than there is: neither.
    for fill in ["2 x 50 g, 100 mL", "5 x 50 g"] {
        let v = of(fill, &[]);
        assert_eq!(
            (&v["each"], v.get("per_container"), &v["materials"]),
            (&serde_json::json!([]), None, &"0.188".into()),
            "{fill}"
        );
        assert_eq!(v["notes"].as_array().map(Vec::len), Some(1), "{v}");
    }
    // Less than there is: the jars pay for what is over.
    let v = of("3 x 50 g", &[]);
    assert_eq!(
        (&v["filled_g"], &v["notes"][0]),
        (
            &"150".into(),
            &"3 x 50 g take 150 g; the containers pay for the 50 g that are over.".into()
        )
    );
    // None at all.
    let v = of("0 x 50 g", &[]);
    assert_eq!(
        (&v["containers"], &v["each"]),
        (&serde_json::json!([]), &serde_json::json!([]))
    );
    let v = of("50 g, 150 g", &["--batch", "60 g"]);
    assert_eq!(
        v["containers"],
        serde_json::json!([]),
        "a third of one is none"
    );
}

/// The date of a lot, what the trade says of the material, and what nothing is known of.
#[test]
fn how_long_it_keeps() {
    let shelf = "lot G of glycerin\n  best before: 2030-01-31\n  bought: 1 kg for 9.40 EUR\n\nlot S of sunflower oil\n  received: 2026-01-10\n  bought: 1 kg for 9 EUR\n\nlot X of xanthan gum\n  bought: 1 kg for 9 EUR\n";
    let cream = format!("{CREAM}  xanthan gum  0.3 %\n");
    let v = cost(&[("cream.formula", &cream), ("shelf.stock", shelf)], &[]);
    let kb = phasewright::kb::Kb::bundled();
    let phasewright::kb::Lookup::Known { id, .. } = kb.lookup("sunflower oil") else {
        panic!("known")
    };
    let months = kb
        .get(id)
        .shelf_life_months
        .as_ref()
        .expect("its usual life is known")
        .value
        .0
        .to_string();
    // Counted from 10 January, when the lot came, that is earlier than from the making in March.
    let until: phasewright::chem::date::Date = "2026-01-10".parse().expect("a date");
    let until = until
        .plus_months(months.parse().expect("months"))
        .expect("a day")
        .to_string();
    assert_eq!(
        (
            &v["shelf_life"]["until"],
            &v["shelf_life"]["limiting"]["lot"]
        ),
        (&until.into(), &"S".into())
    );
    let why = v["shelf_life"]["limiting"]["why"]
        .as_str()
        .expect("a reason");
    assert!(
        why.contains(&format!("usually good for {months} months"))
            && why.contains("common practice"),
        "{why}"
    );
    assert_eq!(
        v["shelf_life"]["no_date"],
        serde_json::json!(["xanthan gum"])
    );
    let at_once = cream.replace("  batch:", "  keep: use at once\n  batch:");
    let v = cost(&[("cream.formula", &at_once), ("shelf.stock", shelf)], &[]);
    assert!(v.get("shelf_life").is_none());
}

/// A dry gum's date is that of its bag: seven months left on it end no cream. An oil's seven months do.
#[test]
fn a_dry_powders_date_ends_no_product() {
    let until = |gum: &str, oil: &str| {
        let shelf = format!(
            "lot G of glycerin\n  best before: 2030-01-31\n  bought: 1 kg for 9.40 EUR\n\nlot S of sunflower oil\n  best before: {oil}\n  bought: 1 kg for 9 EUR\n\nlot X of xanthan gum\n  best before: {gum}\n  bought: 1 kg for 9 EUR\n"
        );
        let cream = format!("{CREAM}  xanthan gum  0.3 %\n");
        let v = cost(&[("cream.formula", &cream), ("shelf.stock", &shelf)], &[]);
        v["shelf_life"]["limiting"]["ingredient"].clone()
    };
    assert_eq!(until("2026-10-14", "2026-12-31"), "sunflower oil");
    assert_eq!(until("2026-12-31", "2026-10-14"), "sunflower oil");
}

/// What cannot be done says so and gives nothing.
#[test]
fn what_hinders_is_said() {
    let no_shelf = run(&[("cream.formula", CREAM)], &[]);
    assert_eq!((no_shelf.status, no_shelf.out.as_str()), (2, ""));
    assert!(
        no_shelf.err.contains("no lot was found on a shelf"),
        "{}",
        no_shelf.err
    );
    let no_batch = CREAM.replace("  batch: 200 g\n", "");
    let v = cost(&[("cream.formula", &no_batch), ("shelf.stock", SHELF)], &[]);
    assert_eq!(
        (&v["batch_g"], &v["materials"]),
        (&"200.00".into(), &"1.548".into()),
        "the containers say how much"
    );
    let no_batch = no_batch.replace("  fill: 4 x 50 g\n", "");
    let a = run(&[("cream.formula", &no_batch), ("shelf.stock", SHELF)], &[]);
    assert!(
        a.status == 2 && a.err.contains("no batch is named"),
        "{}",
        a.err
    );
    let no_fill = CREAM.replace("  fill: 4 x 50 g\n", "");
    let a = run(
        &[("cream.formula", &no_fill), ("shelf.stock", SHELF)],
        &["--packaging", "0.80"],
    );
    assert!(
        a.status == 2 && a.err.contains("needs containers"),
        "{}",
        a.err
    );
    for wrong in [
        ["--packaging", "free"],
        ["--packaging", "-1"],
        ["--on", "yesterday"],
        ["--batch", "0 g"],
    ] {
        assert_eq!(
            run(&[("cream.formula", CREAM), ("shelf.stock", SHELF)], &wrong).status,
            2,
            "{wrong:?}"
        );
    }
    let open = CREAM.replace("glycerin  10 %", "lactic acid 10 %  q.s. to pH 5");
    let v = cost(&[("cream.formula", &open), ("shelf.stock", SHELF)], &[]);
    assert!(
        v["missing"][0].get("grams").is_none()
            && v["missing"][0]["why"]
                .as_str()
                .is_some_and(|w| w.contains("about 1 %")),
        "{v}"
    );
    // A stock file that is no text is told on stderr; the rest is reckoned.
    let f = Folder::new();
    f.write("cream.formula", CREAM);
    f.write("shelf.stock", SHELF);
    f.write("old.stock", b"lot \xff");
    let a = f.run(&["cost", "cream.formula", "--on", "2026-03-14", "--json"]);
    assert!(
        a.status == 2
            && a.err
                .contains("phasewright: old.stock:1: this is not UTF-8 text"),
        "{a:?}"
    );
    assert_eq!(holds(&a)["materials"], "1.548");
}

/// Figures beyond 28 digits are refused in words; nothing is cut short, and nothing panics.
#[test]
fn what_is_too_large_is_refused() {
    let most = "79228162514264337593543950335";
    let dear = SHELF.replace("9.40 EUR", &format!("{most} EUR"));
    let much = SHELF.replace("1 kg for 9.40", &format!("{most} kg for 9.40"));
    let files: [(&str, &[&str]); 4] = [
        (&dear, &[]),
        (&much, &[]),
        (SHELF, &["--batch", "79228162514264337593543950335 g"]),
        (SHELF, &["--packaging", most]),
    ];
    for (shelf, more) in files {
        let a = run(&[("cream.formula", CREAM), ("shelf.stock", shelf)], more);
        assert!(
            a.status <= 2 && !a.err.contains("a fault of the program"),
            "{more:?}: {}",
            a.err
        );
        if more.is_empty() {
            let v = holds(&a);
            assert_eq!(
                (&v["problems"][0]["line"], &v["rows"][1]["lots"]),
                (&3.into(), &serde_json::json!([])),
                "the others stand"
            );
        } else {
            assert!(
                a.status == 2 && a.out.is_empty() && a.err.contains("exactly"),
                "{more:?}: {}",
                a.err
            );
        }
    }
}

/// The shelf may lie in the formula's folder and beside the settings; a folder that is both counts once.
#[test]
fn the_shelf_lies_beside_the_formula_or_the_settings() {
    let f = Folder::new();
    f.write("phasewright.toml", "");
    f.write("creams/cream.formula", CREAM);
    f.write("shelf.stock", SHELF);
    f.write(
        "creams/more.stock",
        "lot GLY-0 of glycerin\n  best before: 2026-12-31\n  bought: 5 g for 1 EUR\n",
    );
    let v = holds(&f.run(&[
        "cost",
        "creams/cream.formula",
        "--on",
        "2026-03-14",
        "--json",
    ]));
    assert_eq!(
        draws(&v, 1),
        owned(&[("GLY-0", "5", "1"), ("GLY-1", "15", "0.141")])
    );
    f.write("cream.formula", CREAM);
    let here = f.path().join("cream.formula");
    let v = holds(&f.run(&[
        "cost",
        &here.to_string_lossy(),
        "--on",
        "2026-03-14",
        "--json",
    ]));
    assert_eq!(
        (draws(&v, 1), &v["problems"]),
        (owned(&[("GLY-1", "20", "0.188")]), &serde_json::json!([]))
    );
}

/// The table for the spreadsheet: a line for every lot, and one for what no lot gives.
#[test]
fn the_table_as_csv() {
    let f = Folder::new();
    f.write("cream.formula", format!("{CREAM}  panthenol  1 %\n"));
    f.write("shelf.stock", SHELF);
    let csv = f
        .run(&[
            "cost",
            "cream.formula",
            "--on",
            "2026-03-14",
            "--format",
            "csv",
        ])
        .out;
    assert_eq!(
        csv,
        "phase,ingredient,grams,lot,from_lot_g,best_before,cost,currency\n\
         A,water,118.00,,,,0,\n\
         A,glycerin,20.00,GLY-1,20,2027-06-30,0.188,EUR\n\
         A,sunflower oil,60.00,SUN-2,40,2026-09-30,1.2,EUR\n\
         A,sunflower oil,60.00,SUN-3,20,2026-12-31,0.16,EUR\n\
         A,panthenol,2.00,,2,,,\n"
    );
}

/// Names are text, never mark-up, and each in its own direction.
#[test]
fn html_holds_any_name() {
    let f = Folder::new();
    f.write("cream.formula", "formula \"<b>Rose & \u{5D5}\u{5E8}\u{5D3}\u{201D}\"\n  batch: 100 g\n\nphase A\n  water  q.s.\n  <script>x</script> & 'y'  10 %\n  \u{5E9}\u{5DE}\u{5DF}  5 %\n");
    f.write(
        "shelf.stock",
        "lot <i>1</i> of <script>x</script> & 'y'\n  bought: 100 g for 3 EUR\n",
    );
    let a = f.run(&[
        "cost",
        "cream.formula",
        "--on",
        "2026-03-14",
        "--format",
        "html",
    ]);
    assert!(a.status < 2, "{}", a.err);
    for no in ["<script>", "<i>1", "<b>", "http", "src="] {
        assert!(!a.out.contains(no), "{no}");
    }
    assert!(
        a.out.contains("&#60;script&#62;x&#60;/script&#62;")
            && a.out.contains("<bdi>\u{5E9}\u{5DE}\u{5DF}</bdi>"),
        "{}",
        a.out
    );
}

/// The examples fit together, as their batch file says, and keep as the trade expects of such a cream: 9 to 12 months, set by the
/// earliest date (common practice, no source).
#[test]
fn the_examples_fit_together() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let f = Folder::new();
    for name in [
        "gardeners-hand-cream.formula",
        "winter-hike-balm.formula",
        "shelf.stock",
        "hand-cream-031.batch",
    ] {
        f.write(
            name,
            std::fs::read(root.join("examples").join(name)).expect("the example is there"),
        );
    }
    let quiet = f.run(&["check", "shelf.stock", "hand-cream-031.batch", "--json"]);
    assert_eq!(quiet.status, 0, "{}", quiet.out);
    let loud = json(&quiet)["files"]
        .as_array()
        .expect("files")
        .iter()
        .flat_map(|x| x["findings"].as_array().cloned())
        .flatten()
        // Said of every record; what the calendar says depends on the day of this test.
        .filter(|f| {
            !matches!(
                f["code"].as_str(),
                Some("not-judged" | "past-date-on-shelf" | "lot-soon")
            )
        })
        .count();
    assert_eq!(loud, 0, "{}", quiet.out);
    let v = holds(&f.run(&[
        "cost",
        "gardeners-hand-cream.formula",
        "--on",
        "2026-04-02",
        "--packaging",
        "0.80",
        "--json",
    ]));
    assert_eq!(
        (&v["missing"], &v["problems"]),
        (&serde_json::json!([]), &serde_json::json!([]))
    );
    // By hand: the small pot of panthenol held 4 g for 1.60, batch 031 took 2.50 g, 1.50 g cost 0.60; 1 g of 25 g for 6.40 is 0.256.
    assert_eq!(
        draws(&v, 9),
        owned(&[("PAN-05", "1.5", "0.6"), ("PAN-06", "1", "0.256")])
    );
    assert_eq!(v["left_alone"][0]["lot"], "RAP-14");
    let months = v["shelf_life"]["months"].as_i64().expect("months");
    assert!((9..=12).contains(&months), "{months}");
    assert_eq!(v["shelf_life"]["limiting"]["lot"], "RAP-15");
    let v = holds(&f.run(&[
        "cost",
        "winter-hike-balm.formula",
        "--on",
        "2026-04-02",
        "--json",
    ]));
    let salve =
        std::fs::read(root.join("examples/marigold-salve.formula")).expect("the example is there");
    f.write("marigold-salve.formula", salve);
    let whole = holds(&f.run(&[
        "cost",
        "marigold-salve.formula",
        "--on",
        "2026-04-02",
        "--json",
    ]));
    assert_eq!(
        (&whole["missing"], &whole["problems"]),
        (&serde_json::json!([]), &serde_json::json!([]))
    );
    let why = |name: &str| {
        v["missing"]
            .as_array()
            .into_iter()
            .flatten()
            .find(|m| m["ingredient"] == name)
            .map(|m| m["why"].clone())
    };
    assert_eq!(why("lanolin"), Some("the shelf is 1 g short".into()));
    assert_eq!(
        why("sweet almond oil"),
        Some("lot ALM-04 has no price".into())
    );
}
