//! Records as makers write them: what of the bench is understood, what the settings ask for, what two people's work leaves.

use crate::support::cli::{Folder, json};
use phasewright::syntax::{Event, FileKind, Node, parse};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn bench() -> String {
    std::fs::read_to_string(root().join("tests/workshop/bench.batch")).expect("the bench is there")
}

/// Line, code, severity and message of what is said of a file.
fn said(f: &Folder, file: &str) -> Vec<(u64, String, String, String)> {
    let a = json(&f.run(&["check", file, "--json"]));
    a["files"][0]["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .map(|f| {
            let text = |key: &str| f[key].as_str().unwrap_or("").to_owned();
            (
                f["line"].as_u64().unwrap_or(0),
                text("code"),
                text("severity"),
                text("message"),
            )
        })
        .collect()
}

fn has(all: &[(u64, String, String, String)], line: u64, code: &str) -> bool {
    all.iter().any(|(l, c, ..)| *l == line && c == code)
}

/// Words that begin an event of the log.
const OURS: [&str; 9] = [
    "ph", "add", "yield", "sample", "fill", "keep", "tare", "gross", "combined",
];

/// Codes that say that a line, or a word of it, is not understood.
const READING: [&str; 6] = [
    "syntax",
    "unknown-field",
    "log-not-understood",
    "addition-unknown",
    "unknown-ingredient",
    "ambiguous-number",
];

/// Each of the lines is understood, is text without one of our words in front, or has a finding that says that it is not understood.
#[test]
fn no_line_of_the_bench_is_misread_in_silence() {
    let f = Folder::new();
    f.write("bench.batch", bench());
    let formula = root().join("examples/workshop/gardeners-hand-cream.formula");
    f.write(
        "gardeners-hand-cream.formula",
        std::fs::read(formula).expect("the formula is there"),
    );
    let found = said(&f, "bench.batch");
    let tree = parse(FileKind::Batch, &bench());
    let mut lines = 0;
    for (n, at) in tree.lines.iter().enumerate() {
        let line = &*at.line;
        let told = READING.iter().any(|code| has(&found, n as u64 + 1, code));
        let events = match &line.node {
            Node::Blank | Node::Comment | Node::Heading(_) => continue,
            Node::Log(l) => l.events.as_slice(),
            Node::Observation(o) => o.events.as_slice(),
            Node::Note => {
                lines += 1;
                let first = line.text.trim().to_lowercase();
                assert!(
                    told || !first.starts_with("complaint"),
                    "line {}: {}",
                    n + 1,
                    line.text
                );
                continue;
            }
            _ => {
                lines += 1;
                continue;
            }
        };
        lines += 1;
        for event in events {
            match &event.value {
                Event::Text(words) => {
                    let first = words.trim().to_lowercase();
                    let ours = OURS.iter().any(|o| first.starts_with(o))
                        && first.chars().any(|c| c.is_ascii_digit());
                    assert!(told || !ours, "line {}: {words}", n + 1);
                }
                Event::Temperature { vessel, .. } | Event::Weight { vessel, .. } => {
                    let known = vessel
                        .as_ref()
                        .is_none_or(|v| ["A", "B", "water bath"].contains(&v.as_str()));
                    assert!(known, "line {}: {vessel:?} is no vessel", n + 1);
                }
                Event::Add { what, .. } => {
                    assert!(!what.contains(" at "), "line {}: {what}", n + 1);
                }
                _ => {}
            }
        }
    }
    assert!(lines >= 88, "{lines} lines of the bench");
    // What was dropped or taken for something else, each by its line.
    for (begins, code) in [
        ("by: Ana, checked Ben", "syntax"),
        ("glycerin  80 g + 45 g of 125 g", "syntax"),
        ("glycerin  about 125 g", "syntax"),
        ("glycerin  125 g of 5 %", "syntax"),
        ("glycerin  125 g of 125 g  (lot GLY-07)", "syntax"),
        ("10.05  A 76", "syntax"),
        ("10h05  A 76", "syntax"),
        ("14.3.2026 12:10", "syntax"),
        ("10:28  put back 4.3 g water", "addition-unknown"),
        ("10:28  water +4.3 g", "addition-unknown"),
        ("10:28  +4.3 g water", "addition-unknown"),
        ("11:30  12 g lactic acid 10 %", "addition-unknown"),
        ("11:40  pH meter 5.4", "log-not-understood"),
        ("11:40  pH about 5.5 (strip)", "log-not-understood"),
        ("11:40  pH 5.4 too high", "log-not-understood"),
        ("11:50  sample 30 g for retain", "log-not-understood"),
        ("11:50  retain 2 x 50 g", "log-not-understood"),
        ("12:00  filled 48 x 50 g", "log-not-understood"),
        ("12:00  filled 48 jars", "log-not-understood"),
        ("12:00  yield 2440", "log-not-understood"),
        ("complaint 2026-05-02", "log-not-understood"),
    ] {
        let at = bench()
            .lines()
            .position(|l| l.trim().starts_with(begins))
            .unwrap_or_else(|| panic!("{begins}"));
        assert!(
            has(&found, at as u64 + 1, code),
            "{begins}: {code} is missing; {:?}",
            found
                .iter()
                .filter(|f| f.0 == at as u64 + 1)
                .collect::<Vec<_>>()
        );
    }
    // The yield is the last one written, and what was lost, spilled or corrected in words is no weight.
    let a = json(&f.run(&["batch", "show", "bench.batch", "--json"]));
    assert_eq!(a["yield_g"], "2440");
}

