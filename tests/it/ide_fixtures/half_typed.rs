//! A file that is being written: whatever is missing yet, the lines that are there answer.

use super::{CREAM, snapshot};
use phasewright::ide::complete::{Trigger, complete};
use phasewright::ide::hover::hover;
use phasewright::ide::symbols::{Symbol, symbols};
use phasewright::ide::{actions, definition, folding, hints, lens, links, selection, tokens};
use phasewright::syntax::FileKind;

fn count(all: &[Symbol]) -> usize {
    all.iter().map(|s| 1 + count(&s.children)).sum()
}

/// Every prefix of a formula: the whole lines before the last still have their hovers, their symbols, their completions.
#[test]
fn any_prefix_answers_on_its_whole_lines() {
    let whole = snapshot(FileKind::Formula, CREAM);
    let ends: Vec<usize> = (0..=CREAM.len())
        .filter(|n| CREAM.is_char_boundary(*n))
        .collect();
    for end in ends {
        let text = &CREAM[..end];
        let s = snapshot(FileKind::Formula, text);
        let last = text.matches('\n').count() as u32;
        for line in 0..last {
            let at = s.whole_line(line).span.start + 1;
            assert_eq!(
                hover(&s, line, at).is_some(),
                hover(&whole, line, at).is_some(),
                "hover on line {} of\n{text}",
                line + 1
            );
        }
        let rows = s
            .formula
            .as_ref()
            .map_or(0, |f| f.rows.iter().filter(|r| r.line < last).count());
        let expected = whole
            .formula
            .as_ref()
            .map_or(0, |f| f.rows.iter().filter(|r| r.line < last).count());
        assert_eq!(rows, expected, "rows of\n{text}");
        assert!(count(&symbols(&s)) >= rows, "symbols of\n{text}");
    }
}

/// Ingredients are offered on a new row of each phase, however the file goes on.
#[test]
fn a_new_row_is_completed_anywhere() {
    let lines: Vec<&str> = CREAM.lines().collect();
    for (n, line) in lines
        .iter()
        .enumerate()
        .filter(|(_, l)| l.starts_with("phase"))
    {
        for cut in [n + 1, lines.len()] {
            let mut text = lines[..=n].join("\n");
            text.push_str("\n  gly\n");
            text.push_str(&lines[n + 1..cut].join("\n"));
            let s = snapshot(FileKind::Formula, &text);
            let all = complete(&s, n as u32 + 1, 5, Trigger::Typing);
            assert!(
                all.iter().any(|c| c.label.eq_ignore_ascii_case("glycerin")
                    || c.id.as_deref() == Some("glycerin")),
                "under {line}"
            );
        }
    }
}

/// A broken line in the middle costs itself alone.
#[test]
fn a_broken_line_costs_itself_alone() {
    let whole = snapshot(FileKind::Formula, CREAM);
    let lines: Vec<&str> = CREAM.lines().collect();
    for n in 0..lines.len() {
        let mut changed = lines.clone();
        changed[n] = "  \"half a na";
        let s = snapshot(FileKind::Formula, &changed.join("\n"));
        // A heading that is gone takes its phase's figures with it, not the rows.
        let heading = !lines[n].starts_with(' ') && !lines[n].is_empty();
        for line in (0..lines.len()).filter(|l| *l != n && !heading) {
            let at = whole.whole_line(line as u32).span.start + 1;
            assert_eq!(
                hover(&s, line as u32, at).is_some(),
                hover(&whole, line as u32, at).is_some(),
                "line {} with line {} broken",
                line + 1,
                n + 1
            );
        }
    }
}

/// Nothing ends the program: every feature at every place of odd files.
#[test]
fn every_feature_bears_every_place() {
    let odd = [
        "",
        "\n",
        "formula",
        "formula \"",
        "phase",
        "phase A\n  \"",
        "phase A\n  water  q.s. to 10 mL\n  oil  1 drop",
        "formula \"x\"\n  batch: 0 g\nphase A\n  water  99999999999999999999999999 %\n  glycerin  99999999999999999999999999 %\n",
        "formula \"x\"\n  batch: 99999999999999999999999 kg\n  fill: 3 x 50 g\nphase A\n  water  q.s.\n  glycerin  0.0000000000000000001 %\n",
        "formula \"ünï 🧴\"\n  product: crème, leave-on\nphase A \"фаза\"\n  שמן  5 %\n  glycerin\u{a0}5 %\u{a0}# é\n",
        "method\n  add\n  heat to\n  ,\n  cool to 40 °C, , add\nphase\n  as\n  5 %\n  % as \n",
        "# except\n# except banned\n#\n  # except : x\nnotes\n\tx\n",
        "formula \"x\"\nphase A\n  water  1 part\n  glycerin  0 parts\n  urea  -1 part\n",
        "formula \"x\"\r\nphase A\r\n  water  q.s.\r\n  glycerin  5 %\r\n",
        "\u{feff}formula \"x\"\npremix P, into P\n  water  q.s.\n  water  q.s.\n",
    ];
    for kind in [FileKind::Formula, FileKind::Batch, FileKind::Stock] {
        for text in odd.iter().copied().chain([CREAM]) {
            let s = snapshot(kind, text);
            let lines = s.tree.lines.len() as u32;
            for line in 0..=lines {
                let length = s.text(line).len() as u32;
                for byte in (0..=length + 2).filter(|b| text.len() < 200 || b % 5 == 0) {
                    let shown = hover(&s, line, byte);
                    if let Some(h) = shown {
                        assert!(
                            !h.markdown.trim().is_empty() && h.place.span.end <= length,
                            "{text}"
                        );
                    }
                    for c in complete(&s, line, byte, Trigger::Invoked) {
                        assert!(
                            c.replace.span.end <= length
                                && c.replace.span.start <= c.replace.span.end,
                            "{c:?} in {text:?}"
                        );
                        assert!(
                            s.text(line).get(c.replace.span.range()).is_some(),
                            "{c:?} in {text:?}"
                        );
                    }
                    definition::definition(&s, line, byte);
                    definition::highlights(&s, line, byte);
                    let grown = selection::selection(&s, line, byte);
                    assert!(
                        grown
                            .windows(2)
                            .all(|w| w[1].start <= w[0].start && w[1].end >= w[0].end),
                        "{text}"
                    );
                }
                for a in actions::actions(&s, line, line) {
                    assert!(!a.title.is_empty() && !a.edits.is_empty(), "{text}");
                }
            }
            for t in tokens::tokens(&s, 0, u32::MAX) {
                assert!(
                    s.text(t.place.line).get(t.place.span.range()).is_some(),
                    "{t:?} in {text:?}"
                );
            }
            for h in hints::hints(&s, 0, u32::MAX) {
                assert!(h.byte as usize <= s.text(h.line).len(), "{h:?} in {text:?}");
            }
            for f in folding::folds(&s) {
                assert!(
                    f.first_line < f.last_line && f.last_line < lines,
                    "{f:?} in {text:?}"
                );
            }
            lens::lens(&s);
            links::links(&s);
            symbols(&s);
        }
    }
}
