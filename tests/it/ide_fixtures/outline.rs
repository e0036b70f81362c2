use super::{CREAM, at, snapshot};
use phasewright::ide::definition::{Definition, definition, highlights};
use phasewright::ide::folding::{FoldKind, folds};
use phasewright::ide::hints::hints;
use phasewright::ide::lens::lens;
use phasewright::ide::links::links;
use phasewright::ide::selection::selection;
use phasewright::ide::symbols::{SymbolKind, symbols};
use phasewright::ide::tokens::{TokenKind, tokens};
use phasewright::syntax::FileKind;
use std::path::Path;

#[test]
fn the_outline_has_every_section_with_its_rows() {
    let s = snapshot(FileKind::Formula, CREAM);
    let all = symbols(&s);
    let short: Vec<(SymbolKind, &str, &str, usize)> = all
        .iter()
        .map(|x| (x.kind, x.name.as_str(), x.detail.as_str(), x.children.len()))
        .collect();
    assert_eq!(
        short,
        [
            (SymbolKind::Formula, "Bench cream", "100 %", 0),
            (SymbolKind::Phase, "phase A \"water\"", "80.2 %", 2),
            (SymbolKind::Phase, "phase B \"oil\"", "18 %", 3),
            (SymbolKind::Phase, "phase C \"cool-down\"", "1.8 %", 2),
            (SymbolKind::Method, "method", "", 5),
            (SymbolKind::Notes, "notes", "", 0),
        ]
    );
    assert_eq!(all[1].children[1].name, "glycerin");
    assert_eq!(all[1].children[1].detail, "5 %, 10 g");
    assert_eq!(all[4].children[2].name, "cool to 38 °C");
    for x in &all {
        assert!(x.first_line <= x.select.line && x.select.line <= x.end_line);
        assert!(
            x.children
                .iter()
                .all(|c| x.first_line <= c.first_line && c.end_line <= x.end_line)
        );
    }
}

#[test]
fn records_and_shelves_have_an_outline_too() {
    let s = snapshot(
        FileKind::Stock,
        "lot GLY-07 of glycerin\n  supplier: pharmacy\n\nlot RAP-1 of rapeseed oil\n",
    );
    assert_eq!(
        symbols(&s)
            .iter()
            .map(|x| (x.kind, x.name.as_str()))
            .collect::<Vec<_>>(),
        [
            (SymbolKind::Lot, "lot GLY-07"),
            (SymbolKind::Lot, "lot RAP-1")
        ]
    );
    let s = snapshot(
        FileKind::Batch,
        "batch A-1 of \"a.formula\" version 1\nweighed\n  glycerin  12.51 g of 12.50 g  lot GLY-07\n  water  ? of 5 g\n",
    );
    let all = symbols(&s);
    assert_eq!(
        all[1]
            .children
            .iter()
            .map(|c| (c.name.as_str(), c.detail.as_str()))
            .collect::<Vec<_>>(),
        [("glycerin", "12.51 g"), ("water", "not weighed yet")]
    );
}

#[test]
fn weights_stand_beside_the_rows() {
    let s = snapshot(FileKind::Formula, CREAM);
    let shown: Vec<(u32, String)> = hints(&s, 0, 100)
        .into_iter()
        .map(|h| (h.line, h.text))
        .collect();
    assert_eq!(
        shown,
        [
            (8, "= 80.2 %, 160.4 g".to_owned()),
            (9, "= 75.2 %, 150.4 g".to_owned()),
            (10, "= 10 g".to_owned()),
            (12, "= 18 %, 36 g".to_owned()),
            (13, "= 24 g".to_owned()),
            (14, "= 6 g".to_owned()),
            (15, "= 6 g".to_owned()),
            (17, "= 1.8 %, 3.6 g".to_owned()),
            (18, "= 2 g".to_owned()),
            (19, "= 1.6 g".to_owned()),
        ]
    );
    assert_eq!(hints(&s, 10, 10).len(), 1, "only what is asked for");
    let amount = hints(&s, 10, 10)[0].byte as usize;
    assert!(s.text(10)[..amount].ends_with("5 %"), "behind the amount");
}

#[test]
fn rounded_weights_add_up_to_the_batch() {
    let s = snapshot(
        FileKind::Formula,
        "formula \"x\"\n  batch: 100 g\nphase A\n  water  1 part\n  glycerin  1 part\n  urea  1 part\n",
    );
    let grams: Vec<String> = hints(&s, 3, 5).into_iter().map(|h| h.text).collect();
    assert_eq!(
        grams,
        [
            "= 33.33 %, 33.34 g",
            "= 33.33 %, 33.33 g",
            "= 33.33 %, 33.33 g"
        ]
    );
}

