//! The papers of a workshop by the real program: record, stickers, letters, count list, list of the year, and lots from a spreadsheet.

use crate::support::cli::{Folder, json};
use crate::support::printer::{Sheet, browser, print};
use crate::support::schema::holds;
use std::path::Path;

/// A copy of the example workshop.
fn workshop() -> Folder {
    let folder = Folder::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/workshop");
    for entry in std::fs::read_dir(from).expect("the workshop is there") {
        let path = entry.expect("it can be listed").path();
        let name = path.file_name().and_then(|n| n.to_str()).expect("a name");
        folder.write(name, std::fs::read(&path).expect("it can be read"));
    }
    folder
}

/// In one line, one blank between words.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_record_at_one_look() {
    let f = workshop();
    let a = f.run(&["batch", "show", "HC-004.batch"]);
    assert_eq!(a.status, 0, "{a:?}");
    for words in [
        "Batch HC-004  Gardener's hand cream, version 4",
        "made 2025-09-02 by Ben, checked by nobody",
        "11 of 11 rows, 2476.5 g of 2475.0 g; largest difference",
        "A 76 °C, B 75 °C, combined 72 °C",
        "6.4, after 26.2 g lactic acid 10 % from LAC-02: 5.25 (range 5.0 to 5.5)",
        "2447.6 g of 2502.7 g, 97.8 %",
        "48 x 50 g: 46 for sale, 2 kept; 47.6 g left over",
        "14.06 EUR materials, 0.57 EUR per 100 g; lots as used",
        "Not as planned",
        "line 24  C went in at 52 °C",
        "no reason written",
        "open: 1 reason, second check",
    ] {
        assert!(
            flat(&a.out).contains(&flat(words)),
            "{words} is missing:\n{}",
            a.out
        );
    }
    let v = holds(
        "batch",
        &f.run(&["batch", "show", "HC-004.batch", "--json"]),
    );
    assert_eq!(v["not_as_planned"][0]["line"], 24);
    assert_eq!(v["weighed"], serde_json::json!([11, 11]));
    assert_eq!(v["cost"]["materials"], "14.06");
}

#[test]
fn a_reason_and_an_old_value_stand_in_the_record() {
    let f = workshop();
    let text = f.read("HC-002.batch").replace(
        "lot BAD-01\n",
        "lot BAD-01  # except weight-off: the beaker was tared wrongly, batch made up\n",
    );
    let text = text.replacen(
        "2.5 g of 2.5 g   lot PHY-01",
        "2.5 g, was 25 g (point) of 2.5 g   lot PHY-01",
        1,
    );
    f.write("HC-002.batch", text);
    let a = f.run(&["batch", "show", "HC-002.batch"]);
    assert!(
        flat(&a.out).contains("explained: the beaker was tared wrongly, batch made up"),
        "{}",
        a.out
    );
    assert!(flat(&a.out).contains("was 25 g (point)"), "{}", a.out);
}

/// The weight follows from the jars, with what the formula says is lost.
#[test]
fn a_batch_is_begun_by_the_jars_to_fill() {
    let f = workshop();
    let a = f.run(&[
        "batch",
        "new",
        "gardeners-hand-cream.formula",
        "--fill",
        "20 x 50 g",
        "--on",
        "2026-04-01",
    ]);
    assert!(a.status < 2, "{a:?}");
    let v = json(&f.run(&[
        "sheet",
        "gardeners-hand-cream.formula",
        "--fill",
        "20 x 50 g",
        "--json",
    ]));
    let grams = v["batch_g"]
        .as_str()
        .expect("a weight")
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned();
    assert!(
        f.read("GHC-001.batch")
            .contains(&format!("target: {grams} g\n")),
        "{}",
        f.read("GHC-001.batch")
    );
    let both = f.run(&[
        "batch",
        "new",
        "gardeners-hand-cream.formula",
        "--fill",
        "20 x 50 g",
        "--make",
        "1kg",
    ]);
    assert_eq!(both.status, 2);
}

#[test]
fn several_batches_in_a_file_are_told_apart() {
    let f = Folder::new();
    f.write("a.batch", "batch A-1 of \"x.formula\"\n  made: 2026-01-01\n\nbatch A-2 of \"x.formula\"\n  made: 2026-01-02\n");
    let a = f.run(&["batch", "show", "a.batch"]);
    assert_eq!(a.status, 2);
    assert!(
        a.err.contains("A-1, A-2") && a.err.contains("--code"),
        "{}",
        a.err
    );
    let a = f.run(&["batch", "show", "a.batch", "--code", "a-2"]);
    assert!(a.out.starts_with("Batch A-2"), "{}", a.out);
    let a = f.run(&["batch", "show", "a.batch", "--code", "A-3"]);
    assert!(a.err.contains("no batch A-3"), "{}", a.err);
    let a = f.run(&["batch", "show", "x.formula"]);
    assert!(a.err.contains("not a batch record"), "{}", a.err);
}

