//! What holds for any text whatever.

use phasewright::syntax::{
    Cache, FileKind, Line, SectionKind, Tree, parse, parse_cached, parse_with,
};
use proptest::prelude::*;

/// Text made of the language's own words, so that slips come near to what is meant.
fn near_misses() -> impl Strategy<Value = String> {
    let word = prop::sample::select(vec![
        "phase ",
        "premix ",
        "method",
        "notes",
        "formula ",
        "batch ",
        "lot ",
        "log",
        "weighed",
        "observations",
        "phse ",
        "\n",
        "\n",
        "\n",
        "\r\n",
        "\r",
        "\n  ",
        "\n  ",
        "  ",
        " ",
        "A",
        "B2",
        "\"",
        "\"oil\"",
        "“",
        "at ",
        "below ",
        "between ",
        "75 °C",
        "75",
        "°",
        "167 °F",
        ", ",
        "hold ",
        "20 min",
        "into A",
        "water ",
        "glycerin ",
        "polysorbate 20 ",
        "1,2-hexanediol ",
        "5 %",
        "0.5",
        "1,000 g",
        "1 500 g",
        "½ %",
        "5-6 %",
        "q.s.",
        "qs",
        " to ",
        "pH 5.2",
        "pH ",
        "about 1 %",
        "at most 2 %",
        "as preservative",
        ":",
        "version: 4",
        "batch: 250 g",
        "# except syntax: no",
        "#",
        "add ",
        "heat A and B to ",
        "stir ",
        "and then ",
        "of ",
        "? of 2 g",
        "lot GLY-07",
        "10:05 ",
        "+1 d ",
        "yield 5 g",
        "tare A 5 g",
        "(",
        ")",
        "🧴",
        "é",
        "\u{FEFF}",
        "\u{A0}",
        "\t",
        "-",
        "~",
        "%",
        ".",
        "2026-03-14",
        "'",
    ]);
    prop::collection::vec(word, 0..60).prop_map(|w| w.concat())
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![
        near_misses(),
        any::<String>(),
        "[ -~\\n\\r\\t°½–é🧴#\"]{0,200}"
    ]
}

fn kind() -> impl Strategy<Value = FileKind> {
    prop::sample::select(FileKind::ALL.to_vec())
}

fn same(a: &Tree, b: &Tree) {
    assert_eq!(a.kind, b.kind);
    assert_eq!(a.sections, b.sections);
    assert_eq!(a.lines.len(), b.lines.len());
    for (a, b) in a.lines.iter().zip(&b.lines) {
        assert_eq!(a.start, b.start);
        assert_eq!(a.line, b.line);
    }
    assert_eq!(a.file_errors(), b.file_errors());
}

fn spans_fit(line: &Line) {
    for e in &line.errors {
        assert!(
            line.text.get(e.span.range()).is_some(),
            "{e:?} in {:?}",
            line.text
        );
        assert!(!e.message.is_empty());
        for f in &e.fixes {
            assert!(
                line.text.get(f.span.range()).is_some(),
                "{f:?} in {:?}",
                line.text
            );
        }
    }
    let shown = format!("{:?}", line.node);
    for part in shown.split("Span { start: ").skip(1) {
        let mut numbers = part
            .split(|c: char| !c.is_ascii_digit())
            .filter(|n| !n.is_empty());
        let (start, end): (usize, usize) = (
            numbers.next().unwrap().parse().unwrap(),
            numbers.next().unwrap().parse().unwrap(),
        );
        assert!(
            line.text.get(start..end).is_some(),
            "{start}..{end} in {:?}: {shown}",
            line.text
        );
    }
    if let Some(c) = line.comment {
        assert!(line.text[c.range()].starts_with('#'));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_parses_and_every_span_fits(kind in kind(), text in any_text()) {
        let tree = parse(kind, &text);
        let mut next = 0;
        for (n, at) in tree.lines.iter().enumerate() {
            prop_assert_eq!(&text[at.start..at.start + at.line.text.len()], at.line.text.as_str());
            prop_assert!(at.start >= next);
            next = at.start + at.line.text.len();
            spans_fit(&at.line);
            prop_assert!(tree.section_of(n).is_some_and(|s| s.kind == at.line.section));
        }
        prop_assert_eq!(tree.len(), text.len());
        prop_assert_eq!(tree.errors().count(), tree.lines.iter().map(|l| l.line.errors.len()).sum::<usize>() + tree.file_errors().len());
    }

    #[test]
    fn any_prefix_parses(kind in kind(), text in any_text()) {
        for (at, _) in text.char_indices().step_by(3) {
            let tree = parse(kind, &text[..at]);
            prop_assert!(!tree.lines.is_empty());
        }
    }

    #[test]
    fn a_line_reads_the_same_whatever_the_lines_around_it_hold(kind in kind(), lines in prop::collection::vec("[ -~é]{0,40}", 1..12), k in 0usize..12, slip in "  [ -~]{0,30}") {
        let k = k % lines.len();
        let whole = parse(kind, &lines.join("\n"));
        let mut changed = lines.clone();
        changed[k] = slip;
        let tree = parse(kind, &changed.join("\n"));
        let before = |tree: &Tree, n: usize| n.checked_sub(1).map_or(SectionKind::Top, |b| tree.lines[b].line.section);
        for n in 0..lines.len() {
            if n != k && before(&tree, n) == before(&whole, n) && tree.lines[n].line.section != SectionKind::Unknown && before(&tree, n) != SectionKind::Unknown {
                prop_assert_eq!(&tree.lines[n].line, &whole.lines[n].line);
            }
        }
    }

    #[test]
    fn reading_with_an_earlier_state_or_a_cache_is_reading(kind in kind(), old in any_text(), new in any_text()) {
        let fresh = parse(kind, &new);
        let previous = parse(kind, &old);
        same(&parse_with(kind, &new, Some(&previous)), &fresh);
        let mut cache = Cache::new();
        parse_cached(kind, &old, &mut cache);
        same(&parse_cached(kind, &new, &mut cache), &fresh);
        same(&parse_cached(kind, &new, &mut cache), &fresh);
    }

    #[test]
    fn an_edit_in_place_is_reading_anew(kind in kind(), text in any_text(), from in 0usize..100, upto in 0usize..100, put in near_misses()) {
        let mut tree = parse(kind, &text);
        let n = tree.lines.len();
        let (first, end) = ((from % n).min(upto % n), (from % n).max(upto % n) + 1);
        // Whole lines are replaced; what is put in ends in a break unless it ends the file.
        let start = if first == 0 { 0 } else { tree.lines[first].start };
        let stop = tree.lines.get(end).map_or(text.len(), |l| l.start);
        // A lone CR at the joint would marry a LF behind it.
        let mut put = if end < n { format!("{put}\n") } else { put };
        if text[..start].ends_with('\r') {
            put.insert(0, ' ');
        }
        let now = format!("{}{put}{}", &text[..start], &text[stop..]);
        tree.apply(first..end, &put);
        same(&tree, &parse(kind, &now));
    }
}
