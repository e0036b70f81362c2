//! The options that people expect of a checker: repair, difference, watching, standard input, patterns, settings, counting.

use crate::support::cli::{Folder, answer, json};
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

const GOOD: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  jojoba oil        80 %\n  beeswax           20 %\n";
const BANNED: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  jojoba oil        79 %\n  hydroquinone       1 %\n  beeswax           20 %\n";
/// A name without quotes: what is meant is understood, so that it is safe to repair.
const SLIPS: &str = "formula \"Crème 🧴\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A: wax at 70 °C\n  jojoba oil        80 %\n  beeswax           20 %\n";

#[test]
fn fix_repairs_what_is_safe_and_nothing_else() {
    let f = Folder::new();
    f.write("slips.formula", SLIPS);
    f.write("banned.formula", BANNED);
    let a = f.run(&["check", "--fix"]);
    assert_eq!(a.status, 1, "the ban stays: {a:?}");
    assert!(a.err.contains("repaired in 1 file"), "{a:?}");
    let text = f.read("slips.formula");
    assert!(text.contains("\nphase A \"wax\" at 70 °C\n"), "{text}");
    assert_eq!(text.replace("A \"wax\" at", "A: wax at"), SLIPS);
    assert_eq!(f.read("banned.formula"), BANNED);
    assert!(
        !a.out.contains("slips.formula"),
        "nothing is left to say of it: {a:?}"
    );
    let again = f.run(&["check", "--fix", "slips.formula"]);
    assert_eq!((again.status, again.err.as_str()), (0, ""));
}

#[test]
fn diff_shows_what_fix_would_do_as_git_applies_it() {
    let f = Folder::new();
    f.write("slips.formula", SLIPS);
    let a = f.run(&["check", "--diff"]);
    assert_eq!(a.status, 1, "{a:?}");
    assert!(
        a.out
            .contains("-phase A: wax at 70 °C\n+phase A \"wax\" at 70 °C\n"),
        "{a:?}"
    );
    assert_eq!(f.read("slips.formula"), SLIPS);
    let git = |args: &[&str]| {
        let done = Command::new("git")
            .current_dir(f.path())
            .args(args)
            .output();
        assert!(done.expect("git runs").status.success(), "{args:?}");
    };
    f.write("fix.patch", &a.out);
    git(&["init", "-q"]);
    git(&["apply", "fix.patch"]);
    let after = f.run(&["check", "--diff"]);
    assert_eq!((after.status, after.out.as_str()), (0, ""));
}