#[test]
fn the_list_of_a_year() {
    let f = workshop();
    let v = holds(
        "batch-list",
        &f.run(&["batch", "list", "--year", "2025", "--json"]),
    );
    let all = v["batches"].as_array().expect("batches");
    assert!(
        all.iter()
            .all(|b| b["made"].as_str().is_some_and(|d| d.starts_with("2025")))
    );
    let hc = all
        .iter()
        .find(|b| b["code"] == "HC-004")
        .expect("it was made in 2025");
    assert_eq!(
        (&hc["jars"], &hc["kept"], &hc["sold"], &hc["held"]),
        (&48.into(), &2.into(), &46.into(), &true.into())
    );
    let ag = all
        .iter()
        .find(|b| b["code"] == "AG-001")
        .expect("it was made in 2025");
    assert_eq!(
        (ag["decision"].as_str(), ag["held"].as_bool()),
        (Some("released 2025-04-30 by Ana"), Some(false))
    );
    let whole = json(&f.run(&["batch", "list", "--json"]));
    assert_eq!(whole["batches"].as_array().map(Vec::len), Some(80));
    let csv = f.run(&["batch", "list", "--format", "csv"]);
    assert_eq!(csv.out.lines().count(), 81);
}

#[test]
fn stickers_say_whether_it_may_be_used() {
    let f = workshop();
    f.write("more.stock", "lot NEW-01 of glycerin\n  received: 2026-03-01\n  best before: 2028-01-31\n  on hold: 2026-03-01 by Ana, waits for its paper\n");
    let v = holds(
        "stickers",
        &f.run(&[
            "stock",
            "stickers",
            "HC-007",
            "new-01",
            "--on",
            "2026-04-01",
            "--json",
        ]),
    );
    let s = v["stickers"].as_array().expect("stickers");
    assert_eq!(
        (s[0]["status"].as_str(), &s[0]["copies"], &s[0]["held"]),
        (
            Some("released 2026-02-06 by Ana"),
            &48.into(),
            &false.into()
        )
    );
    assert_eq!(
        (s[1]["status"].as_str(), &s[1]["held"]),
        (Some("on hold 2026-03-01 by Ana"), &true.into())
    );
    let before = json(&f.run(&[
        "stock",
        "stickers",
        "HC-007",
        "--on",
        "2026-02-01",
        "--json",
    ]));
    assert_eq!(before["stickers"][0]["status"], "not released");
    let a = f.run(&["stock", "stickers", "HC-70"]);
    assert_eq!(
        (
            a.status,
            a.err.contains("no lot and no batch has the code HC-70")
        ),
        (2, true),
        "{a:?}"
    );
}

#[test]
fn letters_and_count_list_as_files() {
    let f = workshop();
    let a = f.run(&["trace", "CIA-01", "--letter", "-o", "letters.html"]);
    assert_eq!(a.status, 0, "{a:?}");
    assert_eq!(
        f.read("letters.html").matches("class=\"letter\"").count(),
        3
    );
    f.run(&["trace", "CIA-01", "--letter", "-o", "letters.json"]);
    let a = crate::support::cli::Answer {
        status: 0,
        out: f.read("letters.json"),
        err: String::new(),
    };
    let v = holds("recall-letters", &a);
    assert_eq!(
        (
            v["letters"][0]["to"].as_str(),
            v["letters"][0]["jars"].as_i64()
        ),
        (Some("the corner pharmacy"), Some(124))
    );
    f.run(&["stock", "--count", "--on", "2026-04-01", "-o", "count.json"]);
    let a = crate::support::cli::Answer {
        status: 0,
        out: f.read("count.json"),
        err: String::new(),
    };
    let v = holds("count-list", &a);
    assert!(
        v["lots"]
            .as_array()
            .is_some_and(|l| l.iter().any(|l| l["code"] == "GLY-07"))
    );
    assert!(
        !f.run(&["stock", "--count"]).out.contains("5000"),
        "what should be there is not printed"
    );
}

const TABLE: &str = "\u{feff}Lot;Ingredient;Supplier;Supplier lot;Received;Expiry;Amount;Price;Colour\n\
GLY-20;glycerin;the wholesaler;8841-2;2026-01-10;2028-01;1 kg;9.40 EUR;clear\n\
PAN-20;panthenol;;;2026-02-01;2026-12-31;100 g;12 EUR;\n\
;shea butter;;;2026-02-01;;1 kg;9 EUR;\n\
GLY-20;glycerin;;;2026-02-01;;1 kg;9 EUR;\n\
SHE 21;shea butter;;;2026-02-01;;1 kg;9 EUR;\n\
CET-20;cetearyl alcohol;;;1.2.2026;2028-01;1 kg;9 EUR;\n\
GLY-06;glycerin;;;2026-02-01;;1 kg;9 EUR;\n\
TOC-20;tocopherol;;;2026-02-01;2028-01;;3 EUR;\n\
XAN-20;\"xanthan gum # fine\";;;2026-02-01;2028-01;250 g;3 EUR;\n\
JOJ-20;jojoba oil;;;2026-02-01;2028-01;1 litre;nine EUR;\n";