const FORMULA: &str = "formula \"Gel\"\n  version: 4\n  product: hand gel, leave-on\n  pH: 5.0 to 5.5\n  batch: 250 g\n\nphase A at 75 °C\n  water  q.s.\n  glycerin  5 %\n\nphase D below 40 °C\n  lactic acid 10 %  q.s. to pH 5.2, about 1 %\n";

/// However an addition between two readings is written, the dose is the same, or it is refused and the line is named.
#[test]
fn ten_ways_to_write_an_addition_give_one_dose_or_none() {
    let f = Folder::new();
    f.write("gel.formula", FORMULA);
    let dose = |addition: &str| {
        let text = format!(
            "batch X-1 of \"gel.formula\" version 4\n  target: 250 g\n\nlog\n  11:40  pH 6.4\n  {addition}\n  11:50  pH 5.9\n"
        );
        f.write("x.batch", text);
        f.run(&["dose", "x.batch", "--target", "5.2", "--json"])
    };
    let right = json(&dose("11:44  add 1.50 g lactic acid 10 %"))["suggest_first_g"].clone();
    assert!(right.is_string(), "{right}");
    let (mut same, mut refused) = (0, 0);
    for way in [
        "11:44  add 1.50 g lactic acid 10 % lot LAC-03",
        "11:44  added 1.50 g of lactic acid 10 % to the batch",
        "11:44  add 1,50 g lactic acid 10%",
        "11:44  add lactic acid 10 % 1.50 g",
        "11:44  add D 1.50 g lot LAC-03",
        "11:44  add 1500 mg lactic acid 10 %",
        "11:44  1.50 g lactic acid 10 %",
        "11:44  +1.50 g lactic acid 10 %",
        "11:44  lactic acid 10 % 1.50 g",
        "11:44  add 1.50 g lactik acid 10 %",
        "11:44  add 30 drops lactic acid 10 %",
        "11:44  add lactic acid",
        "11.44  add 1.50 g lactic acid 10 %",
    ] {
        let a = dose(way);
        if a.status == 2 {
            assert!(
                a.err.contains("x.batch:6"),
                "{way}: the line is not named: {}",
                a.err
            );
            refused += 1;
        } else {
            assert_eq!(json(&a)["suggest_first_g"], right, "{way}");
            same += 1;
        }
    }
    assert_eq!((same, refused), (6, 7));
}

/// A strip is shown and judged; a dose is not worked out from it.
#[test]
fn a_reading_with_a_width_is_too_coarse_for_a_dose() {
    let f = Folder::new();
    f.write("gel.formula", FORMULA);
    let record = "batch X-1 of \"gel.formula\" version 4\n  made: 2026-03-14\n  target: 250 g\n\nlog\n  11:40  pH 6.4\n  11:44  add 1.50 g lactic acid 10 %\n  11:50  pH 5.8-6.2 (strip)\n  12:10  yield 243 g\n";
    f.write("x.batch", record);
    let a = f.run(&["dose", "x.batch", "--target", "5.2"]);
    assert_eq!(a.status, 2, "{a:?}");
    assert!(
        a.err.contains("x.batch:8") && a.err.contains("too coarse"),
        "{}",
        a.err
    );
    let found = said(&f, "x.batch");
    assert!(has(&found, 8, "ph-off-target"), "{found:?}");
    assert!(has(&found, 8, "ph-way"), "{found:?}");
}

