//! `check` as a process: every exit status, every format, what is said and where.

use crate::support::cli::{Folder, json};

const GOOD: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  jojoba oil        80 %\n  beeswax           20 %\n";
const BANNED: &str = "formula \"Salve\"\n  product: balm, leave-on\n  type: anhydrous\n  sold in: EU\n\nphase A at 70 °C\n  jojoba oil        79 %\n  hydroquinone       1 %\n  beeswax           20 %\n";

#[test]
fn a_clean_file_ends_with_0_a_bad_one_with_1() {
    let f = Folder::new();
    f.write("good.formula", GOOD);
    f.write("bad.formula", BANNED);
    let good = f.run(&["check", "good.formula"]);
    assert_eq!(good.status, 0, "{good:?}");
    assert!(
        good.out.contains("1 file: nothing to object to"),
        "{good:?}"
    );
    assert!(good.out.contains("law as of: EU 20"), "{good:?}");
    let bad = f.run(&["check", "bad.formula"]);
    assert_eq!(bad.status, 1, "{bad:?}");
    assert!(bad.out.contains("[banned]"), "{bad:?}");
    assert!(
        bad.out
            .contains("  8 │   hydroquinone       1 %\n    │   ^^^^^^^^^^^^\n"),
        "{bad:?}"
    );
    assert_eq!(bad.err, "");
}

#[test]
fn json_places_count_characters_from_1() {
    let f = Folder::new();
    f.write("bad.formula", BANNED);
    let answer = f.run(&["check", "--json"]);
    assert_eq!(answer.status, 1);
    let v = json(&answer);
    let found = &v["files"][0]["findings"][0];
    assert_eq!(
        (
            found["code"].as_str(),
            found["line"].as_u64(),
            found["column"].as_u64()
        ),
        (Some("banned"), Some(8), Some(3)),
        "{v}"
    );
    assert_eq!(
        (found["endLine"].as_u64(), found["endColumn"].as_u64()),
        (Some(8), Some(15))
    );
    assert_eq!(found["basis"]["kind"], "law");
    assert_eq!(v["law"][0]["market"], "EU");
    assert_eq!(v["summary"]["errors"], 1);
    assert_eq!(v["files"][0]["path"], "bad.formula");
}

#[test]
fn deny_decides_what_ends_with_1() {
    let f = Folder::new();
    // 0.14 g on a scale that reads 0.01 g: worth a hint.
    let small = GOOD
        .replace("  type:", "  batch: 14 g\n  type:")
        .replace("80 %", "79 %");
    f.write("a.formula", small + "  tocopherol         1 %\n");
    let levels: Vec<(i32, String)> = ["error", "warning", "information", "hint"]
        .iter()
        .map(|l| f.run(&["check", "--deny", l]))
        .map(|a| (a.status, a.out))
        .collect();
    assert_eq!(levels[0].0, 0, "{}", levels[0].1);
    assert!(levels[3].1.contains("hint[below-scale]"), "{}", levels[3].1);
    assert_eq!(levels[3].0, 1, "{}", levels[3].1);
    let wrong = f.run(&["check", "--deny", "loud"]);
    assert_eq!((wrong.status, wrong.out.as_str()), (2, ""));
}

