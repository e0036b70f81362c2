//! The dose from a batch record and on a coarse scale: what a maker weighs in must not overshoot, and nothing that went in is
//! left out in silence.

use crate::support::cli::{Folder, json};
use crate::support::schema::holds;

fn record(lines: &str) -> String {
    format!("batch X-1\n  target: 250 g\n\nlog\n  11:40  pH 6.4\n{lines}  11:50  pH 5.9\n")
}

fn dose(folder: &Folder, text: &str) -> crate::support::cli::Answer {
    folder.write("x.batch", text);
    folder.run(&["dose", "x.batch", "--target", "5.2", "--json"])
}

const WANTED: [&str; 7] = [
    "dose",
    "--mass",
    "50g",
    "--target",
    "5.2",
    "--reading",
    "6.4",
];

#[test]
fn a_coarse_scale_never_rounds_the_dose_up() {
    let f = Folder::new();
    let more = ["--added", "0.10 g lactic acid 10 %", "--reading", "5.6"];
    let on = |scale: &str| {
        let args = [&WANTED[..], &more[..], &["--scale", scale, "--json"]].concat();
        holds("dose", &f.run(&args))
    };
    let fine = on("0.0001 g");
    let wanted: f64 = fine["suggest_first_g"].as_str().unwrap().parse().unwrap();
    for scale in ["0.001 g", "0.01 g", "0.1 g", "0.5 g", "1 g", "5 g"] {
        let v = on(scale);
        let Some(weighed) = v["suggest_first_g"].as_str() else {
            // Too coarse even for a solution a hundred times weaker: nothing is suggested, and why is said.
            assert!(
                v["caution"].to_string().contains("use a finer scale"),
                "{v}"
            );
            assert!(v["expected_ph"].is_null(), "no pH without a dose: {v}");
            continue;
        };
        let times = v["dilute"]["times"].as_f64().unwrap_or(1.0);
        let weighed = weighed.parse::<f64>().unwrap() / times;
        assert!(weighed > 0.0 && weighed <= wanted + 1e-9, "{scale}: {v}");
        // Less goes in than was wanted, so less is expected of it.
        let (here, there) = (v["expected_ph"].as_f64(), fine["expected_ph"].as_f64());
        assert!(here.unwrap() >= there.unwrap() - 0.005, "{scale}: {v}");
        if times > 1.0 {
            assert!(
                v["with"].as_str().unwrap().starts_with("lactic acid "),
                "{v}"
            );
            assert_eq!(v["dilute"]["of"], "lactic acid 10 %");
            let whole = |k: &str| v["dilute"][k].as_str().unwrap().parse::<f64>().unwrap();
            assert!(
                (whole("water_g") - whole("take_g") * (times - 1.0)).abs() < 1e-9,
                "{v}"
            );
        }
    }
}

#[test]
fn the_stated_ph_is_that_of_the_weight_on_the_scale() {
    let f = Folder::new();
    let args = [
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
        "--json",
    ];
    let on = |scale: &str| holds("dose", &f.run(&[&args[..], &["--scale", scale]].concat()));
    let (fine, coarse) = (on("0.01 g"), on("0.1 g"));
    // By hand: 0.60 g moved 0.8 pH. 0.2 g on the coarse scale moves at most 0.27, 0.1 g half of it.
    assert_eq!(coarse["suggest_first_g"], "0.2", "{coarse}");
    let (fine, coarse) = (
        fine["expected_ph"].as_f64().unwrap(),
        coarse["expected_ph"].as_f64().unwrap(),
    );
    assert!(
        (coarse - 5.34).abs() <= 0.03 && coarse >= fine,
        "{fine} {coarse}"
    );
}

#[test]
fn a_dose_below_one_step_says_how_to_water_it_down() {
    let f = Folder::new();
    let args = [
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
        "--scale",
        "1 g",
    ];
    let v = holds("dose", &f.run(&[&args[..], &["--json"]].concat()));
    assert_eq!(
        (v["with"].as_str(), v["dilute"]["times"].as_u64()),
        (Some("lactic acid 1 %"), Some(10))
    );
    let said = f
        .run(&args)
        .out
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        said.starts_with("Stir 10 g of lactic acid 10 % into 90 g of water first. Add 2 g of lactic acid 1 % now."),
        "{said}"
    );
}

