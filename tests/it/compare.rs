//! Two versions of a formula side by side, from two files and from git.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use serde_json::{Value, json};
use std::process::Command;

const OLD: &str = "formula \"Day cream\"
  version: 1
  product: face cream, leave-on
  pH: 5.0 to 5.4
  sold in: EU

phase A \"water\" at 70 °C
  water  q.s.
  glycerin  4 %
  panthenol  1 %

phase B \"oil\" at 70 °C
  sunflower oil  15 %
  cetearyl alcohol  3 %
  glyceryl stearate citrate  3 %

phase C below 40 °C
  phenoxyethanol (and) ethylhexylglycerin  1 %

method
  heat A and B to 70 °C
  pour A into B, blend 3 min
  cool to 38 °C, add C
  fill
";

/// Glycerin goes up by one, panthenol moves to the cool-down, shea butter comes, cetearyl alcohol is called by another of its names,
/// the oil is hotter, and a step is new.
fn new() -> String {
    OLD.replace("version: 1", "version: 2")
        .replace(
            "glycerin  4 %\n  panthenol  1 %",
            "glycerol   5 %  # softer",
        )
        .replace(
            "phase B \"oil\" at 70 °C",
            "phase B \"oil\" at 75 °C, hold 10 min",
        )
        .replace(
            "sunflower oil  15 %\n  cetearyl alcohol",
            "sunflower oil  11 %\n  shea butter  3 %\n  cetostearyl alcohol",
        )
        .replace(
            "phase C below 40 °C",
            "phase C below 40 °C\n  panthenol  1 %",
        )
        .replace("  pour A", "  top up A with hot water\n  pour A")
}

fn rows(v: &Value) -> Vec<(&str, &str, &Value, &Value)> {
    let list = v["ingredients"].as_array().expect("ingredients");
    list.iter()
        .map(|i| {
            (
                i["name"].as_str().unwrap(),
                i["change"].as_str().unwrap(),
                &i["before_percent"],
                &i["after_percent"],
            )
        })
        .collect()
}

#[test]
fn by_ingredient_phase_field_and_step() {
    let f = Folder::new();
    f.write("old.formula", OLD);
    f.write("new.formula", new());
    let v = holds(
        "compare",
        &f.run(&["compare", "old.formula", "new.formula", "--json"]),
    );
    // By hand: water 73 % before, 100 - 5 - 11 - 3 - 3 - 3 - 1 - 1 = 73 % after, so it does not appear; the alcohol has two names.
    assert_eq!(
        rows(&v),
        [
            ("glycerol", "changed", &json!("4"), &json!("5")),
            ("sunflower oil", "changed", &json!("15"), &json!("11")),
            ("shea butter", "added", &Value::Null, &json!("3")),
            ("panthenol", "changed", &json!("1"), &json!("1")),
        ]
    );
    let panthenol = &v["ingredients"][3];
    assert_eq!(
        (&panthenol["before_phase"], &panthenol["after_phase"]),
        (&json!("A"), &json!("C"))
    );
    assert_eq!(
        v["phases"],
        json!([{ "label": "B", "change": "changed", "before": "oil, at 70 °C", "after": "oil, at 75 °C, hold 10 min" }])
    );
    assert_eq!(
        v["fields"],
        json!([{ "field": "version", "before": "1", "after": "2" }])
    );
    assert_eq!(
        v["steps"],
        json!([{ "change": "added", "after": 2, "step": "top up A with hot water" }])
    );
    assert_eq!(v["same"], false);
    let text = f.run(&["compare", "old.formula", "new.formula"]).out;
    for words in [
        "From old.formula, version 1 to new.formula, version 2",
        "moves from A to C",
        "B: oil, at 70 °C before",
        "new, step 2",
    ] {
        assert!(text.contains(words), "{words}:\n{text}");
    }
    let csv = f
        .run(&["compare", "old.formula", "new.formula", "--format", "csv"])
        .out;
    assert!(csv.contains("panthenol,changed,1,1,A,C\n"), "{csv}");
}

#[test]
fn layout_comments_and_notes_are_no_change() {
    let f = Folder::new();
    f.write("old.formula", OLD);
    let other = OLD.replace(
        "  glycerin  4 %",
        "# thought about it\n    glycerin        4.0 %   # yes",
    ) + "\nnotes\n  It is lovely.\n";
    f.write("new.formula", other);
    let v = holds(
        "compare",
        &f.run(&["compare", "old.formula", "new.formula", "--json"]),
    );
    assert_eq!(v["same"], true, "{v}");
    assert!(
        f.run(&["compare", "old.formula", "new.formula"])
            .out
            .contains("Nothing differs that counts")
    );
}

