//! The smaller commands as processes, and every JSON answer held against its schema.

use crate::support::cli::{Folder, json};
use crate::support::schema::holds;
use serde_json::Value;

#[test]
fn check_holds_its_schema() {
    let f = Folder::new();
    f.write("a.formula", "formula \"x\"\n  product: face cream, leave-on\n  sold in: EU\n\nphase A at 80 °C\n  water  q.s.\n  ascorbic acid  5 %\n  phenoxyethanol  1,2 %\n  shea buter  1,000 %\n  hydroquinone  1 %  # except banned: an old recipe, kept to show\n");
    f.write("b.formula", b"\xff");
    let v = holds("check", &f.run(&["check", "--json"]));
    assert!(
        v["files"][0]["findings"]
            .as_array()
            .is_some_and(|l| l.len() > 3),
        "{v}"
    );
    let excepted = v["files"][0]["findings"]
        .as_array()
        .into_iter()
        .flatten()
        .find(|x| x["code"] == "banned")
        .expect("the ban stays");
    assert_eq!(
        (excepted["severity"].as_str(), excepted["excepted"].as_str()),
        (Some("warning"), Some("an old recipe, kept to show"))
    );
}

#[test]
fn ingredient_in_text_and_json() {
    let f = Folder::new();
    for name in [
        "sodium benzoate",
        "lavender oil",
        "titanium dioxide",
        "hydroquinone",
        "beeswax",
        "cocamidopropyl betaine",
        "salicylic acid",
    ] {
        let v = holds("ingredient", &f.run(&["ingredient", name, "--json"]));
        assert!(v["id"].is_string());
    }
    let v = holds("ingredient", &f.run(&["ingredient", "532-32-1", "--json"]));
    assert_eq!(v["id"], "sodium-benzoate");
    let text = f.run(&["ingredient", "Sodium", "Benzoate"]);
    assert_eq!(text.status, 0);
    assert!(
        text.out
            .starts_with("sodium benzoate\n  INCI Sodium Benzoate; CAS 532-32-1"),
        "{}",
        text.out
    );
    let painted = f.run(&["ingredient", "sodium benzoate", "--color", "always"]);
    let plain: String = anstream::adapter::strip_str(&painted.out).to_string();
    assert_ne!(painted.out, text.out);
    assert_eq!(plain, text.out);
}

#[test]
fn an_unknown_name_is_answered_with_near_ones() {
    let f = Folder::new();
    let a = f.run(&["ingredient", "shea buter"]);
    assert_eq!((a.status, a.out.as_str()), (2, ""));
    assert!(a.err.contains("did you mean \"shea butter\""), "{}", a.err);
    let b = f.run(&["ingredient", "vitamin", "E"]);
    assert_eq!(b.status, 2);
    assert!(
        b.err.contains("say which: ") && b.err.contains("tocopherol"),
        "{}",
        b.err
    );
}

#[test]
fn own_ingredients_have_cards_too() {
    let f = Folder::new();
    f.write(
        "ingredients/meadow-wax.toml",
        "id = \"meadow-wax\"\nnames = [\"meadow wax\"]\nroles = [\"wax\"]\n",
    );
    let v = holds(
        "ingredient",
        &f.run(&["ingredient", "meadow wax", "--json"]),
    );
    assert_eq!(v["own_file"], "ingredients/meadow-wax.toml");
}

#[test]
fn find_ranks_and_filters() {
    let f = Folder::new();
    let v = holds("find", &f.run(&["find", "glycerin", "--json"]));
    assert_eq!(v["results"][0]["id"], "glycerin");
    let v = holds(
        "find",
        &f.run(&[
            "find",
            "--role",
            "humectant",
            "--phase",
            "water",
            "--all",
            "--json",
        ]),
    );
    let results = v["results"].as_array().expect("results");
    assert_eq!(v["found"].as_u64(), Some(results.len() as u64));
    assert!(results.iter().any(|r| r["id"] == "glycerin"));
    let fits = |r: &Value| {
        r["roles"]
            .as_array()
            .is_some_and(|l| l.iter().any(|x| x == "humectant"))
    };
    assert!(results.len() > 5 && results.iter().all(fits));
    let v = holds(
        "find",
        &f.run(&["find", "hydroquinone", "--market", "EU", "--json"]),
    );
    assert!(
        v["results"]
            .as_array()
            .expect("results")
            .iter()
            .all(|r| r["id"] != "hydroquinone"),
        "banned, so left out: {v}"
    );
    let v = holds(
        "find",
        &f.run(&["find", "phenoxyethanol", "--market", "EU", "--json"]),
    );
    assert!(
        v["results"][0]["limits"]
            .as_array()
            .is_some_and(|l| !l.is_empty()),
        "{v}"
    );
    let nothing = f.run(&["find", "glycerinn"]);
    assert_eq!((nothing.status, nothing.out.as_str()), (0, ""));
    assert!(
        nothing.err.to_lowercase().contains("is it glycerin"),
        "{}",
        nothing.err
    );
    let wrong = f.run(&["find", "--role", "emulsifer"]);
    assert_eq!(wrong.status, 2);
    assert!(
        wrong.err.contains("did you mean \"emulsifier\"?"),
        "{}",
        wrong.err
    );
    assert_eq!(
        f.run(&["find"]).status,
        2,
        "something to look for is needed"
    );
}

