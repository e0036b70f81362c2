//! A batch from `batch new` to its jars, typed with what the server offers.

use crate::support::cli::Folder;
use crate::support::lsp_client::*;
use crate::support::typist::Typist;
use phasewright::lsp::Options;
use phasewright::syntax::{FileKind, parse};

/// What a row of weights may be typed in at the most.
const MOST_KEYS: usize = 200;

const WEIGHTS: [&str; 11] = [
    "181.52", "0.25", "12.51", "0.5", "22.48", "10.02", "7.5", "7.51", "0.5", "2.5", "2.25",
];

#[test]
fn a_batch_of_eleven_rows_takes_at_most_200_keys_and_no_lot_is_typed() {
    let folder = Folder::new();
    for (name, text) in [
        ("phasewright.toml", "markets = [\"EU\"]\n"),
        (
            "gardeners-hand-cream.formula",
            include_str!("../../examples/gardeners-hand-cream.formula"),
        ),
        ("shelf.stock", include_str!("../../examples/shelf.stock")),
    ] {
        folder.write(name, text);
    }
    let begun = folder.run(&[
        "batch",
        "new",
        "gardeners-hand-cream.formula",
        "--make",
        "250g",
        "--on",
        "2026-03-14",
    ]);
    assert_eq!(begun.status, 0, "{}", begun.err);
    let name = begun
        .out
        .split_whitespace()
        .next()
        .expect("the file is named")
        .trim_end_matches(':')
        .to_owned();
    let text = folder.read(&name);
    assert_eq!(text.matches("? of").count(), 11, "{text}");
    assert_eq!(
        text.matches(" lot ").count(),
        10,
        "all but the water: {text}"
    );

    let mut client = Client::here(Options {
        now: || Some(10 * 60 + 5),
        ..Options::default()
    });
    client.start(full_client());
    let file = uri(&folder.path().join(&name));
    let mut t = Typist::open(&mut client, &file, "batch", &text);
    for weight in WEIGHTS {
        t.next_open_weight().types(weight).types(" g");
    }
    t.end_of_file().types("  ");
    t.takes("A … °C").types("76").end_of_line().enter();
    t.takes("A … g").types("190.4").end_of_line().enter();
    t.takes("g water to A").types("4.3").end_of_line().enter();
    t.takes("combined at").types("71").end_of_line().enter();
    t.takes("… °C").types("48").end_of_line().enter();
    t.takes("… °C")
        .types("38")
        .end_of_line()
        .types(", ")
        .takes("add C")
        .enter();
    t.takes("… °C")
        .types("25")
        .end_of_line()
        .types(", ")
        .takes("pH")
        .types("6.4")
        .enter();
    t.takes("lactic acid 10 %").enter();
    t.takes("pH").types("5.3").enter();
    t.takes("yield").types("213.0").end_of_line();
    t.enter().dedent().types("pa").takes("packed");
    t.enter().types("  4").takes("x 50 g").types(", 1 kept");
    let (keys, text) = (t.keys, t.text.clone());
    client.leave_unread();

    assert!(keys <= MOST_KEYS, "{keys} keys\n{text}");
    let tree = parse(FileKind::Batch, &text);
    let errors: Vec<String> = tree
        .errors()
        .map(|(n, e)| format!("{}: {}", n + 1, e.whole()))
        .collect();
    assert_eq!(errors, [""; 0], "{text}");
    for line in [
        "  10:05  A 76 °C\n",
        "A 190.4 g\n",
        "add 4.3 g water to A\n",
        "combined at 71 °C\n",
        "  10:05  38 °C, add C\n",
        "25 °C, pH 6.4\n",
        "lactic acid 10 % lot LAC-03\n",
        "yield 213.0 g\n",
        "packed\n  4 x 50 g, 1 kept",
    ] {
        assert!(text.contains(line), "\"{line}\" is missing in\n{text}");
    }
    assert!(!text.contains('?'), "{text}");
    println!("{keys} keys");
}