#[test]
fn weights_are_shown_as_shares() {
    let s = snapshot(
        FileKind::Formula,
        "formula \"x\"\nphase A\n  water  150 g\n  glycerin  50 g\n",
    );
    assert_eq!(
        hints(&s, 2, 3)
            .into_iter()
            .map(|h| h.text)
            .collect::<Vec<_>>(),
        ["= 75 %", "= 25 %"]
    );
}

#[test]
fn an_unreadable_line_takes_the_sum_and_nothing_else() {
    let s = snapshot(
        FileKind::Formula,
        "formula \"x\"\n  batch: 100 g\nphase A\n  water  q.s.\n  glycerin  5-6 %\n  urea  2 %\n",
    );
    let shown: Vec<(u32, String)> = hints(&s, 0, 10)
        .into_iter()
        .map(|h| (h.line, h.text))
        .collect();
    assert_eq!(shown, [(5, "= 2 g".to_owned())]);
    let title = lens(&s).expect("there are rows").title;
    assert!(
        title.starts_with("sum unknown: line 5 cannot be read"),
        "{title}"
    );
}

/// One line, for lenses side by side push each other off the screen.
#[test]
fn the_lens_says_total_shares_and_ph_in_one_line() {
    let s = snapshot(FileKind::Formula, CREAM);
    let lens = lens(&s).expect("there are rows");
    assert_eq!(lens.line, 0);
    assert_eq!(
        lens.title,
        "100 % of 200 g · water 75.2 %, oils 15 % · aim pH 5 to 5.5"
    );
}

/// Whatever unit a row is written in, the hint beside it says what the row does not.
#[test]
fn no_figure_stands_twice_on_a_row() {
    let beside = |batch: &str, row: &str| {
        let text = format!("formula \"x\"\n{batch}phase A\n  water  q.s.\n  {row}\n");
        let s = snapshot(FileKind::Formula, &text);
        let line = text.lines().count() as u32 - 1;
        hints(&s, line, line).pop().map(|h| h.text)
    };
    let batch = "  batch: 300 g\n";
    for (batch, row, hint) in [
        (batch, "glycerin  5.00 %", Some("= 15 g")),
        (batch, "glycerin  3.333333 %", Some("= 10 g")),
        ("", "glycerin  5 %", None),
        (
            batch,
            "lactic acid 80 %  q.s. to pH 5.2, about 1 %",
            Some("= about 3 g"),
        ),
        (batch, "lactic acid 80 %  q.s. to pH 5.2", None),
    ] {
        assert_eq!(beside(batch, row).as_deref(), hint, "{row}");
    }
    let by_weight = |batch: &str| {
        let text = format!("formula \"x\"\n{batch}phase A\n  water  150 g\n  glycerin  50 g\n");
        let s = snapshot(FileKind::Formula, &text);
        let all = hints(&s, 0, 9).into_iter();
        all.filter(|h| s.text(h.line).contains(" g"))
            .map(|h| h.text)
            .collect::<Vec<_>>()
    };
    assert_eq!(by_weight(""), ["= 75 %", "= 25 %"]);
    assert_eq!(by_weight("  batch: 200 g\n"), ["= 75 %", "= 25 %"]);
    assert_eq!(
        by_weight("  batch: 400 g\n"),
        ["= 75 %, 300 g", "= 25 %, 100 g"]
    );
}

#[test]
fn sections_and_runs_of_comments_fold() {
    let s = snapshot(
        FileKind::Formula,
        "# one\n# two\nformula \"x\"\n  batch: 100 g\n\n\nphase A\n  water  q.s.\n",
    );
    let all: Vec<(u32, u32, FoldKind)> = folds(&s)
        .into_iter()
        .map(|f| (f.first_line, f.last_line, f.kind))
        .collect();
    assert_eq!(
        all,
        [
            (0, 1, FoldKind::Comment),
            (2, 3, FoldKind::Section),
            (6, 7, FoldKind::Section)
        ]
    );
}

