//! A sealed record tells which line changed afterwards; a line that keeps its old value stays quiet.

use crate::support::cli::{Folder, json};

const STOCK: &str = "lot GLY-07 of glycerin\n  received: 2026-01-10\n  best before: 2028-01-31\n  bought: 1 kg for 9.40 EUR\n";
const FORMULA: &str = "formula \"Rinse\"\n  version: 1\n  product: hand gel, leave-on\n\nphase A\n  water     q.s.\n  glycerin  5 %\n";
const BATCH: &str = "batch R-001 of \"rinse.formula\" version 1\n  made: 2026-03-14\n  target: 250 g\n  by: Ana, Ben\n\nweighed\n  water     237.50 g of 237.50 g\n  glycerin   12.50 g of 12.50 g   lot GLY-07\n\nlog\n  10:05  stirred 5 min\n  12:10  yield 243.1 g\n\npacked\n  4 x 50 g, 1 kept\n";

fn sealed() -> Folder {
    let f = Folder::new();
    f.write("shelf.stock", STOCK);
    f.write("rinse.formula", FORMULA);
    f.write("r.batch", BATCH);
    let a = f.run(&["batch", "close", "r.batch", "--on", "2026-03-20"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert!(
        a.out.starts_with("R-001 is sealed: 2026-03-20 by Ana, "),
        "{}",
        a.out
    );
    f
}

/// Lines on which `sealed-changed` stands, with what is said.
fn changed(f: &Folder) -> Vec<(u64, String)> {
    let a = json(&f.run(&["check", "r.batch", "--json"]));
    a["files"][0]["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter(|f| f["code"] == "sealed-changed")
        .map(|f| {
            (
                f["line"].as_u64().expect("a line"),
                f["message"].as_str().unwrap_or("").to_owned(),
            )
        })
        .collect()
}

/// The line of the file that begins with these words, from 1.
fn line_of(f: &Folder, begins: &str) -> u64 {
    let text = f.read("r.batch");
    let at = text.lines().position(|l| l.trim().starts_with(begins));
    at.expect("the line is there") as u64 + 1
}

#[test]
fn the_seal_stands_under_the_fields_and_the_rest_is_as_it_was() {
    let f = sealed();
    let text = f.read("r.batch");
    let seal = text.lines().nth(4).expect("a line below the fields");
    let signs = seal
        .strip_prefix("  sealed: 2026-03-20 by Ana, ")
        .expect("the seal");
    assert_eq!(signs.len(), 8, "{signs}");
    assert_eq!(text.replace(&format!("{seal}\n"), ""), BATCH);
    assert_eq!(changed(&f), []);
    let again = f.run(&["batch", "close", "r.batch"]);
    assert_eq!(again.status, 2);
    assert!(
        again.err.contains("r.batch:5: this record is sealed"),
        "{again:?}"
    );
}

/// Every digit of the sealed lines, one at a time.
#[test]
fn one_digit_changed_is_told_on_its_line() {
    let f = sealed();
    let whole = f.read("r.batch");
    let mut tried = 0;
    for (n, line) in whole.lines().enumerate() {
        if line.trim().starts_with("sealed:") {
            continue;
        }
        for (at, c) in line.char_indices().filter(|(_, c)| c.is_ascii_digit()) {
            let other = if c == '9' {
                '1'
            } else {
                char::from(c as u8 + 1)
            };
            let mut lines: Vec<String> = whole.lines().map(str::to_owned).collect();
            lines[n].replace_range(at..at + 1, &other.to_string());
            f.write("r.batch", lines.join("\n") + "\n");
            tried += 1;
            // One run of the program for every seventh digit is enough to see that all places are covered.
            if tried % 7 != 1 {
                continue;
            }
            let found = changed(&f);
            let at: Vec<u64> = found.iter().map(|(line, _)| *line).collect();
            assert_eq!(at, [n as u64 + 1], "{}: {found:?}", lines[n]);
            assert!(
                found[0]
                    .1
                    .contains("this line changed after the record was sealed on 2026-03-20"),
                "{found:?}"
            );
        }
    }
    assert!(tried > 50, "{tried}");
}

#[test]
fn an_old_value_that_is_kept_is_quiet_and_so_is_what_comes_later() {
    let f = sealed();
    let text = f
        .read("r.batch")
        .replace(
            "glycerin   12.50 g of",
            "glycerin   12.60 g, was 12.50 g (misread) of",
        )
        .replace(
            "yield 243.1 g",
            "yield 243.0 g, was 243.1 g (slip of the key)",
        )
        .replace(
            "lot GLY-07",
            "lot GLY-07  # except weight-off: the beaker was tared late",
        )
        .replace(
            "  target: 250 g\n",
            "  target: 250 g\n  released: 2026-03-21 by Ben\n",
        )
        + "\nobservations\n  +28 d  no separation\n\ncomplaints\n  2026-05-02  order 7, sticky, not serious\n";
    f.write("r.batch", &text);
    assert_eq!(changed(&f), []);
    // The old value itself is part of the seal.
    f.write("r.batch", text.replace("was 12.50 g", "was 12.40 g"));
    assert_eq!(changed(&f)[0].0, line_of(&f, "glycerin"));
}

#[test]
fn a_line_added_or_taken_out_is_told_where_it_was() {
    let f = sealed();
    let whole = f.read("r.batch");
    f.write(
        "r.batch",
        whole.replace(
            "  10:05  stirred 5 min\n",
            "  10:05  stirred 5 min\n  10:40  spilled some\n",
        ),
    );
    let found = changed(&f);
    assert_eq!(found[0].0, line_of(&f, "10:40"), "{found:?}");
    assert!(found[0].1.contains("was added"), "{found:?}");
    f.write("r.batch", whole.replace("  10:05  stirred 5 min\n", ""));
    let found = changed(&f);
    assert_eq!(found[0].0, line_of(&f, "log"), "{found:?}");
    assert!(found[0].1.contains("taken out"), "{found:?}");
    let two = whole
        .replace("237.50 g of", "237.40 g of")
        .replace("243.1", "241.1");
    f.write("r.batch", two);
    let found = changed(&f);
    assert_eq!(found.len(), 1, "{found:?}");
    f.write("r.batch", whole.replace(", ", ","));
    f.write(
        "r.batch",
        whole
            .lines()
            .map(|l| match l.trim().starts_with("sealed") {
                true => "  sealed: 2026-03-20 by Ana\n".to_owned(),
                false => format!("{l}\n"),
            })
            .collect::<String>(),
    );
    assert!(
        changed(&f)[0].1.contains("eight signs"),
        "{:?}",
        changed(&f)
    );
}

#[test]
fn what_is_not_done_is_not_sealed() {
    let f = Folder::new();
    f.write("rinse.formula", FORMULA);
    f.write("r.batch", BATCH.replace("12.50 g of", "? of"));
    let a = f.run(&["batch", "close", "r.batch"]);
    assert_eq!(
        (a.status, a.err.contains("r.batch:8: this is not weighed")),
        (2, true),
        "{a:?}"
    );
    f.write("r.batch", BATCH.replace("  by: Ana, Ben\n", ""));
    let a = f.run(&["batch", "close", "r.batch"]);
    assert!(a.err.contains("r.batch:1: nobody is named"), "{a:?}");
    assert!(!f.read("r.batch").contains("sealed"));
    f.write("r.batch", BATCH.replace('\n', "\r\n"));
    let a = f.run(&["batch", "close", "r.batch", "--by", "Ben"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert_eq!(
        f.read("r.batch").replace("\r\n", "").matches('\n').count(),
        0,
        "line breaks are kept"
    );
    assert_eq!(changed(&f), []);
}
