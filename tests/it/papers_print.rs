//! Every paper printed by a real browser, on A4 and on Letter: nothing overflows, all of it is on the page, and no name can break out.

use crate::support::cli::Folder;
use crate::support::printer::{Sheet, print};
use std::path::Path;

/// A formula with names of every unpleasant kind.
const ODD: &str = "formula \"A <b>bold</b> & 'plain' cream\"
  version: <1>
  product: face cream, leave-on
  batch: 250 g
  pH: 5.0 to 5.4
  fill: 5 x 50 g

phase A \"<script>document.title = 'run'</script>\" at 75 °C
  water  q.s.
  glycerin  4 %
  שמן זית & <i>co</i>  3 %
  a-very-long-name-without-any-blank-that-goes-on-and-on-and-on-and-on-and-on-and-on-and-on-and-on-until-the-end-of-the-line-and-beyond  2 %

phase B \"oil\" at 75 °C
  sunflower oil  15 %
  cetearyl alcohol  3 %
  glyceryl stearate citrate  3 %

phase C below 40 °C
  phenoxyethanol (and) ethylhexylglycerin  1 %
  lactic acid 10 %  q.s. to pH 5.2, about 1 %

method
  heat A and B to 75 °C & <hold>, \"20 min\"
  pour A into B, blend 3 min
  cool to 38 °C, add C
  fill
";

const OWN: [&str; 2] = [
    "id = \"one\"\nnames = [\"שמן זית & <i>co</i>\"]\nroles = [\"oil\"]\n",
    "id = \"two\"\nnames = [\"a-very-long-name-without-any-blank-that-goes-on-and-on-and-on-and-on-and-on-and-on-and-on-and-on-until-the-end-of-the-line-and-beyond\"]\nroles = [\"oil\"]\n",
];

const STOCK: &str = "lot <i>G-1</i>&2 of glycerin
  supplier: <b>the</b> wholesaler
  best before: 2031-01-31
  bought: 1 kg for 9.40 EUR

lot A-SPINACH-GREEN-LOT-CODE-THAT-NEVER-ENDS-AND-NEVER-WILL-NOT-EVEN-AT-THE-END-OF-THE-LINE of sunflower oil
  best before: 2030-01-31
  bought: 1 kg for 6.00 EUR
";

/// Prints a paper of the odd formula and of the bundled examples; `words` have to stand on the odd one.
fn prints(command: &[&str], words: &[&str]) {
    let Some(browser) = crate::support::printer::browser() else {
        return;
    };
    let f = Folder::new();
    f.write("ingredients/one.toml", OWN[0]);
    f.write("ingredients/two.toml", OWN[1]);
    f.write("odd.formula", ODD);
    f.write("shelf.stock", STOCK);
    let html = |file: &str| {
        let args = [command, &[file, "--format", "html"]].concat();
        let a = f.run(&args);
        assert!(a.status < 2, "{args:?}: {}", a.err);
        a.out
    };
    let odd = html("odd.formula");
    for part in ["<b>", "<i>", "<script>document", "<hold>"] {
        assert!(!odd.contains(part), "{part} broke out");
    }
    for sheet in Sheet::BOTH {
        let text = print(&browser, &odd, sheet).unwrap_or_else(|e| panic!("{command:?}, odd: {e}"));
        for w in words {
            assert!(
                text.contains(w),
                "{command:?}, {sheet:?}: {w} is not on the page:\n{text}"
            );
        }
    }
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    for (name, sheet) in [
        ("gardeners-hand-cream", Sheet::A4),
        ("cucumber-toner", Sheet::Letter),
    ] {
        let page = html(
            examples
                .join(format!("{name}.formula"))
                .to_str()
                .expect("a path in UTF-8"),
        );
        print(&browser, &page, sheet).unwrap_or_else(|e| panic!("{command:?}, {name}: {e}"));
    }
}

#[test]
fn the_weigh_sheet() {
    prints(
        &["sheet"],
        &[
            "<b>",
            "& 'plain' cream",
            "Version <1>",
            "שמן זית",
            "170.00",
            "250.00",
            "1. heat A and B to 75 °C & <hold>",
            "Water to put back",
        ],
    );
}

#[test]
fn the_label() {
    prints(
        &["label"],
        &[
            "<b>",
            "& 'plain' cream",
            "Ingredients",
            "Aqua/Water/Eau",
            "שמן זית",
            "Net Wt. 1.76 oz (50 g)",
            "qualified assessor",
        ],
    );
}

#[test]
fn the_cost_sheet() {
    prints(
        &["cost", "--packaging", "0.80"],
        &[
            "<b>bold</b> & 'plain' cream",
            "שמן זית",
            "Together",
            "<i>G-1</i>&2",
        ],
    );
}

#[test]
fn the_comparison_the_stand_ins_and_the_dose() {
    let Some(browser) = crate::support::printer::browser() else {
        return;
    };
    let f = Folder::new();
    f.write("ingredients/one.toml", OWN[0]);
    f.write("ingredients/two.toml", OWN[1]);
    f.write("odd.formula", ODD);
    f.write(
        "even.formula",
        ODD.replace("a-very-long", "another-very-long")
            .replace("4 %", "5 %")
            .replace("& <hold>", "<hold> &"),
    );
    for (args, words) in [
        (
            &["compare", "even.formula", "odd.formula", "--format", "html"][..],
            "a-very-long-name",
        ),
        (
            &[
                "standin",
                "sunflower oil",
                "--in",
                "odd.formula",
                "--format",
                "html",
            ],
            "name on the label",
        ),
        (
            &[
                "dose",
                "--formula",
                "odd.formula",
                "--mass",
                "250g",
                "--reading",
                "6.4",
                "--added",
                "0.6 g lactic acid 10 %",
                "--reading",
                "5.7",
                "--sample",
                "30g",
                "--sample-added",
                "0.11 g lactic acid 10 %",
                "--sample-reading",
                "5.2",
                "--format",
                "html",
            ],
            "0.6 g lactic acid 10 %",
        ),
    ] {
        let a = f.run(args);
        assert!(a.status < 2, "{args:?}: {}", a.err);
        assert!(
            !a.out.contains("<b>") && !a.out.contains("<hold>"),
            "{args:?}: something broke out"
        );
        for sheet in Sheet::BOTH {
            let text = print(&browser, &a.out, sheet).unwrap_or_else(|e| panic!("{args:?}: {e}"));
            assert!(
                text.contains(words) && text.contains("<b>bold</b> & 'plain' cream"),
                "{args:?}:\n{text}"
            );
        }
    }
}

#[test]
fn the_card() {
    prints(
        &["card"],
        &[
            "<b>",
            "& 'plain' cream",
            "Version <1>",
            "שמן זית",
            "What each goes through",
            "Temperature over the method",
        ],
    );
}
