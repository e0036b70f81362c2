//! Amounts below nothing and amounts of twenty digits end where they are read, with a message that names the line.

use crate::support::cli::{Folder, json};

const MONSTERS: [&str; 6] = [
    "-5",
    "\u{2212}5",
    "99999999999999999999",
    "79228162514264337593543950335",
    "9999999999999999999999999999999999",
    "0.0000000000000000000000000001",
];

fn says_where(folder: &Folder, file: &str, line: u64) {
    for args in [
        &["check", file, "--json"][..],
        &["format", "--stdout", file],
        &["sheet", file],
        &["label", file],
        &["cost", file],
        &["card", file],
        &["dose", file],
        &["compare", file, file],
    ] {
        let a = folder.run(args);
        assert!((0..=2).contains(&a.status), "{args:?}: {a:?}");
        for text in [&a.out, &a.err] {
            let bad = [
                "panicked",
                "a fault of the program",
                "/registry/",
                "/src/",
                "\"internal\"",
            ];
            assert!(!bad.iter().any(|b| text.contains(b)), "{args:?}: {a:?}");
        }
        if args[0] == "check" {
            let v = json(&a);
            let found = v["files"][0]["findings"].as_array().expect("findings");
            let syntax = found
                .iter()
                .find(|f| f["code"] == "syntax" && f["line"] == line);
            assert!(syntax.is_some(), "line {line} of {file}: {v}");
        }
    }
}

#[test]
fn a_row_that_no_scale_shows_is_said_at_its_line() {
    let f = Folder::new();
    for number in MONSTERS {
        for unit in ["%", "g", "kg", "parts", "mL"] {
            let text = format!(
                "formula \"x\"\n  product: face cream, leave-on\n  batch: 100 g\n\nphase A at 75 °C\n  glycerin  {number} {unit}\n  water  q.s.\n"
            );
            f.write("x.formula", text);
            says_where(&f, "x.formula", 6);
        }
    }
}

#[test]
fn no_total_is_shown_beside_such_a_row() {
    let f = Folder::new();
    f.write(
        "x.formula",
        "formula \"x\"\n  batch: 100 g\n\nphase A\n  glycerin  -5 %\n  water  q.s.\n",
    );
    let a = f.run(&["sheet", "x.formula"]);
    assert!(a.status == 2 && a.err.contains("x.formula:5: "), "{a:?}");
    let said = f.run(&["check", "x.formula"]).out;
    assert!(
        !said.contains("105 %") && said.contains("less than nothing"),
        "{said}"
    );
}

#[test]
fn batches_and_shelves_say_it_too() {
    let f = Folder::new();
    for number in MONSTERS {
        let batch = format!(
            "batch X-1\n  target: 100 g\n\nweighed\n  glycerin  {number} g of 5 g  lot G-1\n\nlog\n  10:00  pH 6.4\n  10:01  add {number} g lactic acid 10 %\n  10:02  pH 6\n"
        );
        f.write("x.batch", batch);
        says_where(&f, "x.batch", 5);
        let a = f.run(&["dose", "x.batch", "--target", "5"]);
        assert!(a.status == 2 && a.err.contains("x.batch:9: "), "{a:?}");
        f.write(
            "x.stock",
            format!("lot G-1 of glycerin\n  bought: {number} g for 9 EUR\n"),
        );
        let v = json(&f.run(&["check", "x.stock", "--json"]));
        let found = v["files"][0]["findings"]
            .as_array()
            .expect("findings")
            .clone();
        assert!(found.iter().any(|f| f["line"] == 2), "{number}: {v}");
    }
}

#[test]
fn the_command_line_refuses_them() {
    let f = Folder::new();
    f.write(
        "x.formula",
        "formula \"x\"\n\nphase A\n  sunflower oil  100 %\n",
    );
    for number in MONSTERS {
        let weight = format!("{number} g");
        let batch = format!("--batch={weight}");
        let mass = format!("--mass={weight}");
        let added = format!("--added={weight} lactic acid 10 %");
        let base = ["dose", "--target", "5.2", "--reading", "6.4"];
        for args in [
            vec!["sheet", "x.formula", batch.as_str()],
            vec!["cost", "x.formula", batch.as_str()],
            [&base[..], &[mass.as_str()]].concat(),
            [
                &base[..],
                &["--mass=250g", added.as_str(), "--reading", "5.6"],
            ]
            .concat(),
        ] {
            let a = f.run(&args);
            assert!(a.status == 2 && a.out.is_empty(), "{args:?}: {a:?}");
            assert!(
                !a.err.contains("/src/") && !a.err.contains("fault of the program"),
                "{a:?}"
            );
        }
    }
}
