use super::{CREAM, at, at_in, with_loader};
use phasewright::ide::hover::{Hover, hover};
use phasewright::model::FileLoader;
use phasewright::syntax::FileKind;
use std::path::Path;

fn shown(marked: &str) -> Option<Hover> {
    let c = at(marked);
    hover(&c.snapshot, c.line, c.byte)
}

/// The words under the cursor, and that nothing in them is a table.
fn words(marked: &str) -> String {
    let h = shown(marked).unwrap_or_else(|| panic!("nothing is shown:\n{marked}"));
    assert!(!h.markdown.contains('|'), "a table:\n{}", h.markdown);
    h.markdown
}

/// `CREAM` with the cursor behind the first occurrence of these words.
fn cream(behind: &str) -> String {
    CREAM.replacen(behind, &format!("{behind}$0"), 1)
}

fn says(markdown: &str, parts: &[&str]) {
    for p in parts {
        assert!(markdown.contains(p), "\"{p}\" is not in\n{markdown}");
    }
}

#[test]
fn an_ingredient_shows_its_card_and_what_becomes_of_it_here() {
    let h = words(&cream("  phenoxy"));
    says(
        &h,
        &[
            "**Here:** 0.8 % in phase C, 1.6 g; goes in at 38 °C and gets no warmer",
            "**phenoxyethanol**",
            "CAS 122-99-6",
            "preservative",
            "- **Use:**",
            "EU: at most 1 %",
            "(Annex V, entry 29)",
            "*law:*",
        ],
    );
    says(
        &words(&cream("cetearyl")),
        &[
            "**Heat:**",
            "melts at 48 to 55 °C (published)",
            "the oil phase",
        ],
    );
}

/// Some editors show the first ten lines of a hover and no more.
#[test]
fn what_matters_here_comes_first_and_names_and_sources_last() {
    let markets = "  sold in: EU, UK, US, CA\n";
    let h = words(&cream("  phenoxy").replace("  sold in: EU\n", markets));
    let lines: Vec<&str> = h.lines().collect();
    assert!(lines[0].starts_with("**Here:** 0.8 % in phase C"), "{h}");
    // Every market has its verdict, those that say the same in one line.
    assert_eq!(
        lines[1],
        "- **EU, UK:** 80 % of the limit used: 0.8 % of at most 1 %"
    );
    let of = |label: &str| lines.iter().position(|l| l.contains(label));
    assert!(of("- **Use:**").is_some_and(|n| n < 9), "{h}");
    let names = h.find("CAS 122-99-6").expect("its number");
    assert!(h.find("**Law:**").is_some_and(|law| law > names), "{h}");
    assert!(h.find("**Sources**").is_some_and(|s| s > names), "{h}");
}

/// In every row of every formula that lies here, sold in all four markets: "here", the verdicts, use, heat and pH are at most nine lines.
#[test]
fn at_most_nine_lines_come_before_names_and_sources() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (mut seen, mut most) = (0, 0);
    for folder in [
        "examples",
        "examples/instructive",
        "tests/cases",
        "tests/published",
    ] {
        let files = std::fs::read_dir(root.join(folder)).expect("a folder of formulas");
        for path in files.flatten().map(|f| f.path()) {
            if path.extension().is_none_or(|e| e != "formula") {
                continue;
            }
            let text = std::fs::read_to_string(&path).expect("a formula");
            let text = text.replacen("\n", "\n  sold in: EU, UK, US, CA\n", 1);
            let s = super::snapshot(FileKind::Formula, &text);
            for row in s.formula.iter().flat_map(|f| &f.rows) {
                let at = s.text(row.line).len() - s.text(row.line).trim_start().len();
                let Some(h) = hover(&s, row.line, at as u32 + 1) else {
                    continue;
                };
                if !h.markdown.starts_with("**Here:**") {
                    continue;
                }
                let before = h.markdown.lines().take_while(|l| !l.is_empty()).count();
                assert!(
                    before <= 9,
                    "{}: {before} lines\n{}",
                    path.display(),
                    h.markdown
                );
                seen += 1;
                most = most.max(before);
            }
        }
    }
    assert!(
        seen > 1000 && most >= 7,
        "{seen} rows, at most {most} lines"
    );
}