const SHELF: &str = "lot GLY-07 of glycerin\n  received: 2026-01-10\n  best before: 2028-01-31\n  bought: 1 kg for 9.40 EUR\n\nledger\n  2026-04-01  sold 1 x 50 g R-001 to the corner pharmacy, invoice 7\n";
const RECORD: &str = "batch R-001 of \"rinse.formula\" version 1\n  made: 2026-03-14\n  target: 250 g\n  by: Ana\n\nweighed\n  water     237.50 g of 237.50 g\n  glycerin   12.50 g of 12.50 g   lot GLY-07\n\nlog\n  10:05  stirred 5 min\n  12:10  yield 243.1 g\n";
const RINSE: &str = "formula \"Rinse\"\n  version: 1\n  product: hand gel, leave-on\n\nphase A\n  water     q.s.\n  glycerin  5 %\n";

fn small_workshop(settings: &str, record: &str) -> Folder {
    let f = Folder::new();
    f.write("phasewright.toml", settings);
    f.write("rinse.formula", RINSE);
    f.write("shelf.stock", SHELF);
    f.write("r.batch", record);
    f
}

/// What a workshop does not keep is not asked for; each of the three is asked for by one setting.
#[test]
fn settings_switch_on_what_a_workshop_keeps() {
    let packed = format!("{RECORD}\npacked\n  4 x 50 g, 1 kept\n");
    let codes = |settings: &str, record: &str, file: &str| -> Vec<String> {
        let f = small_workshop(settings, record);
        said(&f, file)
            .into_iter()
            .map(|(_, code, ..)| code)
            .collect()
    };
    assert_eq!(codes("", &packed, "r.batch"), [] as [&str; 0]);
    assert_eq!(
        codes("[workshop]\nrelease = true\n", &packed, "r.batch"),
        ["lot-not-released"]
    );
    assert_eq!(
        codes("[workshop]\nrelease = true\n", &packed, "shelf.stock"),
        ["sold-not-released"]
    );
    assert_eq!(
        codes("[workshop]\ntwo-people = true\n", &packed, "r.batch"),
        ["not-checked"]
    );
    let checked = packed.replace("  by: Ana\n", "  by: Ana\n  checked: Ben\n");
    assert_eq!(
        codes("[workshop]\ntwo-people = true\n", &checked, "r.batch"),
        [] as [&str; 0]
    );
    let herself = packed.replace("  by: Ana\n", "  by: Ana\n  checked: Ana\n");
    assert_eq!(
        codes("[workshop]\ntwo-people = true\n", &herself, "r.batch"),
        ["not-checked"]
    );
    assert_eq!(
        codes("[workshop]\njars = true\n", RECORD, "r.batch"),
        ["pieces-open"]
    );
    assert_eq!(codes("", RECORD, "r.batch"), [] as [&str; 0]);
}

/// A release stands on reasons: each deviation without one is named, and one line closes it.
#[test]
fn a_release_with_something_open_says_what() {
    let record = format!(
        "{}\npacked\n  4 x 50 g\n",
        RECORD
            .replace("12.50 g of", "14.50 g of")
            .replace("  by: Ana\n", "  by: Ana\n  released: 2026-03-20 by Ana\n")
    );
    let f = small_workshop("", &record);
    let found = said(&f, "r.batch");
    let open = found
        .iter()
        .find(|f| f.1 == "released-open")
        .expect("it is said");
    assert_eq!((open.0, open.2.as_str()), (5, "warning"));
    assert!(
        open.3
            .contains("line 9 (16 % over plan) has no reason, and no jar is kept"),
        "{}",
        open.3
    );
    let mended = record
        .replace(
            "lot GLY-07\n",
            "lot GLY-07  # except weight-off: made up to 290 g\n",
        )
        .replace("4 x 50 g\n", "4 x 50 g, 1 kept\n");
    let f = small_workshop("", &mended);
    let found = said(&f, "r.batch");
    assert!(!found.iter().any(|f| f.1 == "released-open"), "{found:?}");
    let weight = found
        .iter()
        .find(|f| f.1 == "weight-off")
        .expect("the deviation stays");
    assert_eq!(weight.2, "information");
}

