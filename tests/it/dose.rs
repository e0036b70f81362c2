//! The command `dose`, and ten everyday products dosed by it: their titration curves were worked out by pHcalc (tests/reference/make.py,
//! where the rule stands by which the ten were chosen before any was dosed).

use crate::support::cli::Folder;
use crate::support::schema::holds;
use phasewright::kb::Kb;
use phasewright::model::bench::{Step, titrant, titration};
use phasewright::model::{Formula, NoFiles, Settings, resolve};
use phasewright::papers::dose::{Ask, Dose, dose};
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
    let rows: Vec<Value> =
        serde_json::from_str(&std::fs::read_to_string(path).expect("it is committed"))
            .expect("it is JSON");
    let text = |v: &Value| v.as_str().expect("text").to_owned();
    let number = |v: &Value| v.as_f64().expect("a number");
    rows.iter()
        .map(|p| Product {
            name: text(&p["name"]),
            rows: p["rows"]
                .as_array()
                .expect("rows")
                .iter()
                .map(|r| (text(&r[0]), text(&r[1])))
                .collect(),
            agent: text(&p["agent"]),
            molar_mass: number(&p["molar_mass"]),
            target: text(&p["target"]).parse().expect("a pH"),
            curve: p["curve"]
                .as_array()
                .expect("a curve")
                .iter()
                .map(|c| (number(&c[0]), number(&c[1])))
                .collect(),
        })
        .collect()
}

const MASS_G: f64 = 250.0;
/// Nobody doses more often than this.
const MOST: usize = 16;

impl Product {
    /// What a meter that shows two decimals reads after so many grams of the 10 % solution in so much product.
    fn read(&self, grams: Decimal, mass_g: f64) -> Decimal {
        let grams: f64 = grams.try_into().expect("grams");
        let mol = grams * 0.10 / self.molar_mass * 1000.0 / mass_g;
        let next = self
            .curve
            .iter()
            .position(|(m, _)| *m >= mol)
            .unwrap_or(self.curve.len() - 1);
        let (m1, p1) = self.curve[next];
        let (m0, p0) = self.curve[next.max(1) - 1];
        let exact = if next == 0 {
            p1
        } else {
            p0 + (p1 - p0) * (mol - m0) / (m1 - m0)
        };
        Decimal::try_from(exact).expect("a pH").round_dp(2)
    }

    fn advice(&self, kb: &Kb, steps: &[Step], formula: Option<&Formula>) -> Dose {
        let ask = Ask {
            kb,
            name: String::new(),
            file: String::new(),
            mass_g: Decimal::from(250),
            target: (self.target, self.target),
            aim: None,
            titration: titration(kb, steps).expect("sound steps"),
            with: vec![
                titrant(kb, &self.agent).unwrap_or_else(|e| panic!("{}", e.words(&self.agent))),
            ],
            formula,
            scale_g: Decimal::new(1, 2),
        };
        dose(ask).unwrap_or_else(|h| panic!("{}: {}", self.name, h.what))
    }

    /// How far a reading lies beyond the target.
    fn past(&self, ph: Decimal) -> f64 {
        let down = self.read(Decimal::ZERO, MASS_G) > self.target;
        (if down {
            self.target - ph
        } else {
            ph - self.target
        })
        .try_into()
        .expect("a pH")
    }

    /// Doses as they are suggested, until it is there: how many, the furthest that the target was passed, and the story.
    fn dosed(&self, kb: &Kb, with_formula: bool) -> (usize, f64, String) {
        let rows: String = self
            .rows
            .iter()
            .map(|(name, percent)| format!("  {name}  {percent} %\n"))
            .collect();
        let text = format!("formula \"x\"\n\nphase A\n  water  q.s.\n{rows}");
        let tree = parse(FileKind::Formula, &text);
        let formula = resolve(
            &tree,
            Path::new("x.formula"),
            kb,
            &Settings::on("2026-11-25".parse().expect("a day")),
            &NoFiles,
        );
        let start = self.read(Decimal::ZERO, MASS_G);
        let mut steps = vec![Step::Read(start)];
        let (mut grams, mut past) = (Decimal::ZERO, 0f64);
        let mut story = format!("{}: {start}", self.name);
        for doses in 0..=MOST {
            let advice = self.advice(kb, &steps, with_formula.then_some(&formula));
            if advice.verdict == "on-target" {
                return (doses, past, story);
            }
            assert!(
                advice.verdict != "overshot",
                "passed by more than a tenth: {story}"
            );
            let add = advice
                .suggest_first_g
                .unwrap_or_else(|| panic!("{story}: nothing to add, and not there"));
            grams += add;
            let ph = self.read(grams, MASS_G);
            story += &format!(
                " | {} {add} g, expected {:?}, read {ph}",
                advice.verdict, advice.expected_ph
            );
            past = past.max(self.past(ph));
            steps.push(Step::Added {
                grams: add,
                what: self.agent.clone(),
            });
            steps.push(Step::Read(ph));
        }
        panic!("not there after {MOST} doses: {story}")
    }