/// Read between pH 6.4 and 5.9, the same 1.50 g gives the same dose however it is written; what cannot be named is refused.
#[test]
fn ten_ways_to_write_an_addition_give_the_same_dose_or_none() {
    let f = Folder::new();
    let plain = json(&dose(&f, &record("  11:44  add 1.50 g lactic acid 10 %\n")));
    let told = plain["suggest_first_g"]
        .as_str()
        .expect("a dose")
        .to_owned();
    let same = [
        "add 1.50 g lactic acid 10 % lot LAC-03",
        "add 1.50 g lactic acid 10 %, lot LAC-03",
        "add 1.50 g lactic acid 10 % (lot LAC-03)",
        "added 1.50 g of lactic acid 10% to the batch",
        "add 1.50 g of lactic acid 10 % to A lot LAC-03",
        "add 1500 mg lactic acid 10 %",
        "add lactic acid 10 % 1.50 g",
        "add 1,5 g lactic acid 10 %",
    ];
    for line in same {
        let a = dose(&f, &record(&format!("  11:44  {line}\n")));
        assert_eq!(a.status, 0, "{line}: {a:?}");
        assert_eq!(
            json(&a)["suggest_first_g"].as_str(),
            Some(told.as_str()),
            "{line}"
        );
    }
    let refused = [
        "1.50 g lactic acid 10 %",
        "+1.50 g lactic acid 10 %",
        "lactic acid 10 % 1.50 g",
        "lactic acid 1.50 g",
        "put in 1.50 g lactic acid 10 %",
        "add 1.50 g lactik acid 10 %",
        "add 1.5 mL lactic acid 10 %",
        "add 3 drops lactic acid 10 %",
        "add about 1.50 g lactic acid 10 %",
        "add lactic acid 10 %",
        "add a little lactic acid",
        "add D",
        "add 1,500 g lactic acid 10 %",
        "add -1.50 g lactic acid 10 %",
        "pH 5.7 too high",
    ];
    for line in refused {
        let a = dose(&f, &record(&format!("  11:44  {line}\n")));
        assert_eq!(a.status, 2, "{line}: {a:?}");
        assert!(
            a.out.is_empty() && a.err.contains("x.batch:6: "),
            "{line}: {}",
            a.err
        );
    }
}

#[test]
fn the_refusal_names_the_line_and_the_way_out() {
    let f = Folder::new();
    let a = dose(&f, &record("  11:44  add 1.5 g lactik acid 10 %\n"));
    assert!(
        a.err.contains(
            "x.batch:6: no dose can be worked out from the readings after this line: \"lactik acid 10 %\" is not known; did you mean \"lactic acid 10 %\"?"
        ),
        "{}",
        a.err
    );
    let a = dose(&f, &record("  11:44  1.50 g lactic acid 10 %\n"));
    assert!(
        a.err
            .contains("write an addition as `add 1.50 g lactic acid 10 %`"),
        "{}",
        a.err
    );
}

#[test]
fn a_remark_and_a_material_without_acid_do_not_hinder_the_dose() {
    let f = Folder::new();
    let plain = json(&dose(&f, &record("  11:44  add 1.50 g lactic acid 10 %\n")));
    for line in [
        "add 1.00 g water",
        "stirred 5 min",
        "all smooth",
        "spilled 5 g of phase B",
        "12.5 g water  # put back",
    ] {
        let lines = format!(
            "  11:43  {}\n  11:44  add 1.50 g lactic acid 10 %\n",
            line.replace("12.5 g water", "add 12.5 g water")
        );
        let a = dose(&f, &record(&lines));
        assert_eq!(a.status, 0, "{line}: {a:?}");
        assert_eq!(
            json(&a)["suggest_first_g"],
            plain["suggest_first_g"],
            "{line}"
        );
    }
    // What went in before the first reading is part of the product.
    let before = record("  11:44  add 1.50 g lactic acid 10 %\n").replace(
        "log\n",
        "log\n  11:08  add C\n  11:09  add 3 g meadow dust\n",
    );
    let a = dose(&f, &before);
    assert_eq!(a.status, 0, "{a:?}");
}

#[test]
fn a_phase_of_one_material_is_an_addition_of_it() {
    let f = Folder::new();
    f.write(
        "x.formula",
        "formula \"x\"\n  pH: 5.0 to 5.4\n\nphase A\n  water  q.s.\n  glycerin  5 %\n\nphase D\n  lactic acid 10 %  q.s. to pH 5.2, about 1 %\n",
    );
    let with = |line: &str| {
        record(&format!("  11:44  {line}\n")).replace("batch X-1", "batch X-1 of \"x.formula\"")
    };
    let plain = json(&dose(&f, &with("add 1.50 g lactic acid 10 %")));
    let of_phase = json(&dose(&f, &with("add D 1.50 g lot LAC-03")));
    assert_eq!(of_phase["suggest_first_g"], plain["suggest_first_g"]);
    assert_eq!(of_phase["readings"][1]["with"], "lactic acid 10 %");
    assert_eq!(dose(&f, &with("add D")).status, 2);
}

#[test]
fn two_batches_in_one_file_are_not_mixed() {
    let f = Folder::new();
    let two = format!(
        "{}\nbatch X-2\n  target: 100 g\n\nlog\n  12:00  pH 4.1\n",
        record("  11:44  add 1.50 g lactic acid 10 %\n")
    );
    let a = dose(&f, &two);
    assert!(a.status == 2 && a.err.contains("x.batch:9: "), "{a:?}");
}