/// One cause, one message: what yields to what among the rules of records, on one line.
#[test]
fn one_cause_has_one_message_in_a_record() {
    let codes = |record: &str| -> Vec<String> {
        let f = small_workshop("", record);
        let found = said(&f, "r.batch");
        found
            .into_iter()
            .filter(|f| f.2 != "hint")
            .map(|(_, code, ..)| code)
            .collect()
    };
    // A weight a hundred times off is no deviation, and no lot that ran short.
    let slip = RECORD
        .replace("12.50 g of 12.50 g", "1250 g of 12.50 g")
        .replace("yield 243.1 g", "yield 1400 g");
    assert_eq!(codes(&slip), ["unit-slip"]);
    // A pH that is not understood is no missing pH; neither is a yield.
    let f = small_workshop("", &RECORD.replace("yield 243.1 g", "yield 243"));
    f.write(
        "rinse.formula",
        RINSE.replace("leave-on\n", "leave-on\n  pH: 5.0 to 5.5\n"),
    );
    f.write(
        "r.batch",
        format!(
            "{}\npacked\n  4 x 50 g, 1 kept\n",
            RECORD
                .replace("10:05  stirred 5 min", "11:40  pH meter 5.2")
                .replace("yield 243.1 g", "yield 243")
        ),
    );
    let found: Vec<String> = said(&f, "r.batch")
        .into_iter()
        .filter(|f| f.2 != "hint")
        .map(|f| f.1)
        .collect();
    assert_eq!(found, ["log-not-understood", "log-not-understood"]);
    // An unknown lot is no lot of another material and none past its date.
    assert_eq!(
        codes(&RECORD.replace("lot GLY-07", "lot GLY-99")),
        ["lot-unknown"]
    );
}

/// The plan of a row is missing where the formula has it, and an old version is told once.
#[test]
fn an_old_version_is_told_once_and_not_row_by_row() {
    let f = small_workshop("", RECORD);
    f.write(
        "rinse.formula",
        RINSE
            .replace("version: 1", "version: 2")
            .replace("glycerin  5 %", "glycerin  8 %\n  panthenol  1 %"),
    );
    let found: Vec<String> = said(&f, "r.batch").into_iter().map(|f| f.1).collect();
    assert_eq!(found, ["old-version"]);
}

fn git(folder: &Path, args: &[&str]) -> bool {
    let out = Command::new("git")
        .args([
            "-c",
            "user.name=Ana",
            "-c",
            "user.email=ana@example.org",
            "-c",
            "init.defaultBranch=main",
        ])
        .args(args)
        .current_dir(folder)
        .output()
        .expect("git starts");
    out.status.success()
}

