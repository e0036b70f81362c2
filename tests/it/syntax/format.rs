//! The formatter: columns, indentation, blank lines; never the meaning.

use super::files::{BATCH, CREAM, STOCK};
use phasewright::syntax::{Edit, FileKind, Node, Tree, format, format_edits, format_typed, parse};
use proptest::prelude::*;

fn laid(text: &str) -> String {
    format(&parse(FileKind::Formula, text))
}

fn applied(text: &str, edits: &[Edit]) -> String {
    let mut out = text.to_string();
    let mut last = usize::MAX;
    for edit in edits.iter().rev() {
        assert!(edit.range.end <= last, "edits overlap: {edits:?}");
        last = edit.range.start;
        out.replace_range(edit.range.clone(), &edit.text);
    }
    out
}

/// Content lines say the same in the same order.
fn same_meaning(a: &Tree, b: &Tree) {
    let content = |t: &Tree| {
        t.lines
            .iter()
            .filter(|l| l.line.node != Node::Blank)
            .map(|l| l.line.clone())
            .collect::<Vec<_>>()
    };
    let (a, b) = (content(a), content(b));
    assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(&b) {
        assert!(a.means_the_same(b), "{a:?}\n{b:?}");
    }
}

#[test]
fn what_is_well_laid_out_stays() {
    for (kind, text) in [
        (FileKind::Formula, CREAM),
        (FileKind::Batch, BATCH),
        (FileKind::Stock, STOCK),
    ] {
        let tree = parse(kind, text);
        assert_eq!(format(&tree), text);
        assert_eq!(format_edits(&tree, 0..tree.lines.len()), []);
    }
}

#[test]
fn amounts_stand_in_one_column_in_the_whole_file() {
    assert_eq!(
        laid(
            "phase A\nwater q.s.\n\tsodium phytate 0.1%\nphase B   \"oil\"  at 75 °C\n    rapeseed oil   9 %\n    \"stock gel.formula\" 20 %\n"
        ),
        "phase A\n  water                q.s.\n  sodium phytate       0.1 %\n\nphase B \"oil\" at 75 °C\n  rapeseed oil         9 %\n  \"stock gel.formula\"  20 %\n"
    );
}

#[test]
fn a_column_that_all_agree_on_stays() {
    let text = "phase A\n  water         70 %\n  glycerin      30 %\n";
    assert_eq!(laid(text), text);
    assert_eq!(
        laid("phase A\n  water     70 %\n  glycerin   30 %\n"),
        "phase A\n  water     70 %\n  glycerin  30 %\n"
    );
}

#[test]
fn one_very_long_name_does_not_push_the_others() {
    let long = "a".repeat(70);
    let out = laid(&format!("phase A\n  {long} 5 %\n  water  q.s.\n"));
    assert_eq!(out, format!("phase A\n  {long}  5 %\n  water  q.s.\n"));
}

#[test]
fn comments_keep_or_get_a_column_of_their_section() {
    let text = "phase A\n  water     70 %     # from the tap\n  glycerin  30 %     # guards\n";
    assert_eq!(laid(text), text);
    assert_eq!(
        laid("phase A\n  water  70 % # from the tap\n  glycerin  30 % # guards\n"),
        "phase A\n  water     70 %  # from the tap\n  glycerin  30 %  # guards\n"
    );
    assert_eq!(
        laid("phase A # x\n# at the edge\n   # within\n  water  5 %\n"),
        "phase A  # x\n# at the edge\n  # within\n  water  5 %\n"
    );
}

#[test]
fn blank_lines_are_one_before_a_heading_and_none_at_the_ends() {
    assert_eq!(
        laid(
            "\n\nformula \"x\"\n  version: 4\n\n\n\n  product: salve\n# except no-preservative: no water\nphase A\n  beeswax  100 %\n\n\nmethod\n  melt A\n\n\n"
        ),
        "formula \"x\"\n  version: 4\n\n  product: salve\n\n# except no-preservative: no water\nphase A\n  beeswax  100 %\n\nmethod\n  melt A\n"
    );
    assert_eq!(laid(""), "");
    assert_eq!(laid("\n \n\t\n"), "");
}

#[test]
fn headings_fields_and_steps_get_single_blanks() {
    assert_eq!(
        laid(
            "Formula   \"two  blanks\"\nversion :4\n   Sold  in:EU,  US\n\nPHASE A  \"the  water\"   at 75 °C ,  hold 20 min\n  water  100 %\n\nMethod\nheat   A to  75 °C\n"
        ),
        "formula \"two  blanks\"\n  version: 4\n  Sold in: EU,  US\n\nphase A \"the  water\" at 75 °C , hold 20 min\n  water  100 %\n\nmethod\n  heat A to 75 °C\n"
    );
}

#[test]
fn notes_keep_their_words_and_their_own_indentation() {
    let text = "notes\n  First trial.\n\n\n      - deeper\n  Last.\n";
    assert_eq!(laid(text), text);
    assert_eq!(
        laid("notes\nFirst trial.  \n\n\n\n"),
        "notes\n  First trial.\n"
    );
}

#[test]
fn a_line_with_an_error_keeps_its_words() {
    for line in [
        "  glycerin   5-6 %   # why",
        "  glycerin",
        "  polysorbate 20 500 g",
        "  5 %   glycerin",
        "  glycerin  1,000 g",
    ] {
        assert_eq!(
            laid(&format!("phase A\n{line}\n")),
            format!("phase A\n{line}\n")
        );
    }
    let text = "shopping   list\n     eggs    3\nphase A\n  water  100 %\n";
    assert_eq!(
        laid(text),
        "shopping   list\n     eggs    3\n\nphase A\n  water  100 %\n"
    );
}

