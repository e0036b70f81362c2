//! A second workshop with other formulas, figures and days, against answers that `tests/workshop/second.py` worked out from the numbers
//! it drew, apart from the program.

use crate::support::cli::{Folder, json};
use rust_decimal::Decimal;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

fn second() -> (Folder, Value) {
    let text = include_str!("../workshop/second.json");
    let all: Value = serde_json::from_str(text).expect("it is JSON");
    let folder = Folder::new();
    for (name, text) in all["files"].as_object().expect("files") {
        folder.write(name, text.as_str().expect("a text"));
    }
    (folder, all["answers"].clone())
}

fn number(v: &Value) -> Decimal {
    let text = v.as_str().unwrap_or_else(|| panic!("{v} is no decimal"));
    text.parse().expect("a decimal")
}

fn codes(v: &Value) -> BTreeSet<String> {
    let all = v.as_array().expect("a list").iter();
    all.map(|c| c.as_str().expect("a code").to_owned())
        .collect()
}

/// To the last digit, additions through a stronger lot and through a lot made here included.
#[test]
fn what_is_left_of_every_lot_and_until_when_it_keeps() {
    let (f, answers) = second();
    let stock = json(&f.run(&["stock", "--json", "--on", "2026-12-31"]));
    let lots: BTreeMap<&str, &Value> = stock["lots"]
        .as_array()
        .expect("lots")
        .iter()
        .map(|l| (l["code"].as_str().expect("a code"), l))
        .collect();
    let left = answers["left"].as_object().expect("a map");
    assert_eq!(lots.len(), left.len());
    for (code, grams) in left {
        assert_eq!(
            number(&lots[code.as_str()]["left_g"]),
            number(grams),
            "{code}"
        );
        assert_eq!(
            lots[code.as_str()]["best_before"],
            answers["keeps"][code],
            "{code}"
        );
    }
    let off = number(&lots["CE-09"]["counted"]["difference"]);
    assert!(off < Decimal::from(-300), "the count found less: {off}");
}

#[test]
fn what_every_batch_cost() {
    let (f, answers) = second();
    let (mut right, mut refused) = (0, 0);
    for (code, expected) in answers["costs"].as_object().expect("a map") {
        let a = f.run(&["cost", &format!("{code}.batch"), "--json"]);
        if expected.is_null() {
            assert_eq!(a.status, 2, "{code}: {a:?}");
            assert!(
                a.err.contains(&format!("{code}.batch:")),
                "{code}: {}",
                a.err
            );
            refused += 1;
            continue;
        }
        let found = number(&json(&a)["batches"][0]["materials"]);
        let off = (found - number(expected)).abs();
        assert!(
            off <= Decimal::new(1, 8),
            "{code}: {found}, and it is {expected}"
        );
        right += 1;
    }
    assert_eq!((right, refused), (19, 2));
}

#[test]
fn where_a_lot_went_and_what_jars_are_here() {
    let (f, answers) = second();
    for (lot, expected) in answers["recall"].as_object().expect("a map") {
        let a = json(&f.run(&["trace", lot, "--json"]));
        let found: BTreeSet<String> = a["batches"]
            .as_array()
            .expect("batches")
            .iter()
            .map(|b| b["code"].as_str().expect("a code").to_owned())
            .collect();
        assert_eq!(found, codes(&expected["batches"]), "{lot}");
        let t = &a["totals"];
        for (key, of) in [
            ("jars", "filled"),
            ("sold", "sold"),
            ("kept", "kept"),
            ("spoilt", "spoilt"),
            ("here", "here"),
        ] {
            assert_eq!(t[key], expected[of], "{lot}: {key}");
        }
    }
    let list = json(&f.run(&["batch", "list", "--json"]));
    let here: BTreeMap<&str, &Value> = list["batches"]
        .as_array()
        .expect("batches")
        .iter()
        .map(|b| (b["code"].as_str().expect("a code"), &b["here"]))
        .collect();
    for (code, jars) in answers["jars"].as_object().expect("a map") {
        assert_eq!(here[code.as_str()], jars, "{code}");
    }
}

/// Each planted deviation is found in its batch; the other batches are quiet.
#[test]
fn every_planted_deviation_and_nothing_else() {
    let (f, answers) = second();
    let a = json(&f.run(&["check", ".", "--json"]));
    let mut loud: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for file in a["files"].as_array().expect("files") {
        let path = file["path"].as_str().expect("a path");
        let Some(code) = path.strip_suffix(".batch") else {
            continue;
        };
        let findings = file["findings"].as_array().expect("findings").iter();
        let found = findings.filter(|f| f["severity"] == "error" || f["severity"] == "warning");
        loud.insert(
            code.to_owned(),
            found
                .filter_map(|f| f["code"].as_str().map(str::to_owned))
                .collect(),
        );
    }
    let planted = answers["planted"].as_array().expect("a list");
    assert_eq!(planted.len(), 8);
    for one in planted {
        let (batch, code) = (
            one[0].as_str().expect("a batch"),
            one[1].as_str().expect("a code"),
        );
        let found = loud.remove(batch).unwrap_or_default();
        assert_eq!(found, BTreeSet::from([code.to_owned()]), "{batch}");
    }
    let rest: Vec<_> = loud.iter().filter(|(_, codes)| !codes.is_empty()).collect();
    assert!(rest.is_empty(), "{rest:?}");
}

/// The answers are those that the script gives today.
#[test]
fn the_answers_are_those_of_the_script() {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/workshop/second.py");
    let Ok(out) = std::process::Command::new("python3").arg(script).output() else {
        assert!(
            std::env::var_os("CI").is_none(),
            "python3 is not installed; tests/run needs it"
        );
        return;
    };
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    let again: Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let kept: Value = serde_json::from_str(include_str!("../workshop/second.json")).expect("JSON");
    assert_eq!(again, kept);
}
