//! Silence about a record is no praise: what was not judged is said.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use phasewright::ide::Snapshot;
use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

const BATCH: &str = "# a remark\nbatch X-1 of \"x.formula\"  # another\n  target: 100 g\n\nweighed\n  glycerin  90 g of 5 g  lot NONE-9\n";
const STOCK: &str = "lot G-1 of glycerin\n  bought: 1 kg for 9 EUR\n  best before: 2020-01-31\n";

#[test]
fn a_batch_and_a_shelf_are_never_nothing_to_object_to() {
    let f = Folder::new();
    f.write("x.batch", BATCH);
    f.write("x.stock", STOCK);
    let codes = |file: &str| {
        let a = f.run(&["check", file]);
        assert!(!a.out.contains("nothing to object to"), "{a:?}");
        let v = holds("check", &f.run(&["check", file, "--json"]));
        let found = v["files"][0]["findings"]
            .as_array()
            .expect("findings")
            .clone();
        let mut codes: Vec<String> = found
            .iter()
            .filter_map(|f| f["code"].as_str())
            .map(str::to_owned)
            .collect();
        codes.sort();
        codes
    };
    // The record names a formula and a lot that are not there, and its plan is no weight.
    let batch = codes("x.batch");
    for code in ["lot-unknown", "no-date", "unknown-formula"] {
        assert!(
            batch.iter().any(|c| c == code),
            "{code} is missing: {batch:?}"
        );
    }
    assert_eq!(codes("x.stock"), ["past-date-on-shelf"]);
}

#[test]
fn the_editor_says_the_same() {
    for (kind, text) in [(FileKind::Batch, BATCH), (FileKind::Stock, STOCK)] {
        let s = Snapshot::new(
            Path::new("x"),
            kind,
            parse(kind, text),
            &Kb::bundled(),
            &Settings::on("2026-11-25".parse().expect("a day")),
            &NoFiles,
        );
        let codes: Vec<&str> = s.findings().iter().map(|f| f.code).collect();
        assert_eq!(codes, ["not-judged"]);
    }
    let formula =
        "formula \"Oil\"\n  product: body oil, leave-on\n\nphase A\n  sunflower oil  100 %\n";
    let s = Snapshot::new(
        Path::new("x"),
        FileKind::Formula,
        parse(FileKind::Formula, formula),
        &Kb::bundled(),
        &Settings::on("2026-11-25".parse().expect("a day")),
        &NoFiles,
    );
    assert!(s.findings().iter().all(|f| f.code != "not-judged"));
}