#[test]
fn a_spreadsheet_becomes_lots_and_every_line_left_out_is_listed() {
    let f = workshop();
    f.write("table.csv", TABLE);
    let v = holds(
        "stock-import",
        &f.run(&["stock", "import", "table.csv", "--dry-run", "--json"]),
    );
    assert!(!f.path().join("table.stock").exists());
    let taken: Vec<(i64, &str)> = v["taken"]
        .as_array()
        .expect("taken")
        .iter()
        .map(|t| {
            (
                t["line"].as_i64().unwrap_or(0),
                t["code"].as_str().unwrap_or(""),
            )
        })
        .collect();
    assert_eq!(taken, [(2, "GLY-20"), (3, "PAN-20")]);
    let left: Vec<(i64, &str)> = v["not_taken"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|t| {
            (
                t["line"].as_i64().unwrap_or(0),
                t["why"].as_str().unwrap_or(""),
            )
        })
        .collect();
    assert_eq!(
        left.iter().map(|l| l.0).collect::<Vec<_>>(),
        [4, 5, 6, 7, 8, 9, 10, 11],
        "{left:?}"
    );
    for (line, words) in [
        (4, "no lot code"),
        (5, "used already"),
        (6, "holds a blank"),
        (7, "received: 1.2.2026"),
        (8, "used already"),
        (9, "no amount"),
        (10, "#"),
        (11, "bought: 1 litre for nine EUR"),
    ] {
        assert!(
            left.iter()
                .any(|(l, why)| *l == line && why.contains(words)),
            "{line}: {words}: {left:?}"
        );
    }
    assert_eq!(v["columns_not_taken"], serde_json::json!(["Colour"]));
    let a = f.run(&["stock", "import", "table.csv"]);
    assert_eq!(a.status, 1, "{a:?}");
    assert!(
        a.out.contains("2 lots are written to table.stock") && a.out.contains("table.csv:4: "),
        "{}",
        a.out
    );
    assert_eq!(
        f.read("table.stock"),
        "lot GLY-20 of glycerin\n  supplier: the wholesaler\n  supplier lot: 8841-2\n  received: 2026-01-10\n  best before: 2028-01\n  bought: 1 kg for 9.40 EUR\n\nlot PAN-20 of panthenol\n  received: 2026-02-01\n  best before: 2026-12-31\n  bought: 100 g for 12 EUR\n"
    );
    let stock = json(&f.run(&["stock", "--json"]));
    let new = stock["lots"]
        .as_array()
        .expect("lots")
        .iter()
        .find(|l| l["code"] == "GLY-20")
        .expect("it is on the shelf");
    assert_eq!(new["left_g"], "1000");
    let again = f.run(&["stock", "import", "table.csv"]);
    assert_eq!(
        (again.status, again.err.contains("is there already")),
        (2, true),
        "{again:?}"
    );
    f.write("other.csv", "a,b\n1,2\n");
    let a = f.run(&["stock", "import", "other.csv"]);
    assert!(
        a.err
            .contains("a column \"lot\" and a column \"material\" are needed"),
        "{}",
        a.err
    );
    let a = f.run(&["stock", "import", "table.csv", "--to", "HC-001.batch"]);
    assert!(a.err.contains("no stock file"), "{}", a.err);
}

/// Prints a page on both sizes; the words stand on it.
fn prints(name: &str, html: &str, words: &[&str]) {
    let Some(browser) = browser() else {
        return;
    };
    for sheet in Sheet::BOTH {
        let text = print(&browser, html, sheet).unwrap_or_else(|e| panic!("{name}: {e}"));
        for w in words {
            assert!(
                text.contains(w),
                "{name}, {sheet:?}: {w} is not on the page:\n{text}"
            );
        }
    }
}

/// Every page has the batch's code and "page x of y" at its foot.
fn numbered(html: &str, code: &str) {
    let Some(browser) = browser() else {
        return;
    };
    for sheet in Sheet::BOTH {
        let text = print(&browser, html, sheet).unwrap_or_else(|e| panic!("{code}: {e}"));
        let pages: Vec<&str> = text
            .split('\u{c}')
            .filter(|p| !p.trim().is_empty())
            .collect();
        assert!(pages.len() > 1, "{sheet:?}");
        for (n, page) in pages.iter().enumerate() {
            let foot = page
                .lines()
                .rev()
                .find(|l| !l.trim().is_empty())
                .unwrap_or_default();
            let number = format!("page {} of {}", n + 1, pages.len());
            assert!(
                foot.contains(&number) && foot.contains(code),
                "{sheet:?}: {foot}"
            );
        }
    }
}

