//! The command `dose`, and ten everyday products dosed by it: their titration curves were worked out by pHcalc (tests/reference/make.py,
//! where the rule stands by which the ten were chosen before any was dosed).

mod cli;

use cli::Folder;
use cli::schema::holds;
use phasewright::kb::Kb;
use phasewright::model::bench::{Step, titrant, titration};
use phasewright::model::{NoFiles, Settings, resolve};
use phasewright::papers::dose::{Ask, dose};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use serde_json::Value;
use std::path::Path;

struct Product {
    name: String,
    rows: Vec<(String, String)>,
    agent: String,
    molar_mass: f64,
    target: Decimal,
    /// mol of agent per kg of product, and the pH.
    curve: Vec<(f64, f64)>,
}

fn products() -> Vec<Product> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/bench.json");
    let rows: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).expect("it is committed")).expect("it is JSON");
    let text = |v: &Value| v.as_str().expect("text").to_owned();
    let number = |v: &Value| v.as_f64().expect("a number");
    rows.iter()
        .map(|p| Product {
            name: text(&p["name"]),
            rows: p["rows"].as_array().expect("rows").iter().map(|r| (text(&r[0]), text(&r[1]))).collect(),
            agent: text(&p["agent"]),
            molar_mass: number(&p["molar_mass"]),
            target: text(&p["target"]).parse().expect("a pH"),
            curve: p["curve"].as_array().expect("a curve").iter().map(|c| (number(&c[0]), number(&c[1]))).collect(),
        })
        .collect()
}

const MASS_G: f64 = 250.0;
/// Nobody doses more often than this.
const MOST: usize = 16;

impl Product {
    /// What a meter that shows two decimals reads after so many grams of the 10 % solution.
    fn read(&self, grams: f64) -> Decimal {
        let mol = grams * 0.10 / self.molar_mass * 1000.0 / MASS_G;
        let next = self.curve.iter().position(|(m, _)| *m >= mol).unwrap_or(self.curve.len() - 1);
        let (m1, p1) = self.curve[next];
        let (m0, p0) = self.curve[next.max(1) - 1];
        let exact = if next == 0 { p1 } else { p0 + (p1 - p0) * (mol - m0) / (m1 - m0) };
        Decimal::try_from(exact).expect("a pH").round_dp(2)
    }

    /// Doses as they are suggested, until it is there: how many, the furthest that the target was passed, and the story.
    fn dosed(&self, kb: &Kb, with_formula: bool) -> (usize, f64, String) {
        let rows: String = self.rows.iter().map(|(name, percent)| format!("  {name}  {percent} %\n")).collect();
        let text = format!("formula \"x\"\n\nphase A\n  water  q.s.\n{rows}");
        let tree = parse(FileKind::Formula, &text);
        let formula = resolve(&tree, Path::new("x.formula"), kb, &Settings::default(), &NoFiles);
        let mut steps = vec![Step::Read(self.read(0.0))];
        let down = self.read(0.0) > self.target;
        let (mut grams, mut past) = (Decimal::ZERO, 0f64);
        let mut story = format!("{}: {}", self.name, self.read(0.0));
        for doses in 0..=MOST {
            let ask = Ask {
                kb,
                name: String::new(),
                file: String::new(),
                mass_g: Decimal::from(250),
                target: (self.target, self.target),
                aim: None,
                titration: titration(kb, &steps).expect("sound steps"),
                with: vec![titrant(kb, &self.agent).unwrap_or_else(|e| panic!("{}", e.words(&self.agent)))],
                formula: with_formula.then_some(&formula),
                scale_g: Decimal::new(1, 2),
            };
            let advice = dose(ask).unwrap_or_else(|h| panic!("{}: {}", self.name, h.what));
            if advice.verdict == "on-target" {
                return (doses, past, story);
            }
            assert!(advice.verdict != "overshot", "passed by more than a tenth: {story}");
            let add = advice.suggest_first_g.unwrap_or_else(|| panic!("{story}: nothing to add, and not there"));
            grams += add;
            let ph = self.read(grams.try_into().expect("grams"));
            story += &format!(" | {} {add} g, expected {:?}, read {ph}", advice.verdict, advice.expected_ph);
            let over: f64 = (if down { self.target - ph } else { ph - self.target }).try_into().expect("a pH");
            past = past.max(over);
            steps.push(Step::Added { grams: add, what: self.agent.clone() });
            steps.push(Step::Read(ph));
        }
        panic!("not there after {MOST} doses: {story}")
    }
}

#[test]
fn ten_everyday_products_are_never_overshot() {
    let kb = Kb::bundled();
    let all = products();
    assert_eq!(all.len(), 10);
    // How many are there after three doses, and how many doses the slowest takes: from the readings alone, and with the formula.
    for (with_formula, in_three, slowest) in [(false, 2, 7), (true, 7, 6)] {
        let mut quick = 0;
        for p in &all {
            let (doses, past, story) = p.dosed(&kb, with_formula);
            assert!(past <= 0.1 + 1e-9, "passed by {past:.2}: {story}");
            assert!(doses <= slowest, "{doses} doses: {story}");
            quick += usize::from(doses <= 3);
        }
        assert_eq!(quick, in_three, "with the formula: {with_formula}");
    }
}