/// What stands behind a finding is shown where the finding is.
#[test]
fn a_finding_shows_its_basis_under_the_cursor() {
    let amount = words(
        "formula \"x\"\n  product: face cream, leave-on\n  sold in: EU\nphase A\n  water  q.s.\n  phenoxyethanol  1.2$0 %\n",
    );
    says(&amount, &["- **Basis:** law: ", "Annex V"]);
    let name = words(
        "formula \"x\"\n  product: face cream, leave-on\n  sold in: EU\nphase A\n  water  q.s.\n  hydro$0quinone  2 %\n",
    );
    says(&name, &["**Here:**", "- **Basis:** law: "]);
    let basis = name.find("- **Basis:**").expect("it was found");
    assert!(
        name.find("CAS 123-31-9").is_some_and(|names| basis < names),
        "{name}"
    );
}

#[test]
fn a_verdict_says_banned_above_or_that_nothing_is_listed() {
    for (row, verdict) in [
        ("hydroquinone  2$0 %", "- **EU:** **banned**"),
        (
            "phenoxyethanol  1.2$0 %",
            "- **EU:** **above the limit:** 1.2 % of at most 1 %",
        ),
        ("glycerin  5$0 %", "- **EU:** no listed limit or ban"),
        (
            "phenoxyethanol  $0",
            "- **EU:** not judged, the amount is not known; see Law below",
        ),
    ] {
        let name = row.replace("$0", "").replacen("  ", "$0  ", 1);
        let h = words(&format!(
            "formula \"x\"\n  product: face cream, leave-on\nphase A\n  water  q.s.\n  {name}\n"
        ));
        assert!(h.lines().nth(1) == Some(verdict), "{row}: {h}");
    }
}

#[test]
fn an_amount_shows_weights_and_the_share_of_the_limit() {
    let h = words(&cream("phenoxyethanol  0."));
    says(
        &h,
        &[
            "**0.8 %** of the whole",
            "**In this batch** of 200 g: 1.6 g",
            "**In each** 50 g: 0.4 g",
            "**EU:** 80 % of the limit used",
            "at most 1 %",
            "(law: ",
        ],
    );
    says(
        &words(&cream("panthenol  1")),
        &["no listed limit for it (EU as of "],
    );
}

#[test]
fn an_exceeded_limit_is_said_first_and_the_molar_mass_counts() {
    let h = words(
        "formula \"x\"\n  product: face cream, leave-on\nphase A\n  water  q.s.\n  sodium benzoate  0.62$0 %\n",
    );
    // 0.62 x 122.12 / 144.10 = 0.5254, above 0.5 as acid.
    says(
        &h,
        &[
            "**EU:** **above the limit**, 105 % of the limit used",
            "0.525 % as benzoic acid",
            "at most 0.5 %",
        ],
    );
}

#[test]
fn qs_shows_what_it_comes_to() {
    says(
        &words(&cream("water  q.s")),
        &["fills up to 100 %: **75.2 %**", "150.4 g"],
    );
    says(
        &words(
            "formula \"x\"\n  pH: 5.0 to 5.5\nphase A\n  water  q.s.\n  lactic acid 80 %  q.s. to p$0H 5.2, about 1 %\n",
        ),
        &[
            "As much as it takes to reach pH 5.2",
            "1 % is counted in the sum",
        ],
    );
}

#[test]
fn an_unknown_sum_names_the_line_that_cannot_be_read() {
    let h = words("formula \"x\"\nphase A\n  water  q.$0s.\n  glycerin  5-6 %\n");
    says(
        &h,
        &[
            "what it comes to is not known",
            "Line 4 cannot be read: glycerin 5-6 %",
        ],
    );
    says(
        &words("formula \"x$0\"\nphase A\n  water  q.s.\n  glycerin  5-6 %\n"),
        &["**Sum:** not known. Line 4 cannot be read"],
    );
    // The other rows keep their own.
    says(
        &words("formula \"x\"\n  batch: 100 g\nphase A\n  urea  4$0 %\n  glycerin  5-6 %\n"),
        &["**4 %** of the whole", "of 100 g: 4 g"],
    );
}