    /// A sample of 30 g first, then the batch, all as it is suggested and from the readings alone: additions to the sample,
    /// doses, the furthest that the target was passed, and the story.
    fn tried(&self, kb: &Kb) -> (usize, usize, f64, String) {
        const SAMPLE_G: f64 = 30.0;
        let start = self.read(Decimal::ZERO, MASS_G);
        let mut steps = vec![
            Step::Read(start),
            Step::Sample {
                grams: Decimal::from(30),
            },
            Step::SampleRead(start),
        ];
        let (mut in_sample, mut in_batch, mut past) = (Decimal::ZERO, Decimal::ZERO, 0f64);
        let (mut additions, mut doses) = (0, 0);
        let mut story = format!("{}: {start} for {}", self.name, self.target);
        loop {
            let advice = self.advice(kb, &steps, None);
            if advice.verdict == "on-target" {
                return (additions, doses, past, story);
            }
            assert!(
                advice.verdict == "sample" || advice.verdict == "dose",
                "{}: {story}",
                advice.verdict
            );
            assert_eq!(advice.left_g, Some(Decimal::from(220)));
            if let Some(add) = advice.sample_add_g {
                assert_eq!(
                    (advice.add_g, advice.suggest_first_g),
                    (None, None),
                    "{story}"
                );
                additions += 1;
                in_sample += add;
                let ph = self.read(in_sample, SAMPLE_G);
                story += &format!(" + {add} g {ph}");
                steps.push(Step::SampleAdded {
                    grams: add,
                    what: self.agent.clone(),
                });
                steps.push(Step::SampleRead(ph));
            } else {
                let add = advice
                    .suggest_first_g
                    .unwrap_or_else(|| panic!("{story}: nothing to add, and not there"));
                assert!(advice.by_sample, "{story}");
                doses += 1;
                in_batch += add;
                let ph = self.read(in_batch, MASS_G - SAMPLE_G);
                story += &format!(" | {add} g, expected {:?}, read {ph}", advice.expected_ph);
                past = past.max(self.past(ph));
                steps.push(Step::Added {
                    grams: add,
                    what: self.agent.clone(),
                });
                steps.push(Step::Read(ph));
            }
            assert!(additions <= MOST && doses <= MOST, "not there: {story}");
        }
    }
}

#[test]
fn ten_everyday_products_land_in_three_doses_by_a_sample() {
    let kb = Kb::bundled();
    let mut at_once = 0;
    for p in &products() {
        let (additions, doses, past, story) = p.tried(&kb);
        at_once += usize::from(doses == 1);
        assert!(doses <= 3, "{doses} doses: {story}");
        assert!(past <= 0.1 + 1e-9, "passed by {past:.2}: {story}");
        assert!(
            additions <= 6,
            "{additions} additions to the sample: {story}"
        );
    }
    assert_eq!(at_once, 9, "with one dose");
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
    let asked = [
        "dose",
        "--mass",
        "250g",
        "--reading",
        "6.4",
        "--added",
        "0.60 g lactic acid 10 %",
        "--reading",
        "5.6",
        "--target",
        "5.2",
    ];
    let v = holds("dose", &f.run(&[&asked[..], &["--json"]].concat()));
    assert_eq!(
        (
            v["with"].as_str(),
            v["target"].as_str(),
            v["model"]["points"].as_u64()
        ),
        (Some("lactic acid 10 %"), Some("5.2"), Some(2))
    );
    let number = |key: &str| {
        v[key]
            .as_str()
            .expect("an exact figure")
            .parse::<f64>()
            .expect("a number")
    };
    // By hand: 0.60 g moved it by 0.8, so about 0.3 g move it by 0.4 (a little more than that, for the acid itself dissociates less as
    // the pH falls); two thirds of it go in first.
    assert!((0.28..=0.34).contains(&number("add_g")), "{v}");
    assert!(
        (number("suggest_first_g") - number("add_g") * 2.0 / 3.0).abs() < 0.011,
        "{v}"
    );
    let text = f.run(&asked).out;
    assert!(
        text.starts_with(&format!(
            "Add {} g of lactic acid 10 % now.",
            v["suggest_first_g"].as_str().unwrap()
        )),
        "{text}"
    );
}