#[test]
fn explain_shows_pages_and_the_table() {
    let f = Folder::new();
    let v = holds("rules", &f.run(&["explain", "--json"]));
    let rules = v["rules"].as_array().expect("rules").clone();
    assert!(rules.len() > 30);
    let table = f.run(&["explain"]).out;
    for r in &rules {
        let code = r["code"].as_str().expect("a code");
        assert!(table.contains(code), "{code}");
        holds("explain", &f.run(&["explain", code, "--json"]));
    }
    let page = f.run(&["explain", "heat-sensitive"]).out;
    assert!(
        page.starts_with("[heat-sensitive]")
            && page.contains("reported:")
            && page.contains("What to do"),
        "{page}"
    );
    let near = f.run(&["explain", "heat-sensitiv"]);
    assert_eq!((near.status, near.out.as_str()), (2, ""));
    assert!(
        near.err.contains("did you mean heat-sensitive"),
        "{}",
        near.err
    );
}

#[test]
fn a_new_formula_is_sound_and_never_overwrites() {
    let f = Folder::new();
    let a = f.run(&["new", "Day cream"]);
    assert_eq!(a.status, 0, "{a:?}");
    let text = f.read("day-cream.formula");
    assert!(text.starts_with("formula \"Day cream\"\n"), "{text}");
    let v = json(&f.run(&["check", "--json", "--deny", "warning"]));
    let loud: Vec<&Value> = v["files"][0]["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .collect();
    assert!(loud.is_empty(), "the starter is silent: {loud:?}");
    assert_eq!(
        f.run(&["format", "--check"]).status,
        0,
        "the starter is in its usual layout"
    );
    f.write("day-cream.formula", "mine");
    let b = f.run(&["new", "day-cream"]);
    assert_eq!(b.status, 2);
    assert!(
        b.err
            .contains("phasewright: day-cream.formula: this file is there already"),
        "{}",
        b.err
    );
    assert_eq!(f.read("day-cream.formula"), "mine");
    assert_eq!(f.run(&["new", "no/such/folder"]).status, 2);
}

#[test]
fn kb_check_and_report() {
    let f = Folder::new();
    let v = holds("kb-check", &f.run(&["kb", "check", "--json"]));
    assert_eq!(v["faults"].as_array().map(Vec::len), Some(0), "{v}");
    f.write(
        "ingredients/wrong.toml",
        "id = \"wrong\"\nnames = [\"wrong\"]\ncas = [\"1-2-3\"]\n",
    );
    let a = f.run(&["kb", "check", ".", "--json"]);
    assert_eq!(a.status, 1);
    let v = holds("kb-check", &a);
    assert_eq!(
        (
            v["faults"][0]["path"].as_str(),
            v["faults"][0]["line"].as_u64()
        ),
        (Some("ingredients/wrong.toml"), Some(3)),
        "{v}"
    );
    assert_eq!(f.run(&["kb", "check", "nowhere"]).status, 2);
    let v = holds("kb-report", &f.run(&["kb", "report", "--json"]));
    assert!(v["ingredients"].as_u64() > Some(450));
    assert!(f.run(&["kb", "report"]).out.contains("memory"));
}

#[test]
fn completions_and_manual_name_every_command() {
    let f = Folder::new();
    let commands = [
        "check",
        "format",
        "explain",
        "ingredient",
        "find",
        "new",
        "kb",
        "serve",
        "completions",
        "manual",
    ];
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let a = f.run(&["completions", shell]);
        assert_eq!(a.status, 0);
        // The script has the shell ask the program; `cli_options` does so in a real one.
        assert!(a.out.contains("PHASEWRIGHT_COMPLETE"), "{shell}: {}", a.out);
    }
    let man = f.run(&["manual"]);
    assert!(
        man.out.contains("PHASEWRIGHT CHECK") && man.out.contains("deny"),
        "the options of a command are there: {}",
        man.out
    );
    assert!(
        man.out.contains(".TH") && commands.iter().all(|c| man.out.contains(c)),
        "{}",
        man.out
    );
}

#[test]
fn wrong_usage_ends_with_2() {
    let f = Folder::new();
    for args in [
        &["nonsense"][..],
        &[],
        &["check", "--format", "xml"],
        &["check", "--json", "--format", "sarif"],
        &["explain", "a", "b"],
    ] {
        let a = f.run(args);
        assert_eq!((a.status, a.out.as_str()), (2, ""), "{args:?}");
        assert!(!a.err.is_empty());
    }
    assert_eq!(f.run(&["--version"]).status, 0);
    assert_eq!(f.run(&["serve", "--listen", "nowhere"]).status, 2);
}