#[test]
fn a_phase_shows_share_heat_and_hlb() {
    let h = words(&cream("phase B \"o"));
    says(
        &h,
        &[
            "**Phase B** \"oil\"",
            "**Share:** 18 % of the whole, 36 g",
            "at 75 °C",
            "**Melts last:** glyceryl stearate citrate, at 55 to 62 °C (memory)",
            "**Its oils need HLB** ",
        ],
    );
    says(
        &words(&cream("phase C \"c")),
        &[
            "below 40 °C",
            "added on line 26 at 38 °C",
            "**Most tender:**",
        ],
    );
    let premix = "formula \"x\"\nphase A\n  water  q.s.\npremix A1 \"sl$0urry\", into A\n  glycerin  5 %\n  xanthan gum  0.2 %\n";
    says(
        &words(premix),
        &[
            "**Premix A1** \"slurry\"",
            "**Share:** 5.2 %",
            "**Goes into** phase A",
        ],
    );
    says(
        &words(&premix.replace("$0", "").replace("phase A\n", "phase A$0\n")),
        &["**With its premixes:** 100 %", "**Takes** premix A1"],
    );
}

#[test]
fn temperatures_are_in_the_unit_of_the_file() {
    let h = words(
        "formula \"x\"\nphase A at 16$07 °F\n  water  q.s.\nphase B at 167 °F\n  cetearyl alcohol  3 %\n",
    );
    says(&h, &["at 167 °F"]);
    says(
        &words("formula \"x\"\nphase B at 167 °F\n  cetearyl$0 alcohol  3 %\n"),
        &["melts at 118 to 131 °F"],
    );
}

#[test]
fn the_ph_line_shows_what_each_needs() {
    let h = words(&cream("  p"));
    assert!(
        h.contains("product"),
        "the first p is that of the product:\n{h}"
    );
    let h = words(&cream("pH: 5"));
    says(
        &h,
        &[
            "**Aims at pH 5 to 5.5**",
            "- panthenol lasts at pH 3 to 7 (practice)",
            "glyceryl stearate citrate works at pH 5 to 8",
            "**Suits all:** pH 5 to",
        ],
    );
    let off = words(
        &cream("pH: 5")
            .replace("5.0 to 5.5", "3.0 to 3.5")
            .replace("pH: 5$0.0 to 5.5", "pH: 3$0.0 to 3.5"),
    );
    says(&off, &["**outside:** glyceryl stearate citrate"]);
    let clash = words(
        "formula \"x\"\n  pH$0: 5\nphase A\n  sodium benzoate  0.3 %\n  glyceryl stearate citrate  2 %\n  carbomer  0.3 %\n  water  q.s.\n",
    );
    says(&clash, &["sodium benzoate works at pH"]);
}

#[test]
fn names_that_are_not_known_or_not_one() {
    says(
        &words("formula \"x\"\nphase A\n  glyzer$0in  5 %\n"),
        &["**glyzerin** is not known", "Near to it", "lycerin"],
    );
    says(
        &words("formula \"x\"\nphase A\n  vitamin$0 E  1 %\n"),
        &["the name of several materials", "tocopherol"],
    );
}

struct Stock;

impl FileLoader for Stock {
    fn read(&self, path: &Path) -> Result<String, String> {
        match path.file_name().and_then(|n| n.to_str()) {
            Some("stock gel.formula") => Ok(
                "formula \"Stock gel\"\n  pH: 6\nphase A\n  water  99 %\n  xanthan gum  1 %\n"
                    .into(),
            ),
            _ => Err("no such file".into()),
        }
    }
}