const WITH_SAMPLE: [&str; 16] = [
    "dose",
    "--mass",
    "250g",
    "--target",
    "5.2",
    "--reading",
    "6.4",
    "--sample",
    "30g",
    "--sample-reading",
    "6.38",
    "--sample-added",
    "0.12 g lactic acid 10 %",
    "--sample-reading",
    "5.9",
    "--json",
];

#[test]
fn a_sample_is_titrated_on_its_own_and_the_batch_by_it() {
    let f = Folder::new();
    let going = holds("dose", &f.run(&WITH_SAMPLE));
    assert_eq!(
        (
            going["verdict"].as_str(),
            going["left_g"].as_str(),
            going["mass_g"].as_str()
        ),
        (Some("sample"), Some("220"), Some("250"))
    );
    assert!(
        going["sample_add_g"].is_string()
            && going["add_g"].is_null()
            && going["suggest_first_g"].is_null(),
        "{going}"
    );
    assert_eq!(going["samples"][0]["readings"][1]["added_g"], "0.12");
    let text = f.run(&WITH_SAMPLE[..15]).out;
    let said = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let order = format!(
        "Add {} g of lactic acid 10 % to the sample now.",
        going["sample_add_g"].as_str().unwrap()
    );
    assert!(
        said.starts_with(&order) && said.contains("220 g that are left"),
        "{text}"
    );
    assert!(
        text.lines()
            .any(|l| l.trim_start().starts_with("sample") && l.contains("0.12 g lactic acid 10 %")),
        "{text}"
    );
    // It passed the target: the batch's turn.
    let mut done = WITH_SAMPLE.to_vec();
    done.splice(
        15..15,
        [
            "--sample-added",
            "0.10 g lactic acid 10 %",
            "--sample-reading",
            "5.5",
            "--sample-added",
            "0.12 g lactic acid 10 %",
        ],
    );
    done.splice(21..21, ["--sample-reading", "5.1"]);
    let dose = holds("dose", &f.run(&done));
    let said = f
        .run(
            &done
                .iter()
                .filter(|a| **a != "--json")
                .copied()
                .collect::<Vec<_>>(),
        )
        .out;
    assert!(said.contains("now it is the batch's turn"), "{said}");
    assert_eq!(
        (
            dose["verdict"].as_str(),
            dose["by_sample"].as_bool(),
            dose["sample_add_g"].as_str()
        ),
        (Some("dose"), Some(true), None)
    );
    // By hand: 5.2 lies three quarters of the way from 0.22 g to 0.34 g in 30 g, 0.31 g: 2.27 g in 220 g, give or take the
    // hundredths between the two readings at the start.
    let add: f64 = dose["add_g"].as_str().unwrap().parse().unwrap();
    assert!((2.2..=2.34).contains(&add), "{dose}");
    // After a dose it goes on from the batch's own reading.
    done.splice(
        23..23,
        ["--added", "2.10 g lactic acid 10 %", "--reading", "5.34"],
    );
    let rest = holds("dose", &f.run(&done));
    let add: f64 = rest["add_g"].as_str().unwrap().parse().unwrap();
    assert!(
        rest["by_sample"] == true && (0.1..=0.4).contains(&add),
        "{rest}"
    );
}

