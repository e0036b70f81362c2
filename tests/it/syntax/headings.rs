//! Headings and what they open.

use super::said::{errors, fault_of, fixed, formula, phase_said};
use phasewright::syntax::{FileKind, Heading, Node, SectionKind, parse};

#[test]
fn a_phase_has_a_label_a_name_and_its_heat() {
    for (text, said) in [
        ("phase A", "phase A"),
        (
            "phase A \"water\" at 75 °C, hold 20 min",
            "phase A \"water\" 75 hold 20",
        ),
        ("phase A “water” at 75C", "phase A \"water\" 75"),
        ("Phase B \"oil\" at 75 º C", "phase B \"oil\" 75"),
        ("phase B at 167 °F", "phase B 75 (F)"),
        ("phase B at 75 degrees C", "phase B 75"),
        ("phase B at 75 ℃", "phase B 75"),
        ("phase B between 70 and 75 °C", "phase B 70 to 75"),
        ("phase B at 70-75 °C", "phase B 70 to 75"),
        (
            "phase B at 70 to 75 °C hold for 1 h",
            "phase B 70 to 75 hold 60",
        ),
        (
            "phase C \"cool-down\" below 40 °C",
            "phase C \"cool-down\" below 40",
        ),
        ("phase C under 40 °C", "phase C below 40"),
        ("phase C at room temperature", "phase C room"),
        ("phase P dry", "phase P dry"),
        (
            "premix A1 \"gum slurry\" at room temperature, into A",
            "premix A1 \"gum slurry\" room into A",
        ),
        ("premix A1 into phase A", "premix A1 into A"),
        ("phase A   # water", "phase A"),
    ] {
        assert_eq!(phase_said(text), said, "{text}");
        assert_eq!(
            errors(&formula(text).lines[0].line),
            Vec::<String>::new(),
            "{text}"
        );
    }
}

#[test]
fn a_slip_in_a_heading_is_named_and_the_rest_still_counts() {
    for (text, said, at) in [
        ("phase", "phase", "syntax at `phase`"),
        ("phase at 75 °C", "phase 75", "syntax at `phase`"),
        (
            "phase \"oil\" at 75 °C",
            "phase \"oil\" 75",
            "syntax at `phase`",
        ),
        ("phase B at 75", "phase B", "syntax at `75`"),
        ("phase B at 75°", "phase B", "syntax at `75°`"),
        ("phase B at", "phase B", "syntax at `at`"),
        ("phase B \"oil", "phase B \"oil\"", "syntax at `oil`"),
        (
            "phase B oil at 75 °C",
            "phase B \"oil\" 75",
            "syntax at `oil`",
        ),
        (
            "phase B \"oil\" at 75 °C quickly",
            "phase B \"oil\" 75",
            "syntax at `quickly`",
        ),
        (
            "phase B \"oil\" at 7x °C, hold 20 min",
            "phase B \"oil\" hold 20",
            "syntax at `at 7x °C`",
        ),
        ("phase: A", "phase A", "syntax at `:`"),
        ("phase A: \"water\"", "phase A \"water\"", "syntax at `:`"),
        ("premix A1", "premix A1", "syntax at `premix`"),
        (
            "phse B \"oil\" at 75 °C",
            "phase B \"oil\" 75",
            "syntax at `phse`",
        ),
    ] {
        assert_eq!(phase_said(text), said, "{text}");
        assert_eq!(fault_of(&formula(text).lines[0].line), at, "{text}");
    }
    assert_eq!(
        fixed(&formula("phase B at 75").lines[0].line),
        ["phase B at 75 °C", "phase B at 75 °F"]
    );
    assert_eq!(
        fixed(&formula("phase B oil at 75 °C").lines[0].line),
        ["phase B \"oil\" at 75 °C"]
    );
    assert_eq!(fixed(&formula("phse B").lines[0].line), ["phase B"]);
    assert_eq!(
        fixed(&formula("premix A1 \"gum\"").lines[0].line),
        ["premix A1 \"gum\", into A"]
    );
}

fn kinds(text: &str) -> Vec<SectionKind> {
    formula(text).lines.iter().map(|l| l.line.section).collect()
}

#[test]
fn a_broken_heading_opens_the_section_of_the_nearest_keyword() {
    use SectionKind::*;
    assert_eq!(
        kinds("phase A\n  water 50 %\nphsae B\n  oil 50 %"),
        [Phase, Phase, Phase, Phase]
    );
    assert_eq!(
        kinds("phase A\n  water 50 %\nmethd\n  heat A to 75 °C"),
        [Phase, Phase, Method, Method]
    );
    assert_eq!(
        kinds("method\n  stir\nnote\n  nice"),
        [Method, Method, Notes, Notes]
    );
}

#[test]
fn an_unknown_section_is_kept_and_draws_no_messages() {
    let tree =
        formula("phase A\n  water 50 %\nshopping list\n  eggs\n  5 bottles\nphase B\n  oil 50 %");
    let nodes: Vec<bool> = tree
        .lines
        .iter()
        .map(|l| l.line.node == Node::Kept)
        .collect();
    assert_eq!(nodes, [false, false, false, true, true, false, false]);
    assert_eq!(tree.lines[2].line.node, Node::Heading(Heading::Broken));
    assert_eq!(tree.errors().count(), 1);
    assert_eq!(tree.sections.len(), 3);
}

#[test]
fn a_row_at_the_left_edge_takes_its_phase_up_again() {
    let tree = formula("phase A\nwater 50 %\nglycer\noil 50 %\n  wax 1 %");
    let rows: Vec<u32> = tree.rows().map(|(n, _, _)| n).collect();
    assert_eq!(rows, [1, 3, 4]);
    assert_eq!(tree.section_of(3).unwrap().heading, Some(0));
    assert_eq!(tree.errors().count(), 1);
}