/// Two people work in two clones: both append to the ledger, both begin a batch, and git puts it together without losing a line.
#[test]
fn two_clones_that_meet_lose_no_line_and_say_what_clashes() {
    let f = Folder::new();
    f.write("ana/rinse.formula", RINSE);
    f.write("ana/shelf.stock", "lot GLY-07 of glycerin\n  received: 2026-01-10\n  best before: 2028-01-31\n  bought: 20 g for 1 EUR\n");
    f.write(
        "ana/ledger.stock",
        "ledger\n  2026-03-01  used 1 g GLY-07, trial\n",
    );
    let (ana, ben) = (f.path().join("ana"), f.path().join("ben"));
    assert!(git(&ana, &["init", "-q"]));
    // The first batch that is begun under git lets both keep their lines.
    let a = f.run(&[
        "batch",
        "new",
        "ana/rinse.formula",
        "--make",
        "250g",
        "--on",
        "2026-03-14",
    ]);
    assert!(a.status < 2, "{a:?}");
    assert_eq!(f.read("ana/.gitattributes"), "*.stock merge=union\n");
    std::fs::remove_file(ana.join("R-001.batch")).expect("it was written");
    assert!(git(&ana, &["add", "-A"]) && git(&ana, &["commit", "-qm", "begin"]));
    assert!(git(f.path(), &["clone", "-q", "ana", "ben"]));
    let record = |name: &str| RECORD.replace("by: Ana", &format!("by: {name}"));
    f.write("ana/R-001.batch", record("Ana"));
    f.write("ben/rinse-ben.batch", record("Ben"));
    f.write(
        "ana/ledger.stock",
        "ledger\n  2026-03-01  used 1 g GLY-07, trial\n  2026-03-15  used 2 g GLY-07, by Ana\n",
    );
    f.write(
        "ben/ledger.stock",
        "ledger\n  2026-03-01  used 1 g GLY-07, trial\n  2026-03-15  used 3 g GLY-07, by Ben\n",
    );
    for clone in [&ana, &ben] {
        assert!(git(clone, &["add", "-A"]) && git(clone, &["commit", "-qm", "a day"]));
    }
    assert!(
        git(&ana, &["pull", "-q", "--no-rebase", "--no-edit", "../ben"]),
        "they merge without a conflict"
    );
    let ledger = f.read("ana/ledger.stock");
    for line in [
        "used 1 g",
        "used 2 g GLY-07, by Ana",
        "used 3 g GLY-07, by Ben",
    ] {
        assert_eq!(ledger.matches(line).count(), 1, "{ledger}");
    }
    let a = json(&f.run(&["check", "ana", "--json"]));
    let of = |file: &str| -> Vec<String> {
        let all = a["files"].as_array().expect("files");
        let one = all
            .iter()
            .find(|f| f["path"].as_str().is_some_and(|p| p.ends_with(file)))
            .unwrap_or_else(|| panic!("{file}"));
        one["findings"]
            .as_array()
            .expect("findings")
            .iter()
            .filter_map(|f: &Value| f["code"].as_str().map(str::to_owned))
            .collect()
    };
    for file in ["R-001.batch", "rinse-ben.batch"] {
        assert!(
            of(file).contains(&"code-twice".to_owned()),
            "{file}: {:?}",
            of(file)
        );
    }
    assert!(
        of("shelf.stock").contains(&"lot-short".to_owned()),
        "{:?}",
        of("shelf.stock")
    );
}

/// What a vessel was cleaned with is found by a recall, and takes nothing off the lot.
#[test]
fn cleaning_names_its_lot() {
    let f = small_workshop(
        "",
        &RECORD.replace(
            "log\n",
            "log\n  09:40  clean pot 2 and blender with ethanol 70 % lot ETH-02\n",
        ),
    );
    f.write(
        "more.stock",
        "lot ETH-02 of ethanol 70 %\n  best before: 2025-01-31\n  bought: 1 kg for 5 EUR\n",
    );
    let found = said(&f, "r.batch");
    assert!(has(&found, 11, "lot-expired"), "{found:?}");
    let a = json(&f.run(&["trace", "ETH-02", "--json"]));
    assert_eq!(
        (
            a["batches"][0]["code"].as_str(),
            a["batches"][0]["how"].as_str()
        ),
        (Some("R-001"), Some("cleaning"))
    );
    let stock = json(&f.run(&["stock", "--json"]));
    let eth = stock["lots"]
        .as_array()
        .expect("lots")
        .iter()
        .find(|l| l["code"] == "ETH-02")
        .expect("the lot");
    assert_eq!(eth["left_g"], "1000");
}

/// `add D` stands for the one material of its phase; a lot of another strength cannot be counted by it.
#[test]
fn a_phase_and_a_stronger_lot_are_told() {
    let f = Folder::new();
    f.write("gel.formula", FORMULA);
    f.write("s.stock", "lot LAC-03 of lactic acid 10 %\n  best before: 2028-01-31\n  bought: 100 g for 8 EUR\n\nlot LAC-80 of lactic acid 80 %\n  best before: 2028-01-31\n  bought: 100 g for 8 EUR\n");
    let codes = |lot: &str| -> Vec<String> {
        let record = format!(
            "batch X-1 of \"gel.formula\" version 4\n  made: 2026-03-14\n  target: 250 g\n\nlog\n  11:44  add D 1.50 g lot {lot}\n"
        );
        f.write("x.batch", record);
        said(&f, "x.batch")
            .into_iter()
            .filter(|f| f.0 == 6)
            .map(|f| f.1)
            .collect()
    };
    assert_eq!(codes("LAC-03"), [] as [&str; 0]);
    assert_eq!(codes("LAC-80"), ["addition-unknown"]);
}