/// What only the sample read is not said of the batch; the batch's own reading, once there is one, is.
#[test]
fn the_samples_first_reading_is_not_shown_as_the_batchs() {
    let f = Folder::new();
    let told = [
        "dose",
        "--mass",
        "250g",
        "--target",
        "5.2",
        "--sample",
        "30g",
        "--sample-reading",
        "6.4",
    ];
    let passed = [
        "--sample-added",
        "0.30 g lactic acid 10 %",
        "--sample-reading",
        "5.1",
    ];
    let args: Vec<&str> = told.into_iter().chain(passed).collect();
    let with = |more: &[&'static str]| {
        args.iter()
            .copied()
            .chain(more.iter().copied())
            .collect::<Vec<_>>()
    };
    let v = holds("dose", &f.run(&with(&["--json"])));
    assert_eq!(v["readings"].as_array().map(Vec::len), Some(0), "{v}");
    assert_eq!(
        (
            v["verdict"].as_str(),
            v["samples"][0]["readings"][0]["ph"].as_str()
        ),
        (Some("dose"), Some("6.4"))
    );
    let text = f.run(&args).out;
    let rows = |text: &str, of: &str| {
        text.lines()
            .filter(|l| l.trim_start().starts_with(of) && l.contains('.'))
            .count()
    };
    assert!(
        text.contains("pH 6.4 where the sample began")
            && rows(&text, "batch ") == 0
            && rows(&text, "sample ") == 2,
        "{text}"
    );
    let text = f
        .run(&with(&[
            "--added",
            "1.80 g lactic acid 10 %",
            "--reading",
            "5.4",
        ]))
        .out;
    assert!(
        text.contains("pH 5.4 now") && rows(&text, "batch ") == 1 && rows(&text, "sample ") == 2,
        "{text}"
    );
}

#[test]
fn a_trial_points_to_the_sample_and_a_dose_does_not() {
    let f = Folder::new();
    let hint = "A sample tells more safely";
    let base = [
        "dose",
        "--mass",
        "250g",
        "--target",
        "5.2",
        "--reading",
        "6.4",
    ];
    assert!(f.run(&base).out.contains(hint));
    let more = [
        &base[..],
        &["--added", "0.60 g lactic acid 10 %", "--reading", "5.6"],
    ]
    .concat();
    assert!(!f.run(&more).out.contains(hint));
    assert!(!f.run(&WITH_SAMPLE[..15]).out.contains(hint));
}

#[test]
fn a_small_sample_on_a_coarse_scale_is_told_so() {
    let f = Folder::new();
    let mut coarse = WITH_SAMPLE[..9].to_vec();
    coarse.extend(["--scale", "0.1 g"]);
    let said = f
        .run(&coarse)
        .out
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        said.starts_with("Stir 1 g of lactic acid 10 % into 9 g of water first.")
            && said.contains("Add 0.4 g of lactic acid 1 % to the sample"),
        "{said}"
    );
}

#[test]
fn the_log_of_a_batch_with_a_sample() {
    let f = Folder::new();
    let log = |lines: &str| {
        format!("batch X-1\n  target: 250 g\n\nlog\n  11:40  pH 6.4\n  11:41  sample 30 g\n{lines}")
    };
    f.write(
        "x.batch",
        log("  11:43  add 0.22 g lactic acid 10 % to sample\n  11:44  sample pH 5.6\n  11:46  add 0.15 g lactic acid 10 % to sample, sample pH 5.0\n"),
    );
    let v = holds(
        "dose",
        &f.run(&["dose", "x.batch", "--target", "5.2", "--json"]),
    );
    assert_eq!(
        (
            v["verdict"].as_str(),
            v["left_g"].as_str(),
            v["by_sample"].as_bool()
        ),
        (Some("dose"), Some("220"), Some(true))
    );
    assert_eq!(
        (
            v["readings"].as_array().map(Vec::len),
            v["samples"][0]["readings"].as_array().map(Vec::len)
        ),
        (Some(1), Some(2))
    );
    let html = f
        .run(&["dose", "x.batch", "--target", "5.2", "--format", "html"])
        .out;
    assert!(
        html.contains("The sample: pH 5.6 at what is")
            && html.contains("<td>sample</td>")
            && html.contains("<polygon"),
        "{html}"
    );
    let csv = f
        .run(&["dose", "x.batch", "--target", "5.2", "--format", "csv"])
        .out;
    let rows: Vec<&str> = csv.lines().collect();
    assert_eq!(
        rows,
        [
            "added_g,with,ph,of",
            ",,6.4,batch",
            "0.22,lactic acid 10 %,5.6,sample",
            "0.15,lactic acid 10 %,5.0,sample"
        ]
    );
    for (lines, words) in [
        (
            "  11:43  add 0.22 g lactic acid 10 % to sample\n",
            "the pH of the sample after the lactic acid 10 % is missing",
        ),
        (
            "  11:43  add 1 g lactic acid 10 %\n  11:44  sample 30 g\n",
            "read it before a sample is taken",
        ),
        (
            "  11:43  add 2 mL lactic acid 10 % to sample\n  11:44  sample pH 5.6\n",
            "is not by weight",
        ),
        ("  11:44  sample 230 g\n", "weighs as much as the batch"),
    ] {
        f.write("y.batch", log(lines));
        let a = f.run(&["dose", "y.batch", "--target", "5.2"]);
        assert!(a.status == 2 && a.err.contains(words), "{lines}: {}", a.err);
    }
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
    assert!(
        a.out.starts_with("Nothing to add.") && a.out.contains("pH 4.58 lies within 4.5 to 5.5"),
        "{}",
        a.out
    );
}