#[test]
fn weighed_rows_and_logs_stand_in_columns() {
    let text = "weighed\n glycerin 12.51 g of 12.50 g lot GLY-07\n panthenol ? of 2.50 g\n rapeseed oil 2.4 g of 2.5g   lot RAP-15\nlog\n10:05 A 76 °C\n +1 d,  pH 5.5\n";
    let tree = parse(FileKind::Batch, text);
    assert_eq!(
        format(&tree),
        "weighed\n  glycerin    12.51 g of 12.50 g   lot GLY-07\n  panthenol       ? of 2.50 g\n  rapeseed oil  2.4 g of 2.5 g     lot RAP-15\n\nlog\n  10:05  A 76 °C\n  +1 d   pH 5.5\n"
    );
}

#[test]
fn line_breaks_and_the_mark_of_the_file_stay() {
    assert_eq!(
        laid("\u{FEFF}phase A\r\n water 5 %\r\n"),
        "\u{FEFF}phase A\r\n  water  5 %\r\n"
    );
}

#[test]
fn a_mark_on_a_later_line_does_not_become_that_of_the_file() {
    assert_eq!(laid("\n\n\u{FEFF}notes\n"), "\n\u{FEFF}notes\n");
}

#[test]
fn a_line_just_typed_follows_the_others() {
    let text = "phase A\n  water         70 %\n glycerin 5%\n  oil 3 %\n";
    let tree = parse(FileKind::Formula, text);
    let edits = format_typed(&tree, 2);
    assert_eq!(edits.len(), 1);
    assert!(applied(text, &edits).contains("\n  glycerin  5 %\n"));
    assert_eq!(format_typed(&tree, 99), []);
}

#[test]
fn a_line_of_blanks_just_left_is_emptied() {
    let text = "phase A\n  water  70 %\n  \n\n";
    let tree = parse(FileKind::Formula, text);
    let emptied = "phase A\n  water  70 %\n\n\n";
    assert_eq!(applied(text, &format_typed(&tree, 2)), emptied);
    assert_eq!(format_typed(&tree, 3), []);
}

fn any_text() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "phase A\n",
        "phase B \"oil\"  at 75 °C\n",
        "premix A1 into A\r\n",
        "method\n",
        "notes\n",
        "formula \"x\"\n",
        "shopping list\n",
        "phse C\n",
        "\n",
        "\n\n",
        "\r\n",
        "  \n",
        "  water  q.s.\n",
        " glycerin 5%\n",
        "oil 3 % # c\n",
        "  polysorbate 20  5 %   # d\n",
        "  glycerin 5-6 %\n",
        "  glyc\n",
        "\"a b.formula\" 3 %\n",
        "  \"a.formula\"  3 g as solvent\n",
        "  version : 4\n",
        "batch:250 g # x\n",
        "  heat  A to 75 °C,  stir\n",
        "stir\n",
        "# edge\n",
        "   # within\n",
        "# except banned: why\n",
        "  some   words\n",
        "words\n",
        "\t5 %\n",
        "  salt  q.s.,  about 1 %\n",
        "  phase D\n",
        "  glycerin 5 g of 5 g lot X-1\n",
        "  gly ? of 2 g\n",
        "log\n",
        "weighed\n",
        "observations\n",
        "  10:05 A 76 °C\n",
        " +1 d  pH 5\n",
        "lot A-1 of b\n",
        "  supplier:x\n",
        "🧴 5 %\n",
        "  é  5 % #",
        "  a",
        " ",
        "\t",
        "\"",
        "\u{FEFF}",
    ]);
    prop::collection::vec(piece, 0..25).prop_map(|p| p.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn formatting_is_idempotent_and_changes_no_meaning(kind in prop::sample::select(FileKind::ALL.to_vec()), text in any_text()) {
        let tree = parse(kind, &text);
        let once = format(&tree);
        let again = parse(kind, &once);
        same_meaning(&tree, &again);
        prop_assert_eq!(format(&again), once);
    }

    #[test]
    fn edits_for_the_whole_file_lead_to_the_same(kind in prop::sample::select(FileKind::ALL.to_vec()), text in any_text()) {
        let tree = parse(kind, &text);
        let edits = format_edits(&tree, 0..tree.lines.len());
        let breaks = |t: &str| t.replace("\r\n", "\n").replace('\r', "\n");
        prop_assert_eq!(breaks(&applied(&text, &edits)), breaks(&format(&tree)));
    }

    #[test]
    fn edits_for_a_range_stay_in_it_and_change_no_meaning(kind in prop::sample::select(FileKind::ALL.to_vec()), text in any_text(), a in 0usize..30, b in 0usize..30) {
        let tree = parse(kind, &text);
        let n = tree.lines.len();
        let lines = (a % n).min(b % n)..(a % n).max(b % n) + 1;
        let from = tree.lines[lines.start].start;
        let to = tree.lines.get(lines.end).map_or(text.len(), |l| l.start);
        for edits in [format_edits(&tree, lines.clone()), format_typed(&tree, lines.start)] {
            let typed = edits.iter().all(|e| e.range.start >= from && e.range.end <= to);
            prop_assert!(typed, "{:?} outside {}..{}", edits, from, to);
            same_meaning(&tree, &parse(kind, &applied(&text, &edits)));
        }
    }
}