#[test]
fn a_selection_grows_from_the_word_to_the_file() {
    let c = at(&CREAM.replacen("cetearyl", "cete$0aryl", 1));
    let all = selection(&c.snapshot, c.line, c.byte);
    let text = |n: usize| {
        let r = all[n];
        (r.start.0 == r.end.0)
            .then(|| c.snapshot.text(r.start.0)[r.start.1 as usize..r.end.1 as usize].to_owned())
    };
    assert_eq!(text(0).as_deref(), Some("cetearyl"));
    assert_eq!(text(1).as_deref(), Some("cetearyl alcohol"));
    assert_eq!(text(2).as_deref(), Some("cetearyl alcohol  3 %"));
    assert!(
        all.windows(2)
            .all(|w| w[1].start <= w[0].start && w[1].end >= w[0].end && w[0] != w[1]),
        "{all:?}"
    );
    assert_eq!(all.last().map(|r| r.start), Some((0, 0)));
}

#[test]
fn files_are_links() {
    let s = snapshot(
        FileKind::Formula,
        "formula \"x\"\nphase A\n  \"../bases/stock gel.formula\"  20 %\n",
    );
    let all = links(&s);
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].path, Path::new("bases/stock gel.formula"));
    assert_eq!(
        &s.text(2)[all[0].place.span.range()],
        "../bases/stock gel.formula"
    );
}

#[test]
fn words_by_their_meaning() {
    let s = snapshot(
        FileKind::Formula,
        "formula \"x\"\nphase A \"water\" at 75 °C\n  hydroquinone  2 %  # no\n  glyzzzz  1 %\nmethod\n  heat A to 75 °C\n",
    );
    let all = tokens(&s, 0, 100);
    let shown: Vec<(TokenKind, &str)> = all
        .iter()
        .map(|t| (t.kind, &s.text(t.place.line)[t.place.span.range()]))
        .collect();
    assert_eq!(
        shown,
        [
            (TokenKind::Keyword, "formula"),
            (TokenKind::Value, "x"),
            (TokenKind::Keyword, "phase"),
            (TokenKind::Phase, "A"),
            (TokenKind::Value, "water"),
            (TokenKind::Temperature, "at 75 °C"),
            (TokenKind::Ingredient, "hydroquinone"),
            (TokenKind::Amount, "2"),
            (TokenKind::Unit, "%"),
            (TokenKind::Comment, "# no"),
            (TokenKind::Ingredient, "glyzzzz"),
            (TokenKind::Amount, "1"),
            (TokenKind::Unit, "%"),
            (TokenKind::Keyword, "method"),
            (TokenKind::Step, "heat"),
            (TokenKind::Phase, "A"),
            (TokenKind::Temperature, "to 75 °C"),
        ]
    );
    assert!(all[6].modifiers.banned && !all[6].modifiers.unknown);
    assert!(all[10].modifiers.unknown && !all[10].modifiers.banned);
    assert!(tokens(&s, 2, 2).iter().all(|t| t.place.line == 2));
}

#[test]
fn from_a_label_to_its_phase_and_everywhere_it_stands() {
    let c = at(&CREAM.replacen("add C", "add C$0", 1));
    let Some(Definition::Here(place)) = definition(&c.snapshot, c.line, c.byte) else {
        panic!("the phase is in this file")
    };
    assert_eq!(
        (place.line, &c.snapshot.text(place.line)[place.span.range()]),
        (17, "C")
    );
    assert_eq!(highlights(&c.snapshot, c.line, c.byte).len(), 2);
    let c = at(&CREAM.replacen("panthenol", "panth$0enol", 1));
    assert_eq!(
        definition(&c.snapshot, c.line, c.byte),
        Some(Definition::Ingredient("panthenol".into()))
    );
    assert_eq!(highlights(&c.snapshot, c.line, c.byte).len(), 1);
    let c = at("formula \"x\"\nphase A\n  \"a.for$0mula\"  5 %\n");
    assert_eq!(
        definition(&c.snapshot, c.line, c.byte),
        Some(Definition::File("bench/a.formula".into()))
    );
}

#[test]
fn the_lens_says_hlb_and_the_predicted_ph_where_they_mean_something() {
    let text = "formula \"Lotion\"
  type: oil-in-water

phase A
  water              q.s.
  lactic acid        0.5 %

phase B
  mineral oil        30 %
  sorbitan stearate  1.4 %
  polysorbate 60     3.6 %
";
    let title = lens(&snapshot(FileKind::Formula, text))
        .expect("there are rows")
        .title;
    // (1.4 x 4.7 + 3.6 x 14.9) / 5 = 12.04, by hand. Lactic acid, 0.5 % in 64.5 % of water, is 0.086 mol/kg: pH (3.86 + 1.07) / 2 = 2.5.
    assert!(title.contains(" · HLB 12, oils need "), "{title}");
    assert!(title.contains(" · estimate pH 2."), "{title}");
}