#[test]
fn limits_used_and_findings_that_come_and_go() {
    let f = Folder::new();
    // Annex V of Regulation (EC) No 1223/2009, entry 29: phenoxyethanol, at most 1.0 %.
    let with = |percent: &str| {
        OLD.replace(
            "phenoxyethanol (and) ethylhexylglycerin  1 %",
            &format!("phenoxyethanol  {percent} %"),
        )
    };
    f.write("old.formula", with("0.9"));
    f.write("new.formula", with("1.2"));
    let a = f.run(&["compare", "old.formula", "new.formula", "--json"]);
    assert_eq!(a.status, 1, "the newer version has an error");
    let v = holds("compare", &a);
    assert_eq!(
        v["limits"],
        json!([{ "market": "EU", "substance": "phenoxyethanol", "max_percent": "1", "before_percent": "0.9", "after_percent": "1.2" }])
    );
    let appeared = v["findings"]["appeared"].as_array().expect("a list");
    assert!(
        appeared
            .iter()
            .any(|x| x["code"] == "above-legal-limit" && x["line"] == 18),
        "{appeared:?}"
    );
    let back = holds(
        "compare",
        &f.run(&["compare", "new.formula", "old.formula", "--json"]),
    );
    assert!(
        back["findings"]["vanished"]
            .as_array()
            .is_some_and(|l| l.iter().any(|x| x["code"] == "above-legal-limit")),
        "{back}"
    );
    assert!(
        back["findings"]["appeared"]
            .as_array()
            .is_some_and(|l| l.iter().all(|x| x["code"] != "above-legal-limit"))
    );
}

fn git(f: &Folder, args: &[&str]) {
    let out = Command::new("git")
        .args([
            "-c",
            "user.name=maker",
            "-c",
            "user.email=maker@example.org",
            "-c",
            "init.defaultBranch=main",
            "-c",
            "commit.gpgsign=false",
        ])
        .args(args)
        .current_dir(f.path())
        .output()
        .expect("git is installed");
    assert!(
        out.status.success(),
        "git {args:?}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
}

#[test]
fn revisions_of_one_formula_with_the_files_that_it_takes() {
    let f = Folder::new();
    let gel = |percent: &str| {
        format!("formula \"Gel\"\n\nphase A\n  water  q.s.\n  xanthan gum  {percent} %\n")
    };
    let cream = OLD.replace("glycerin  4 %", "glycerin  4 %\n  \"gel.formula\"  10 %");
    f.write("work/gel.formula", gel("1"));
    f.write("work/cream.formula", &cream);
    git(&f, &["init", "--quiet"]);
    git(&f, &["add", "."]);
    git(&f, &["commit", "--quiet", "-m", "first"]);
    git(&f, &["tag", "v1"]);
    f.write(
        "work/cream.formula",
        cream.replace("glycerin  4 %", "glycerin  6 %"),
    );
    git(&f, &["commit", "--quiet", "-am", "second"]);
    f.write(
        "work/cream.formula",
        cream.replace("glycerin  4 %", "glycerin  7 %"),
    );

    let change = |args: &[&str]| {
        let v = holds("compare", &f.run(&[args, &["--json"]].concat()));
        let glycerin = v["ingredients"]
            .as_array()
            .expect("a list")
            .iter()
            .find(|i| i["name"] == "glycerin")
            .cloned();
        glycerin.map(|g| {
            (
                g["before_percent"].as_str().unwrap().to_owned(),
                g["after_percent"].as_str().unwrap().to_owned(),
            )
        })
    };
    let pair = |a: &str, b: &str| Some((a.to_owned(), b.to_owned()));
    assert_eq!(change(&["compare", "work/cream.formula"]), pair("6", "7"));
    assert_eq!(
        change(&["compare", "work/cream.formula", "--from", "v1"]),
        pair("4", "7")
    );
    assert_eq!(
        change(&[
            "compare",
            "work/cream.formula",
            "--from",
            "v1",
            "--to",
            "HEAD"
        ]),
        pair("4", "6")
    );
    let text = f
        .run(&["compare", "work/cream.formula", "--from", "v1"])
        .out;
    assert!(
        text.contains(", at v1 (") && text.contains("to work/cream.formula,\n  version 1\n"),
        "{text}"
    );

    for (args, words) in [
        (
            &["compare", "work/cream.formula", "--from", "v9"][..],
            "git knows no revision \"v9\" here",
        ),
        (
            &["compare", "work/cream.formula", "--from=--output=x"],
            "git knows no revision",
        ),
        (&["compare", "work/new.formula"], "it is not in revision"),
        (
            &[
                "compare",
                "work/cream.formula",
                "work/gel.formula",
                "--from",
                "v1",
            ],
            "cannot be used with",
        ),
    ] {
        let a = f.run(args);
        assert_eq!((a.status, a.out.as_str()), (2, ""), "{args:?}");
        assert!(a.err.contains(words), "{args:?}: {}", a.err);
    }
    let outside = Folder::new();
    outside.write("cream.formula", OLD);
    let mut command = outside.command(&["compare", "cream.formula"]);
    let a = crate::support::cli::answer(
        command
            .env("GIT_CEILING_DIRECTORIES", outside.path())
            .output()
            .expect("it runs"),
    );
    assert!(
        a.err.contains("in no git repository; name two files"),
        "{}",
        a.err
    );
}

#[test]
fn a_machine_without_git_is_told() {
    let f = Folder::new();
    f.write("cream.formula", OLD);
    let a = crate::support::cli::answer(
        f.command(&["compare", "cream.formula"])
            .env("PATH", f.path())
            .output()
            .expect("it runs"),
    );
    assert_eq!(a.status, 2);
    assert!(
        a.err
            .contains("git is not installed; install it, or name two files"),
        "{}",
        a.err
    );
}