#[test]
fn a_formula_made_earlier_is_looked_through() {
    let text = "formula \"x\"\nphase A\n  \"stock gel.formula\"  20 %\n  \"gone.formula\"  5 %\n  water  75 %\n";
    let s = with_loader(FileKind::Formula, text, &Stock);
    let h = hover(&s, 2, 5).expect("the file is shown").markdown;
    says(
        &h,
        &[
            "**Stock gel**, made earlier",
            "xanthan gum: 1 %, here 0.2 %",
            "**Its pH:** 6",
            "bench/stock gel.formula",
        ],
    );
    says(
        &hover(&s, 3, 5).expect("what is missing is shown").markdown,
        &["cannot be used", "no such file"],
    );
}

#[test]
fn a_step_shows_the_temperature_after_it() {
    says(&words(&cream("  cool to")), &["After this step: **38 °C**"]);
    says(
        &words(&cream("  ad")),
        &["After this step: **38 °C**", "**Goes in:** phase C"],
    );
    says(&words(&cream("  add C")), &["**Phase C**"]);
}

#[test]
fn fields_exceptions_and_strengths() {
    says(
        &words(&cream("product: face")),
        &["leave-on", "**Usual pH:**"],
    );
    says(&words(&cream("batch: 2")), &["**Fills:** 200 g"]);
    says(
        &words("formula \"x\"\nphase A\n  water  q.s.  # except banne$0d: a test\n"),
        &["**A substance that a market prohibits** (banned)"],
    );
    says(
        &words("formula \"x\"\nphase A\n  lactic$0 acid 80 %  5 %\n  water  q.s.\n"),
        &["a strength of 80 %, so 4 % of it pure"],
    );
}

#[test]
fn nothing_is_shown_where_there_is_nothing() {
    for marked in [
        "formula \"x\"\n$0\nphase A\n  water  q.s.\n",
        "formula \"x\"\n$0  pH: 5\n",
        "$0",
        "formula \"x\"\nnotes\n  wa$0ter\n",
        "formula \"x\"\nphase A\n  water  q.s.  # a re$0mark\n",
    ] {
        assert_eq!(shown(marked), None, "{marked}");
    }
}

#[test]
fn records_and_shelves_show_cards_too() {
    let c = at_in(
        FileKind::Stock,
        "lot GLY-07 of gly$0cerin\n  supplier: pharmacy\n",
    );
    says(
        &hover(&c.snapshot, c.line, c.byte)
            .expect("the material is shown")
            .markdown,
        &["CAS 56-81-5"],
    );
    let c = at_in(
        FileKind::Batch,
        "batch A-1 of \"a.formula\" version 1\n\nweighed\n  gly$0cerin  12.51 g of 12.50 g  lot GLY-07\n",
    );
    says(
        &hover(&c.snapshot, c.line, c.byte)
            .expect("the material is shown")
            .markdown,
        &["CAS 56-81-5"],
    );
    assert!(c.snapshot.formula.is_none());
}

/// 1.4 parts at 4.7 and 3.6 at 14.9 are 12.04 together, by hand.
const LOTION: &str = "formula \"Lotion\"
  type: oil-in-water
  pH: 5.0 to 5.5

phase A
  water              q.s.
  lactic acid        0.5 %
  sodium phytate     0.1 %

phase B
  mineral oil        30 %
  sorbitan stearate  1.4 %
  polysorbate 60     3.6 %
";

#[test]
fn an_emulsifier_and_its_phase_show_the_hlb() {
    let behind = |words: &str| LOTION.replacen(words, &format!("{words}$0"), 1);
    for place in ["sorbitan", "phase B"] {
        says(
            &words(&behind(place)),
            &["**HLB of the whole:** the emulsifiers have 12, the oils ask for "],
        );
    }
    assert!(!words(&behind("  lactic")).contains("HLB of the whole"));
    says(
        &words(&behind("phase B")),
        &[
            "**Its oils need HLB** ",
            "**Its emulsifiers give HLB** 12 (",
        ],
    );
}

#[test]
fn the_ph_line_shows_the_prediction_and_what_it_leaves_out() {
    let h = words(&LOTION.replacen("  pH", "  p$0H", 1));
    says(
        &h,
        &[
            "**Estimate:** about pH ",
            " from lactic acid",
            "- known only between bounds, which the range takes in: sodium phytate and polysorbate 60",
        ],
    );
}