#[test]
fn a_repeated_label_is_a_section_of_its_own_with_the_same_label() {
    let tree = formula("phase A\n  water 50 %\nphase B\n  oil 40 %\nphase A\n  salt 10 %");
    let labels: Vec<_> = tree
        .phases()
        .map(|(_, h)| h.unwrap().label.as_ref().unwrap().value.clone())
        .collect();
    assert_eq!(labels, ["A", "B", "A"]);
}

#[test]
fn a_keyword_is_a_whole_word_of_this_kind_of_file() {
    let tree = formula("phase A\n  phase-change wax 5 %\nphase-change wax 5 %\nformulated oil 5 %");
    assert_eq!(tree.rows().count(), 3);
    let tree = formula("formula \"x\"\nbatch: 250 g");
    assert!(matches!(tree.lines[1].line.node, Node::Field(_)));
    assert_eq!(tree.errors().count(), 0);
}

#[test]
fn an_indented_heading_is_told_to_move_to_the_edge() {
    let tree = formula("phase A\n  water 50 %\n  phase B \"oil\" at 75 °C\n  oil 50 %");
    assert_eq!(
        fault_of(&tree.lines[2].line),
        "syntax at `phase B \"oil\" at 75 °C`"
    );
    assert_eq!(fixed(&tree.lines[2].line), ["phase B \"oil\" at 75 °C"]);
    assert_eq!(tree.errors().count(), 1);
}

#[test]
fn the_formula_has_a_name_with_or_without_quotes() {
    for (text, name) in [
        (
            "formula \"Gardener's hand cream\"",
            Some("Gardener's hand cream"),
        ),
        ("formula Hand cream", Some("Hand cream")),
        ("formula", None),
    ] {
        match &formula(text).lines[0].line.node {
            Node::Heading(Heading::Formula { name: found }) => {
                assert_eq!(found.as_ref().map(|n| n.value.as_str()), name)
            }
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn a_batch_names_its_code_its_formula_and_version() {
    let tree = parse(
        FileKind::Batch,
        "batch HC-031 of \"gardeners-hand-cream.formula\" version 4",
    );
    match &tree.lines[0].line.node {
        Node::Heading(Heading::Batch {
            code,
            formula,
            version,
        }) => {
            assert_eq!(code.as_ref().unwrap().value, "HC-031");
            assert_eq!(
                formula.as_ref().unwrap().value,
                "gardeners-hand-cream.formula"
            );
            assert_eq!(version.as_ref().unwrap().value, "4");
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(tree.errors().count(), 0);
    for (text, at) in [
        ("batch", "syntax at `batch`"),
        ("batch HC 31 of \"x.formula\"", "syntax at `HC 31`"),
        ("batch HC-31", "syntax at `HC-31`"),
        (
            "batch HC-31 of x.formula version 4",
            "syntax at `x.formula`",
        ),
        ("batch HC-31 of \"x.formula\" v4", "syntax at `v4`"),
    ] {
        assert_eq!(
            fault_of(&parse(FileKind::Batch, text).lines[0].line),
            at,
            "{text}"
        );
    }
}

#[test]
fn a_lot_names_what_it_is_of() {
    let lot = |text: &str| match &parse(FileKind::Stock, text).lines[0].line.node {
        Node::Heading(Heading::Lot { code, of, of_file }) => (
            code.as_ref().map(|c| c.value.clone()),
            of.as_ref().map(|c| c.value.clone()),
            *of_file,
        ),
        other => panic!("{other:?}"),
    };
    assert_eq!(
        lot("lot GLY-07 of glycerin"),
        (Some("GLY-07".into()), Some("glycerin".into()), false)
    );
    assert_eq!(
        lot("lot ROS-01 of oil of rose"),
        (Some("ROS-01".into()), Some("oil of rose".into()), false)
    );
    assert_eq!(
        lot("lot CIT-03 of \"citric acid solution.formula\""),
        (
            Some("CIT-03".into()),
            Some("citric acid solution.formula".into()),
            true
        )
    );
    assert_eq!(lot("lot"), (None, None, false));
}

#[test]
fn notes_run_to_the_next_heading_and_may_begin_with_any_word() {
    let tree = formula(
        "notes\n  Phase separation at 40 °C.\nPhase separation was seen.\n# not a comment here\nMethod worked well\nphase B\n  oil 5 %",
    );
    let nodes: Vec<bool> = tree
        .lines
        .iter()
        .map(|l| l.line.node == Node::Note)
        .collect();
    assert_eq!(nodes, [false, true, true, true, true, false, false]);
    assert_eq!(tree.errors().count(), 0);
}

#[test]
fn a_step_in_a_phase_is_read_and_the_missing_heading_said_once() {
    let tree = formula("phase A\n  water 50 %\n  oil 50 %\n  heat A to 75 °C\n  stir 5 min");
    assert!(matches!(tree.lines[3].line.node, Node::Step(_)));
    let said: Vec<(u32, String)> = tree.errors().map(|(n, e)| (n, e.whole())).collect();
    assert_eq!(
        said,
        [(
            3,
            "this reads as a step, and the heading \"method\" is missing. Put the heading above it"
                .to_string()
        )]
    );
}

#[test]
fn fields_without_their_heading_are_said_once() {
    let tree = formula("  version: 4\n  product: hand cream\nphase A\n  water 100 %");
    assert_eq!(tree.errors().map(|(n, _)| n).collect::<Vec<_>>(), [0]);
}
