//! Texts in an editor: positions in three encodings, edits, line breaks of every kind.

use phasewright::syntax::{FileKind, parse};
use phasewright::text::{Document, Encoding, Position};
use proptest::prelude::*;

const ENCODINGS: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

#[test]
fn columns_count_in_the_encoding_that_was_agreed() {
    let doc = Document::new("phase A\r\n  öl 🧴 50 %\r\n");
    let at = doc.to_string().find("50").unwrap();
    assert_eq!(doc.position(at, Encoding::Utf8), Position::new(1, 11));
    assert_eq!(doc.position(at, Encoding::Utf16), Position::new(1, 8));
    assert_eq!(doc.position(at, Encoding::Utf32), Position::new(1, 7));
    for encoding in ENCODINGS {
        assert_eq!(doc.offset(doc.position(at, encoding), encoding), at);
    }
}

#[test]
fn what_lies_outside_is_clamped() {
    let doc = Document::new("ab\r\nc🧴d");
    let utf16 = Encoding::Utf16;
    // Behind the end of a line: its end, before the break.
    assert_eq!(doc.offset(Position::new(0, 99), utf16), 2);
    // Behind the last line: the end of the text.
    assert_eq!(doc.offset(Position::new(9, 0), utf16), doc.len());
    // Between the halves of a character: its beginning.
    assert_eq!(doc.offset(Position::new(1, 2), utf16), 5);
    assert_eq!(doc.offset(Position::new(1, 3), Encoding::Utf8), 5);
    // Within a line break, within a character, behind the end.
    assert_eq!(doc.position(3, utf16), Position::new(0, 2));
    assert_eq!(doc.position(7, utf16), Position::new(1, 1));
    assert_eq!(doc.position(99, utf16), Position::new(1, 4));
}

#[test]
fn lines_end_in_lf_crlf_or_cr_and_nothing_else() {
    let doc = Document::new("a\nb\r\nc\rd\u{2028}e\u{B}f\u{85}g");
    assert_eq!(doc.line_count(), 4);
    let lines: Vec<String> = (0..4).map(|n| doc.line(n).unwrap().into_owned()).collect();
    assert_eq!(lines, ["a", "b", "c", "d\u{2028}e\u{B}f\u{85}g"]);
    assert_eq!(doc.line(4), None);
    assert_eq!(Document::new("").line_count(), 1);
    assert_eq!(Document::new("a\n").line(1).unwrap(), "");
}

#[test]
fn an_edit_tells_the_lines_that_it_touched() {
    let mut doc = Document::new("one\ntwo\nthree\n");
    let change = doc.edit_between(
        Position::new(1, 1),
        Position::new(1, 2),
        Encoding::Utf16,
        "x\ny",
    );
    assert_eq!(doc.to_string(), "one\ntx\nyo\nthree\n");
    assert_eq!((change.old, change.new.clone()), (1..2, 1..3));
    assert_eq!(doc.lines(change.new), "tx\nyo\n");
    // Start and end in the wrong order are put right.
    doc.edit_between(
        Position::new(2, 0),
        Position::new(0, 0),
        Encoding::Utf16,
        "",
    );
    assert_eq!(doc.to_string(), "yo\nthree\n");
    let change = doc.replace("a\nb");
    assert_eq!((change.old, change.new), (0..3, 0..2));
}

#[test]
fn a_snapshot_stays_as_it_was() {
    let mut doc = Document::new("water 50 %");
    let snapshot = doc.clone();
    doc.edit(6..8, "60");
    assert_eq!(
        (doc.to_string().as_str(), snapshot.to_string().as_str()),
        ("water 60 %", "water 50 %")
    );
}

fn text() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "a",
        "é",
        "🧴",
        "👩🏽‍🔬",
        "زيت",
        "\n",
        "\r\n",
        "\r",
        "\n  water 5 %",
        "phase A\n",
        "\u{2028}",
        "\u{FEFF}",
        " ",
        "",
        "# c",
        "method\n",
        "notes\r\n",
        "xyz 1,000 g",
        "phse B\r",
    ]);
    prop::collection::vec(piece, 0..25).prop_map(|p| p.concat())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn positions_and_bytes_go_both_ways(text in text()) {
        let doc = Document::new(&text);
        prop_assert_eq!(doc.to_string(), text.clone());
        for encoding in ENCODINGS {
            for (byte, c) in text.char_indices().chain([(text.len(), ' ')]) {
                let position = doc.position(byte, encoding);
                let back = doc.offset(position, encoding);
                let within_crlf = c == '\n' && text[..byte].ends_with('\r');
                prop_assert_eq!(back, if within_crlf { byte - 1 } else { byte });
                // As counted by hand.
                let line = doc.line(position.line as usize).unwrap();
                prop_assert!(position.column as usize <= encoding.width(&line));
                prop_assert_eq!(doc.line_start(position.line as usize) + encoding.byte(&line, position.column as usize), back);
            }
        }
    }

    #[test]
    fn any_position_has_a_byte_and_any_byte_a_position(text in text(), line in any::<u32>(), column in any::<u32>(), near in 0u32..30, byte in any::<usize>()) {
        let doc = Document::new(&text);
        for encoding in ENCODINGS {
            for position in [Position::new(line, column), Position::new(near, column), Position::new(near, near)] {
                let at = doc.offset(position, encoding);
                prop_assert!(text.is_char_boundary(at));
            }
            let position = doc.position(byte, encoding);
            prop_assert!((position.line as usize) < doc.line_count());
        }
    }

    #[test]
    fn lines_are_those_that_the_language_sees(text in text()) {
        let doc = Document::new(&text);
        let tree = parse(FileKind::Formula, &text);
        prop_assert_eq!(doc.line_count(), tree.lines.len());
        for (n, at) in tree.lines.iter().enumerate() {
            let line = doc.line(n).unwrap();
            let line = if n == 0 { line.strip_prefix('\u{FEFF}').unwrap_or(&line) } else { &line };
            prop_assert_eq!(line, at.line.text.as_str());
        }
    }

    #[test]
    fn edits_are_those_of_a_plain_text_and_the_tree_follows(text in text(), edits in prop::collection::vec((0usize..80, 0usize..80, self::text()), 1..6)) {
        let mut plain = text.clone();
        let mut doc = Document::new(&text);
        let mut tree = parse(FileKind::Formula, &text);
        for (a, b, put) in edits {
            let floor = |at: usize| (0..=at.min(plain.len())).rev().find(|&at| plain.is_char_boundary(at)).unwrap_or(0);
            let (start, end) = (floor(a.min(b)), floor(a.max(b)));
            plain.replace_range(start..end, &put);
            let change = doc.edit(a.min(b)..a.max(b), &put);
            prop_assert_eq!(doc.to_string(), plain.clone());
            tree.apply(change.old, &doc.lines(change.new));
            let fresh = parse(FileKind::Formula, &plain);
            prop_assert_eq!(&tree.sections, &fresh.sections);
            prop_assert_eq!(tree.lines.len(), fresh.lines.len());
            for (a, b) in tree.lines.iter().zip(&fresh.lines) {
                prop_assert_eq!(a.start, b.start);
                prop_assert_eq!(&a.line, &b.line);
            }
            prop_assert_eq!(tree.file_errors(), fresh.file_errors());
        }
    }
}