#[test]
fn readings_on_the_command_line_in_their_order() {
    let f = Folder::new();
    let asked = ["dose", "--mass", "250g", "--reading", "6.4", "--added", "0.60 g lactic acid 10 %", "--reading", "5.6", "--target", "5.2"];
    let v = holds("dose", &f.run(&[&asked[..], &["--json"]].concat()));
    assert_eq!((v["with"].as_str(), v["target"].as_str(), v["model"]["points"].as_u64()), (Some("lactic acid 10 %"), Some("5.2"), Some(2)));
    let number = |key: &str| v[key].as_str().expect("an exact figure").parse::<f64>().expect("a number");
    // By hand: 0.60 g moved it by 0.8, so about 0.3 g move it by 0.4 (a little more than that, for the acid itself dissociates less as
    // the pH falls); two thirds of it go in first.
    assert!((0.28..=0.34).contains(&number("add_g")), "{v}");
    assert!((number("suggest_first_g") - number("add_g") * 2.0 / 3.0).abs() < 0.011, "{v}");
    let text = f.run(&asked).out;
    assert!(text.starts_with(&format!("Add {} g of lactic acid 10 % now.", v["suggest_first_g"].as_str().unwrap())), "{text}");
}

#[test]
fn on_target_nothing_is_added() {
    // pH 6.93 before the acid, 4.58 after, aimed at 4.5 to 5.5: common practice, no source.
    let f = Folder::new();
    let a = f.run(&[
        "dose",
        "--mass",
        "85 g",
        "--reading",
        "6.93",
        "--added",
        "0.5 g lactic acid 10 %",
        "--reading",
        "4.58",
        "--target",
        "4.5 to 5.5",
    ]);
    assert!(a.out.starts_with("Nothing to add.") && a.out.contains("pH 4.58 lies within 4.5 to 5.5"), "{}", a.out);
}

#[test]
fn a_batch_record_with_its_formula() {
    let f = Folder::new();
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    for name in ["hand-cream-031.batch", "gardeners-hand-cream.formula"] {
        f.write(name, std::fs::read(examples.join(name)).expect("the example is there"));
    }
    let v = holds("dose", &f.run(&["dose", "hand-cream-031.batch", "--json"]));
    assert!(v["readings"].as_array().is_some_and(|r| r.len() >= 2), "{v}");
    assert!(v["counted"].as_array().is_some_and(|c| !c.is_empty()), "{v}");
    let html = f.run(&["dose", "hand-cream-031.batch", "--format", "html"]).out;
    assert!(html.contains("<svg") && html.contains("<title>"), "{html}");
}

#[test]
fn what_makes_no_sense_is_said_with_the_way_out() {
    let f = Folder::new();
    for (args, words) in [
        (&["dose"][..], "no pH to reach is known"),
        (&["dose", "--target", "5.2", "--mass", "250g"], "no pH has been read yet"),
        (&["dose", "--target", "5.2", "--reading", "6.4"], "say --mass 250g"),
        (&["dose", "--target", "52", "--reading", "6.4"], "between 0 and 14"),
        (
            &["dose", "--mass", "250g", "--target", "5.2", "--reading", "6.4", "--with", "lactc acid 10 %"],
            "did you mean \"Lactic Acid 10 %\"?",
        ),
        (
            &["dose", "--mass", "250g", "--target", "5.2", "--reading", "6.4", "--added", "a drop", "--reading", "6"],
            "write the weight and what it was",
        ),
        (
            &["dose", "--mass", "250g", "--target", "5.2", "--reading", "6.4", "--added", "1 g sunflower oil", "--reading", "6"],
            "sunflower oil",
        ),
        (&["dose", "gone.batch"], "no such file"),
    ] {
        let a = f.run(args);
        assert_eq!((a.status, a.out.as_str()), (2, ""), "{args:?}");
        assert!(a.err.contains(words) && !a.err.contains("panicked"), "{args:?}: {}", a.err);
    }
}

#[test]
fn lye_and_concentrated_acid_carry_their_caution() {
    let f = Folder::new();
    let lye = f.run(&["dose", "--mass", "250g", "--target", "6", "--reading", "3.5", "--with", "sodium hydroxide 10 %"]).out;
    let lye = lye.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(lye.contains("goggles and gloves") && lye.contains("acid into water"), "{lye}");
    let drift = f.run(&["dose", "--mass", "250g", "--target", "5.2", "--reading", "6.4", "--with", "lactic acid 80 %"]).out;
    let drift = drift.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(drift.contains("drifts down for a day"), "{drift}");
}