#[test]
fn watch_judges_again_when_a_file_is_saved() {
    let f = Folder::new();
    f.write("a.formula", GOOD);
    let mut child = f
        .command(&["check", "--watch"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let mut lines = BufReader::new(child.stdout.take().expect("a pipe")).lines();
    let mut until = |wanted: &str| {
        let found = lines
            .by_ref()
            .map_while(Result::ok)
            .find(|l| l.contains(wanted));
        assert!(found.is_some(), "no `{wanted}`");
    };
    until("nothing to object to");
    f.write("a.formula", BANNED);
    until("[banned]");
    f.write("phasewright.toml", "[severity]\nbanned = \"warning\"\n");
    until("[banned]");
    child.kill().expect("it runs until it is ended");
    child.wait().expect("it ends");
}

#[test]
fn standard_input_is_judged_as_the_file_that_it_is_named() {
    let f = Folder::new();
    f.write(
        "creams/phasewright.toml",
        "[severity]\nunknown-ingredient = \"off\"\n",
    );
    let misspelt = GOOD.replace("beeswax ", "beeswx ");
    let unnamed = f.run_with_input(&["check", "-", "--json"], misspelt.as_bytes());
    assert_eq!(unnamed.status, 1);
    assert_eq!(json(&unnamed)["files"][0]["path"], "stdin.formula");
    let named = [
        "check",
        "-",
        "--stdin-filename",
        "creams/new.formula",
        "--json",
    ];
    let named = f.run_with_input(&named, misspelt.as_bytes());
    let found = json(&named);
    assert_eq!(found["files"][0]["path"], "creams/new.formula");
    assert!(!named.out.contains("unknown-ingredient"), "{named:?}");
    let fixed = f.run_with_input(&["check", "-", "--fix"], SLIPS.as_bytes());
    assert_eq!(fixed.out, SLIPS.replace("A: wax at", "A \"wax\" at"));
    let wrong = f.run_with_input(&["check", "-", "--stdin-filename", "a.txt"], b"");
    assert_eq!(wrong.status, 2);
    assert_eq!(f.run(&["check", "--stdin-filename", "a.formula"]).status, 2);
    assert_eq!(
        f.run_with_input(&["check", "-", "a.formula"], b"").status,
        2
    );
}

#[test]
fn patterns_are_expanded_where_the_shell_does_not() {
    let f = Folder::new();
    f.write("creams/a.formula", BANNED);
    f.write("creams/deep/b.formula", BANNED);
    f.write("creams/a.txt", "no formula");
    f.write("balms/c.formula", GOOD);
    let shallow = json(&f.run(&["check", "creams/*.formula", "--json"]));
    assert_eq!(shallow["summary"]["files"], 1, "{shallow}");
    let deep = json(&f.run(&["check", "**/*.formula", "--json"]));
    assert_eq!(deep["summary"]["files"], 3, "{deep}");
    let none = f.run(&["check", "soaps/*.formula"]);
    assert_eq!(none.status, 2, "{none:?}");
}

#[test]
fn what_gitignore_and_the_settings_leave_out_is_looked_at_only_where_it_is_named() {
    let f = Folder::new();
    f.write(".git/HEAD", "ref: refs/heads/main\n");
    f.write(".gitignore", "/build\n");
    f.write(
        "phasewright.toml",
        "exclude = [\"drafts/\", \"*.old.formula\"]\n",
    );
    f.write("good.formula", GOOD);
    for name in ["build/a.formula", "drafts/b.formula", "cream.old.formula"] {
        f.write(name, BANNED);
    }
    let all = f.run(&["check", "--json"]);
    assert_eq!(
        (all.status, &json(&all)["summary"]["files"]),
        (0, &1.into()),
        "{all:?}"
    );
    assert_eq!(f.run(&["check", "drafts/b.formula"]).status, 1);
    assert_eq!(f.run(&["check", "build/a.formula"]).status, 1);
    // The formatter leaves the same out.
    f.write(
        "drafts/b.formula",
        BANNED.replace("  hydroquinone ", "      hydroquinone "),
    );
    assert_eq!(f.run(&["format", "--check"]).status, 0);
    assert_eq!(f.run(&["format", "--check", "drafts/b.formula"]).status, 1);
}

#[test]
fn settings_may_be_named_for_all_files() {
    let f = Folder::new();
    f.write("creams/phasewright.toml", "markets = [\"EU\"]\n");
    f.write("creams/a.formula", GOOD.replace("beeswax ", "beeswx "));
    f.write(
        "other/ci.toml",
        "exclude = [\"drafts/\"]\n[severity]\nunknown-ingredient = \"off\"\n",
    );
    f.write("drafts/b.formula", BANNED);
    assert_eq!(f.run(&["check"]).status, 1);
    assert_eq!(f.run(&["check", "creams"]).status, 1);
    let named = f.run(&["check", "--config", "other/ci.toml"]);
    assert_eq!(
        named.status, 0,
        "what it leaves out is meant from here: {named:?}"
    );
    let nowhere = f.run(&["check", "--config", "none.toml"]);
    assert_eq!(nowhere.status, 2, "{nowhere:?}");
    assert!(nowhere.err.contains("none.toml"), "{nowhere:?}");
}

#[test]
fn quiet_says_nothing_but_what_was_found() {
    let f = Folder::new();
    f.write("a.formula", GOOD);
    let good = f.run(&["check", "-q"]);
    assert_eq!(
        (good.status, good.out.as_str(), good.err.as_str()),
        (0, "", "")
    );
    f.write("a.formula", BANNED);
    let bad = f.run(&["check", "-q"]);
    assert!(
        bad.out.contains("[banned]") && !bad.out.contains("law as of"),
        "{bad:?}"
    );
}

#[test]
fn rules_are_selected_left_out_and_counted() {
    let f = Folder::new();
    f.write("a.formula", BANNED.replace("beeswax ", "beeswx "));
    let of = |args: &[&str]| {
        let mut all = vec!["check", "--format", "jsonl"];
        all.extend(args);
        let a = f.run(&all);
        let mut codes: Vec<String> = a
            .out
            .lines()
            .map(|l| serde_json::from_str::<serde_json::Value>(l).expect("JSON on each line"))
            .map(|v| {
                assert_eq!(v["path"], "a.formula");
                v["code"].as_str().expect("a code").to_owned()
            })
            .collect();
        codes.sort();
        codes.dedup();
        (a.status, codes)
    };
    let (_, all) = of(&[]);
    assert!(
        all.len() >= 2 && all.contains(&"banned".to_owned()),
        "{all:?}"
    );
    assert_eq!(
        of(&["--select", "banned,unknown-ingredient"]).1,
        ["banned", "unknown-ingredient"]
    );
    let without = of(&["--ignore", "banned"]);
    assert!(!without.1.contains(&"banned".to_owned()) && without.1.len() == all.len() - 1);
    let wrong = f.run(&["check", "--select", "baned"]);
    assert_eq!(wrong.status, 2);
    assert!(wrong.err.contains("did you mean banned?"), "{wrong:?}");
    let counted = f.run(&["check", "--statistics"]);
    assert_eq!(counted.status, 1);
    assert!(
        counted
            .out
            .lines()
            .any(|l| l.trim_start().starts_with("1  banned ")),
        "{counted:?}"
    );
    let counts = crate::support::schema::holds(
        "check-statistics",
        &f.run(&["check", "--statistics", "--json"]),
    );
    let rows = counts["statistics"].as_array().expect("rows");
    assert_eq!(rows.len(), all.len());
}

#[test]
fn one_broken_key_costs_that_key_alone() {
    let f = Folder::new();
    f.write(
        "phasewright.toml",
        "marekts = [\"EU\"]\nscale = 5\n[severity]\nbanned = \"warning\"\nno-such = \"off\"\n",
    );
    f.write("a.formula", GOOD);
    let a = f.run(&["check", "--json"]);
    let v = json(&a);
    let lines: Vec<u64> = v["files"]
        .as_array()
        .expect("files")
        .iter()
        .filter(|x| x["path"] == "phasewright.toml")
        .flat_map(|x| x["findings"].as_array().expect("findings"))
        .map(|x| x["line"].as_u64().expect("a line"))
        .collect();
    assert_eq!(lines, [1, 2, 5], "{v}");
    assert!(a.out.contains("did you mean \\\"markets\\\"?"), "{v}");
}

#[test]
fn init_begins_a_folder_once() {
    let f = Folder::new();
    let a = f.run(&["init", "creams"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert!(f.read("creams/phasewright.toml").contains("markets ="));
    f.write("creams/a.formula", GOOD);
    assert_eq!(f.run(&["check", "creams"]).status, 0);
    let again = f.run(&["init", "creams"]);
    assert_eq!(again.status, 2);
    assert!(again.err.contains("there already"), "{again:?}");
}

#[test]
fn rewrite_writes_the_amounts_in_another_way() {
    let f = Folder::new();
    let percent = GOOD.replace("  type:", "  batch: 250 g\n  type:");
    f.write("a.formula", &percent);
    let grams = f.run(&["rewrite", "a.formula", "--grams"]);
    assert_eq!(grams.status, 0, "{grams:?}");
    assert!(f.read("a.formula").contains("200 g") && f.read("a.formula").contains("50 g"));
    let back = f.run(&["rewrite", "a.formula", "--percent", "--stdout"]);
    assert!(
        back.out.contains("80 %") && back.out.contains("20 %"),
        "{back:?}"
    );
    assert!(
        f.read("a.formula").contains("200 g"),
        "the file is as it was"
    );
    f.write("b.formula", GOOD.replace("80 %", "30 %"));
    let hundred = f.run(&["rewrite", "b.formula", "--to-100", "--diff"]);
    assert!(
        hundred.out.contains("+  jojoba oil        60 %"),
        "{hundred:?}"
    );
    f.write("b.formula", GOOD);
    let done = f.run(&["rewrite", "b.formula", "--to-100"]);
    assert_eq!(done.status, 2);
    assert!(
        done.err.contains("b.formula: nothing is changed"),
        "{done:?}"
    );
    assert_eq!(f.run(&["rewrite", "b.formula"]).status, 2);
}

#[test]
fn the_pattern_of_batch_codes_is_followed() {
    let f = Folder::new();
    f.write(
        "phasewright.toml",
        "[batch]\ncode = \"{year}-{formula}{n}\"\n",
    );
    let formula = GOOD.replace("  type:", "  batch: 250 g\n  code: SA\n  type:");
    f.write("salve.formula", formula);
    let a = f.run(&["batch", "new", "salve.formula", "--on", "2026-03-14"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert!(
        f.read("2026-SA001.batch")
            .starts_with("batch 2026-SA001 of \"salve.formula\"")
    );
    f.run(&["batch", "new", "salve.formula", "--on", "2026-03-15"]);
    assert!(f.path().join("2026-SA002.batch").is_file());
}

/// A real bash asks the program, as it does when a maker presses the tab key.
#[cfg(unix)]
#[test]
fn completions_know_codes_markets_and_materials() {
    let f = Folder::new();
    let program = std::path::Path::new(env!("CARGO_BIN_EXE_phasewright"));
    let path = format!(
        "{}:{}",
        program.parent().expect("a folder").display(),
        std::env::var("PATH").expect("a path")
    );
    let ask = |words: &[&str]| {
        let script = format!(
            "source <(phasewright completions bash)\nCOMP_WORDS=({})\nCOMP_CWORD={}\nCOMP_TYPE=9\nfn=$(complete -p phasewright | sed 's/.*-F \\([^ ]*\\).*/\\1/')\n$fn phasewright \"${{COMP_WORDS[COMP_CWORD]}}\" \"${{COMP_WORDS[COMP_CWORD-1]}}\"\nprintf '%s\\n' \"${{COMPREPLY[@]}}\"\n",
            words.join(" "),
            words.len() - 1
        );
        let mut bash = Command::new("bash");
        bash.current_dir(f.path())
            .env("PATH", &path)
            .args(["--norc", "-c", &script]);
        answer(bash.output().expect("bash runs")).out
    };
    assert!(ask(&["phasewright", "ch"]).contains("check"));
    assert!(ask(&["phasewright", "check", "--select", "heat-s"]).contains("heat-sensitive"));
    assert!(
        ask(&["phasewright", "check", "--select", "banned,heat-s"])
            .contains("banned,heat-sensitive")
    );
    assert!(ask(&["phasewright", "check", "--market", "U"]).contains("UK"));
    assert!(ask(&["phasewright", "explain", "above-l"]).contains("above-legal-limit"));
    assert!(ask(&["phasewright", "ingredient", "glycer"]).contains("glycerin"));
}

#[test]
fn every_command_has_a_manual_page() {
    let f = Folder::new();
    assert_eq!(f.run(&["manual", "--pages", "man"]).status, 0);
    for page in [
        "phasewright.1",
        "phasewright-check.1",
        "phasewright-batch-new.1",
        "phasewright-rewrite.1",
    ] {
        assert!(f.read(&format!("man/{page}")).contains(".TH"), "{page}");
    }
    assert!(f.read("man/phasewright-check.1").contains("stdin"));
}

#[test]
fn sarif_is_what_its_schema_says() {
    let f = Folder::new();
    f.write("a.formula", BANNED.replace("beeswax ", "beeswx "));
    f.write(
        "excepted.formula",
        BANNED.replace("   1 %\n", "   1 %  # except banned: for a court\n"),
    );
    f.write("latin.formula", b"formula \"x\"\n  # caf\xe9\n");
    let answer = json(&f.run(&["check", "--format", "sarif"]));
    let schema: serde_json::Value =
        serde_json::from_str(include_str!("../schemas/sarif-2.1.0.json")).expect("JSON");
    let (mut schemas, mut compiler) = (boon::Schemas::new(), boon::Compiler::new());
    compiler
        .add_resource("sarif.json", schema)
        .expect("a schema");
    let index = compiler
        .compile("sarif.json", &mut schemas)
        .expect("it compiles");
    if let Err(e) = schemas.validate(&answer, index) {
        panic!("{e:#}");
    }
    let results = answer["runs"][0]["results"].as_array().expect("results");
    let suppressed: Vec<_> = results
        .iter()
        .filter(|r| r.get("suppressions").is_some())
        .collect();
    assert_eq!(suppressed.len(), 1, "{answer}");
    assert_eq!(
        suppressed[0]["suppressions"][0]["justification"],
        "for a court"
    );
    for rule in answer["runs"][0]["tool"]["driver"]["rules"]
        .as_array()
        .expect("rules")
    {
        assert!(
            rule["help"]["markdown"]
                .as_str()
                .is_some_and(|h| h.len() > 50)
                || rule["id"] == "unreadable-file",
            "{rule}"
        );
    }
}
