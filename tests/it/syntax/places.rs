//! Places are bytes, right in any text.

use super::said::{fault_of, formula};
use phasewright::syntax::{FileKind, Node, parse};

#[test]
fn line_breaks_of_any_kind_give_the_same_lines() {
    let text = super::files::CREAM;
    let plain = formula(text);
    for broken in [text.replace('\n', "\r\n"), text.replace('\n', "\r")] {
        let tree = formula(&broken);
        assert_eq!(tree.lines.len(), plain.lines.len());
        for (a, b) in tree.lines.iter().zip(&plain.lines) {
            assert_eq!(a.line, b.line);
            assert_eq!(&broken[a.start..a.start + a.line.text.len()], a.line.text);
        }
        assert_eq!(tree.sections, plain.sections);
    }
}

#[test]
fn a_byte_order_mark_is_no_part_of_the_first_line() {
    let tree = formula("\u{FEFF}formula \"x\"\r\n  pH: 5\r\n");
    assert_eq!(tree.lines[0].start, 3);
    assert_eq!(tree.lines[0].line.text, "formula \"x\"");
    assert_eq!(tree.errors().count(), 0);
    assert_eq!(tree.lines[1].start, 16);
}

#[test]
fn messages_point_at_the_very_words() {
    for text in [
        "huile d’olive 🫒🫒 extra 5-6 %",
        "زيت الزيتون 5-6 %",
        "e\u{301}mulsifiant 👩🏽‍🔬 5-6 %   # note 🧴",
    ] {
        let tree = formula(&format!("phase A\r\n  {text}\r\n"));
        assert_eq!(fault_of(&tree.lines[1].line), "syntax at `5-6`");
    }
    let tree = formula("phase A \"🧴\" at 75x °C");
    assert_eq!(fault_of(&tree.lines[0].line), "syntax at `at 75x °C`");
}

#[test]
fn offsets_and_lines_go_both_ways() {
    let text = "phase A\r\n  water 50 %\n  öl 🫒 50 %\r  end";
    let tree = parse(FileKind::Formula, text);
    for (n, at) in tree.lines.iter().enumerate() {
        for byte in 0..=at.line.text.len() {
            let offset = tree.offset(n, byte);
            assert_eq!(tree.position(offset), (n, byte));
        }
    }
    assert_eq!(tree.position(10_000), (3, 5));
    assert_eq!(tree.offset(99, 0), text.len());
    assert_eq!(tree.offset(0, 99), 7);
    assert!(matches!(tree.line(2).unwrap().node, Node::Row(_)));
    assert!(tree.line(99).is_none());
}