#[test]
fn what_cannot_be_read_is_said_and_the_others_are_judged() {
    let f = Folder::new();
    f.write("bad.formula", BANNED);
    f.write("latin.formula", b"formula \"x\"\n  # caf\xe9\n");
    f.write("wide.formula", b"\xff\xfef\0o\0");
    f.write("huge.formula", vec![b' '; 50_000_000]);
    let a = f.run(&["check", ".", "nowhere.formula", "--json"]);
    assert_eq!(a.status, 2);
    assert!(
        a.err.contains(
            "phasewright: latin.formula:2: this is not UTF-8 text; save the file as UTF-8"
        ),
        "{}",
        a.err
    );
    assert!(
        a.err
            .contains("phasewright: wide.formula:1: this is UTF-16 text"),
        "{}",
        a.err
    );
    assert!(
        a.err
            .contains("phasewright: huge.formula: 50 MB are too much"),
        "{}",
        a.err
    );
    assert!(
        a.err
            .contains("phasewright: nowhere.formula: there is no such file"),
        "{}",
        a.err
    );
    let v = json(&a);
    assert_eq!(v["summary"]["files"], 5);
    assert_eq!(v["summary"]["unreadable"], 4);
    let files = v["files"].as_array().expect("files");
    let of = |name: &str| {
        files
            .iter()
            .find(|x| x["path"] == name)
            .unwrap_or_else(|| panic!("{name} in {v}"))
    };
    assert_eq!(of("bad.formula")["findings"][0]["code"], "banned");
    assert!(of("latin.formula")["error"].is_string());
    assert_eq!(
        of("latin.formula")["findings"].as_array().map(Vec::len),
        Some(0)
    );
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_read_is_said() {
    use std::os::unix::fs::PermissionsExt;
    let f = Folder::new();
    f.write("good.formula", GOOD);
    f.write("shut/bad.formula", BANNED);
    let shut = f.path().join("shut");
    std::fs::set_permissions(&shut, std::fs::Permissions::from_mode(0o000)).expect("permissions");
    // The superuser may read all the same; then the formula inside is judged.
    let open = std::fs::read_dir(&shut).is_ok();
    let a = f.run(&["check"]);
    std::fs::set_permissions(&shut, std::fs::Permissions::from_mode(0o755)).expect("permissions");
    if open {
        assert_eq!(a.status, 1, "{a:?}");
        assert!(a.out.contains("[banned]"));
    } else {
        assert_eq!(a.status, 2, "{a:?}");
        assert!(
            a.err.contains("phasewright: shut: it may not be read"),
            "{}",
            a.err
        );
        assert!(
            a.out.contains("2 files: nothing to object to, 1 not read"),
            "{}",
            a.out
        );
    }
}

#[test]
fn settings_and_own_ingredients_come_from_the_folder_above() {
    let f = Folder::new();
    f.write(
        "phasewright.toml",
        "markets = [\"US\"]\n[severity]\nunknown-ingredient = \"warning\"\n",
    );
    f.write(
        "ingredients/meadow-wax.toml",
        "id = \"meadow-wax\"\nnames = [\"meadow wax\"]\nroles = [\"wax\"]\n",
    );
    f.write(
        "balms/a.formula",
        GOOD.replace("  sold in: EU\n", "")
            .replace("beeswax   ", "meadow wax"),
    );
    f.write("balms/b.formula", GOOD.replace("beeswax   ", "fog wax   "));
    let a = f.run(&["check", "balms", "--json"]);
    let v = json(&a);
    assert_eq!(
        v["files"][0]["findings"].as_array().map(Vec::len),
        Some(0),
        "{v}"
    );
    assert_eq!(v["files"][1]["findings"][0]["code"], "unknown-ingredient");
    assert_eq!(v["files"][1]["findings"][0]["severity"], "warning");
    let markets: Vec<&str> = v["law"]
        .as_array()
        .expect("law")
        .iter()
        .filter_map(|l| l["market"].as_str())
        .collect();
    assert_eq!(markets, ["EU", "US"]);
    assert_eq!(a.status, 0);
    // Also from the folder below.
    let mut inside = f.command(&["check", "a.formula"]);
    let inside = crate::support::cli::answer(
        inside
            .current_dir(f.path().join("balms"))
            .output()
            .expect("it runs"),
    );
    assert_eq!(inside.status, 0, "{inside:?}");
    assert!(inside.out.contains("law as of: US "), "{inside:?}");
}

#[test]
fn own_ingredients_and_settings_are_checked_too() {
    let f = Folder::new();
    f.write("phasewright.toml", "markets = [\"Mars\"]\n");
    f.write(
        "ingredients/wrong.toml",
        "id = \"wrong\"\nnames = [\"wrong\"]\ncas = [\"1-2-3\"]\n",
    );
    f.write("good.formula", GOOD);
    let v = json(&f.run(&["check", "good.formula", "--json"]));
    let said: Vec<(&str, &str, u64)> = v["files"]
        .as_array()
        .expect("files")
        .iter()
        .flat_map(|x| {
            x["findings"]
                .as_array()
                .expect("findings")
                .iter()
                .map(move |y| (x, y))
        })
        .map(|(x, y)| {
            (
                x["path"].as_str().unwrap_or_default(),
                y["code"].as_str().unwrap_or_default(),
                y["line"].as_u64().unwrap_or_default(),
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            ("ingredients/wrong.toml", "ingredient-file", 3),
            ("phasewright.toml", "settings", 1)
        ],
        "{v}"
    );
    // Named as a folder, each is there once.
    let again = json(&f.run(&["check", "--json"]));
    assert_eq!(again["summary"]["errors"], 2, "{again}");
    assert_eq!(again["summary"]["files"], 3);
}

#[test]
fn market_overrules_the_file() {
    let f = Folder::new();
    f.write("bad.formula", BANNED.replace("sold in: EU", "sold in: UK"));
    let v = json(&f.run(&["check", "--json", "--market", "eu,us"]));
    let markets: Vec<&str> = v["law"]
        .as_array()
        .expect("law")
        .iter()
        .filter_map(|l| l["market"].as_str())
        .collect();
    assert_eq!(markets, ["EU", "US"]);
    let wrong = f.run(&["check", "--market", "Mars"]);
    assert_eq!(wrong.status, 2);
    assert!(
        wrong.err.contains("the markets are EU, UK, US, CA"),
        "{}",
        wrong.err
    );
}

#[test]
fn batches_and_stock_are_read() {
    let f = Folder::new();
    f.write("b.batch", "batch HC-1 of \"x.formula\" version 1\n\nweighed\n  glycerin  12.51 g of 12,500 g  lot GLY-07\n");
    f.write(
        "s.stock",
        "lot GLY-07 of glycerin\n  received: 2026-01-10\n",
    );
    let v = json(&f.run(&["check", "--json"]));
    let found = |n: usize| -> Vec<(String, u64)> {
        let all = v["files"][n]["findings"].as_array().expect("findings");
        all.iter()
            .map(|f| {
                let code = f["code"].as_str().expect("a code").to_owned();
                (code, f["line"].as_u64().expect("a line"))
            })
            .collect()
    };
    let said = |code: &str, line| (code.to_owned(), line);
    assert_eq!(
        found(0),
        [
            said("no-date", 1),
            said("unknown-formula", 1),
            said("ambiguous-number", 4)
        ]
    );
    assert_eq!(found(1), []);
    assert_eq!(v["law"].as_array().map(Vec::len), Some(0));
}

#[test]
fn many_files_keep_their_order() {
    let f = Folder::new();
    for n in 0..200 {
        f.write(
            &format!("n{n:03}.formula"),
            if n % 3 == 0 { BANNED } else { GOOD },
        );
    }
    let v = json(&f.run(&["check", "--json"]));
    let paths: Vec<String> = v["files"]
        .as_array()
        .expect("files")
        .iter()
        .map(|x| x["path"].as_str().unwrap_or_default().to_owned())
        .collect();
    let sorted: Vec<String> = (0..200).map(|n| format!("n{n:03}.formula")).collect();
    assert_eq!(paths, sorted);
    assert_eq!(v["summary"]["errors"], 67);
}

#[test]
fn colours_only_where_they_are_wanted() {
    let f = Folder::new();
    f.write("bad.formula", BANNED);
    assert!(
        !f.run(&["check"]).out.contains('\u{1b}'),
        "a pipe is no terminal"
    );
    assert!(
        f.run(&["check", "--color", "always"])
            .out
            .contains("\u{1b}[")
    );
    let set = |name: &str, value: &str, args: &[&str]| {
        crate::support::cli::answer(f.command(args).env(name, value).output().expect("it runs")).out
    };
    assert!(!set("NO_COLOR", "1", &["check"]).contains('\u{1b}'));
    assert!(set("CLICOLOR_FORCE", "1", &["check"]).contains('\u{1b}'));
    assert!(!set("CLICOLOR_FORCE", "1", &["check", "--color", "never"]).contains('\u{1b}'));
}

#[test]
fn a_closed_pipe_is_no_fault() {
    let f = Folder::new();
    for n in 0..400 {
        f.write(&format!("n{n}.formula"), BANNED);
    }
    let pipe = std::process::Stdio::piped;
    let mut child = f
        .command(&["check"])
        .stdout(pipe())
        .stderr(pipe())
        .spawn()
        .expect("it starts");
    drop(child.stdout.take());
    let end = child.wait_with_output().expect("it ends");
    assert!(matches!(end.status.code(), Some(0 | 1)), "{end:?}");
    assert_eq!(String::from_utf8_lossy(&end.stderr), "");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said() {
    let f = Folder::new();
    f.write("bad.formula", BANNED);
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("/dev/full");
    let end = f
        .command(&["check"])
        .stdout(full)
        .output()
        .expect("it runs");
    assert_eq!(end.status.code(), Some(2));
    assert!(
        String::from_utf8_lossy(&end.stderr)
            .starts_with("phasewright: the answer cannot be written"),
        "{end:?}"
    );
}

#[test]
fn github_annotations_are_escaped() {
    let f = Folder::new();
    f.write("50 % off, really.formula", BANNED);
    let a = f.run(&["check", "--format", "github"]);
    assert_eq!(a.status, 1);
    let line = a.out.lines().next().expect("a line");
    assert!(line.starts_with("::error file=50 %25 off%2C really.formula,line=8,endLine=8,col=3,endColumn=15,title=banned::"), "{line}");
    assert!(
        line.contains("in cosmetics. Leave it out%0A")
            && line.contains("0.02 %25%0Alaw: Regulation"),
        "{line}"
    );
    assert_eq!(a.out.lines().count(), 1);
}

#[test]
fn junit_is_well_formed_and_counts() {
    let f = Folder::new();
    f.write(
        "bad & <b>.formula",
        BANNED.replace("hydroquinone ", "\"hydro & <q>\" "),
    );
    f.write("good.formula", GOOD);
    f.write("latin.formula", b"\xe9");
    let a = f.run(&["check", "--format", "junit"]);
    assert_eq!(a.status, 2);
    let doc = roxmltree::Document::parse(&a.out).unwrap_or_else(|e| panic!("{e}: {}", a.out));
    let suites: Vec<_> = doc
        .descendants()
        .filter(|n| n.has_tag_name("testsuite"))
        .collect();
    assert_eq!(
        suites
            .iter()
            .filter_map(|s| s.attribute("name"))
            .collect::<Vec<_>>(),
        ["bad & <b>.formula", "good.formula", "latin.formula"]
    );
    assert_eq!(
        suites
            .iter()
            .filter_map(|s| s.attribute("errors"))
            .collect::<Vec<_>>(),
        ["0", "0", "1"]
    );
    for s in &suites {
        let inside = |tag: &str| {
            s.descendants()
                .filter(|n| n.has_tag_name(tag))
                .count()
                .to_string()
        };
        assert_eq!(s.attribute("tests"), Some(inside("testcase").as_str()));
        assert_eq!(s.attribute("failures"), Some(inside("failure").as_str()));
    }
    assert!(suites[0].attribute("failures") != Some("0"));
}

#[test]
fn sarif_names_rules_places_and_fixes() {
    let f = Folder::new();
    f.write(
        "my creams/bad.formula",
        BANNED.replace("beeswax ", "beeswx "),
    );
    let a = f.run(&["check", "--format", "sarif"]);
    assert_eq!(a.status, 1);
    let v = json(&a);
    assert_eq!(v["version"], "2.1.0");
    let run = &v["runs"][0];
    let results = run["results"].as_array().expect("results");
    for r in results {
        let n = r["ruleIndex"].as_u64().expect("an index") as usize;
        assert_eq!(run["tool"]["driver"]["rules"][n]["id"], r["ruleId"]);
        assert_eq!(
            r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"],
            "my%20creams/bad.formula"
        );
    }
    let banned = results
        .iter()
        .find(|r| r["ruleId"] == "banned")
        .expect("the ban");
    let region = &banned["locations"][0]["physicalLocation"]["region"];
    assert_eq!(
        (
            &region["startLine"],
            &region["startColumn"],
            &region["endColumn"]
        ),
        (&8.into(), &3.into(), &15.into())
    );
    let unknown = results
        .iter()
        .find(|r| r["ruleId"] == "unknown-ingredient")
        .expect("the typo");
    let change = &unknown["fixes"][0]["artifactChanges"][0]["replacements"][0];
    assert_eq!(change["insertedContent"]["text"], "beeswax");
    assert_eq!(change["deletedRegion"]["startLine"], 9);
}

#[test]
fn an_empty_folder_and_a_strange_file() {
    let f = Folder::new();
    let a = f.run(&["check"]);
    assert_eq!(a.status, 0);
    assert!(
        a.err.contains("there is nothing here to check"),
        "{}",
        a.err
    );
    f.write("notes.txt", "hello");
    let b = f.run(&["check", "notes.txt"]);
    assert_eq!(b.status, 2);
    assert!(
        b.err
            .contains("phasewright: notes.txt: this is not a formula"),
        "{}",
        b.err
    );
}