#[test]
fn a_batch_record_with_its_formula() {
    let f = Folder::new();
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    for name in ["hand-cream-031.batch", "gardeners-hand-cream.formula"] {
        f.write(
            name,
            std::fs::read(examples.join(name)).expect("the example is there"),
        );
    }
    let v = holds("dose", &f.run(&["dose", "hand-cream-031.batch", "--json"]));
    assert!(
        v["readings"].as_array().is_some_and(|r| r.len() >= 2),
        "{v}"
    );
    assert!(
        v["counted"].as_array().is_some_and(|c| !c.is_empty()),
        "{v}"
    );
    let html = f
        .run(&["dose", "hand-cream-031.batch", "--format", "html"])
        .out;
    assert!(html.contains("<svg") && html.contains("<title>"), "{html}");
}

#[test]
fn what_makes_no_sense_is_said_with_the_way_out() {
    let f = Folder::new();
    for (args, words) in [
        (&["dose"][..], "no pH to reach is known"),
        (
            &["dose", "--target", "5.2", "--mass", "250g"],
            "no pH has been read yet",
        ),
        (
            &["dose", "--target", "5.2", "--reading", "6.4"],
            "say --mass 250g",
        ),
        (
            &["dose", "--target", "52", "--reading", "6.4"],
            "between 0 and 14",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--with",
                "lactc acid 10 %",
            ],
            "did you mean \"lactic acid 10 %\"?",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--added",
                "a drop",
                "--reading",
                "6",
            ],
            "write the weight and what it was",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--added",
                "1 g sunflower oil",
                "--reading",
                "6",
            ],
            "sunflower oil",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--sample-reading",
                "5",
            ],
            "--sample 30g",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--sample",
                "250g",
            ],
            "20 to 50 g out of it are enough",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--sample",
                "0 g",
            ],
            "more than nothing",
        ),
        (
            &[
                "dose",
                "--mass",
                "250g",
                "--target",
                "5.2",
                "--reading",
                "6.4",
                "--sample",
                "a spoon",
            ],
            "--sample",
        ),
        (&["dose", "gone.batch"], "no such file"),
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
fn lye_and_concentrated_acid_carry_their_caution() {
    let f = Folder::new();
    let lye = f
        .run(&[
            "dose",
            "--mass",
            "250g",
            "--target",
            "6",
            "--reading",
            "3.5",
            "--with",
            "sodium hydroxide 10 %",
        ])
        .out;
    let lye = lye.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        lye.contains("goggles and gloves") && lye.contains("acid into water"),
        "{lye}"
    );
    let drift = f
        .run(&[
            "dose",
            "--mass",
            "250g",
            "--target",
            "5.2",
            "--reading",
            "6.4",
            "--with",
            "lactic acid 80 %",
        ])
        .out;
    let drift = drift.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(drift.contains("drifts down for a day"), "{drift}");
}