fn html(f: &Folder, args: &[&str]) -> String {
    let a = f.run(&[args, &["--format", "html"]].concat());
    assert!(a.status < 2, "{args:?}: {}", a.err);
    a.out
}

/// Every page of a printed record says of which batch it is and how many pages there are.
#[test]
fn the_record_is_printed_filled_and_to_be_filled() {
    let f = workshop();
    let page = html(&f, &["batch", "show", "HC-007.batch"]);
    numbered(&page, "Batch HC-007");
    prints(
        "HC-007",
        &page,
        &[
            "Batch HC-007",
            "Weight to check it",
            "Equipment and cleaning",
            "preservative: a second person reads the scale",
            "SHE-02",
            "Water put back",
            "Fill weights, ten jars",
            "Jars and labels",
            "LBL-HC-4",
            "Kept back",
            "released 2026-02-06 by Ana",
            "Looked over: name, date",
        ],
    );
    let a = f.run(&[
        "batch",
        "new",
        "gardeners-hand-cream.formula",
        "--make",
        "2500g",
        "--on",
        "2026-04-01",
    ]);
    assert!(a.status < 2, "{a:?}");
    let page = html(&f, &["batch", "show", "GHC-001.batch"]);
    numbered(&page, "Batch GHC-001");
    prints(
        "to be filled",
        &page,
        &[
            "Batch GHC-001",
            "________",
            "[ ] released",
            "Look, smell, thickness",
        ],
    );
}

/// Names of every unpleasant kind stay names.
#[test]
fn hostile_names_do_not_break_out_of_the_papers() {
    let f = Folder::new();
    f.write("x.formula", "formula \"A <b>bold</b> & \\\"plain\\\" gel\"\n  version: 1\n\nphase A\n  water  q.s.\n  glycerin  5 %\n");
    f.write("x.batch", "batch X<b>\"}</style>-1 of \"x.formula\" version 1\n  made: 2026-03-14\n  target: 100 g\n  by: <script>alert(1)</script>\n  released: 2026-03-20 by <i>Ana</i>, \"fine\"\n\nweighed\n  water  95 g of 95 g\n  glycerin  5 g of 5 g  lot G<b>1\n\nlog\n  10:05  <img src=x onerror=alert(1)>\n  12:00  yield 98 g\n\npacked\n  1 x 50 g, 1 kept\n");
    f.write("x.stock", "lot G<b>1 of glycerin\n  best before: 2028-01-31\n  bought: 1 kg for 9 EUR\n\nledger\n  2026-04-01  sold 1 x 50 g X<b>\"}</style>-1 to <script>x</script>\n");
    let pages = [
        ("record", html(&f, &["batch", "show", "x.batch"])),
        ("year", html(&f, &["batch", "list"])),
        (
            "stickers",
            html(&f, &["stock", "stickers", "G<b>1", "X<b>\"}</style>-1"]),
        ),
    ];
    for (name, page) in &pages {
        for part in ["<script>", "<b>", "<i>", "<img"] {
            assert!(!page.contains(part), "{name}: {part} broke out");
        }
        assert_eq!(page.matches("</style>").count(), 1, "{name}");
        prints(name, page, &["X<b>"]);
    }
    f.run(&["trace", "G<b>1", "--letter", "-o", "l.html"]);
    let letters = f.read("l.html");
    assert!(
        !letters.contains("<script>") && letters.contains("&lt;script&gt;")
            || letters.contains("&#60;script"),
        "{letters}"
    );
}

#[test]
fn stickers_letters_count_list_and_year_are_printed() {
    let f = workshop();
    let stickers = html(
        &f,
        &[
            "stock", "stickers", "HC-007", "HC-004", "GLY-07", "--copies", "4",
        ],
    );
    prints(
        "stickers",
        &stickers,
        &[
            "HC-007",
            "released 2026-02-06 by Ana",
            "GLY-07",
            "best before 2027-09-30",
        ],
    );
    f.run(&["trace", "CIA-01", "--letter", "-o", "l.html"]);
    prints(
        "letters",
        &f.read("l.html"),
        &[
            "To the corner pharmacy",
            "Please take these jars off the shelf today",
            "page 4 of",
        ],
    );
    f.run(&["stock", "--count", "--on", "2026-04-01", "-o", "c.html"]);
    prints(
        "count",
        &f.read("c.html"),
        &["Counted by", "GLY-07", "glycerin", "page 1 of"],
    );
    let year = html(&f, &["batch", "list", "--year", "2025"]);
    prints(
        "year",
        &year,
        &["HC-004", "gardeners-hand-cream", "released", "page 1 of"],
    );
}
