use super::{CREAM, apply, at, snapshot};
use phasewright::ide::actions::{Action, ActionKind, actions};
use phasewright::rules::Severity;
use phasewright::syntax::FileKind;

fn offered(marked: &str) -> (String, Vec<Action>) {
    let c = at(marked);
    let all = actions(&c.snapshot, c.line, c.line);
    (c.text, all)
}

/// The text after the action whose title begins so.
fn after(marked: &str, title: &str) -> String {
    let (text, all) = offered(marked);
    let one = all
        .iter()
        .find(|a| a.title.starts_with(title))
        .unwrap_or_else(|| panic!("\"{title}\" is not among {:?}", titles(&all)));
    apply(&text, &one.edits)
}

fn titles(all: &[Action]) -> Vec<&str> {
    all.iter().map(|a| a.title.as_str()).collect()
}

#[test]
fn every_fix_of_a_finding_the_first_preferred() {
    let (_, all) = offered("formula \"x\"\nphase A\n  glyzeri$0n  5 %\n  water  q.s.\n");
    let fixes: Vec<&Action> = all
        .iter()
        .filter(|a| a.code == Some("unknown-ingredient") && !a.title.contains("exception"))
        .collect();
    assert!(!fixes.is_empty());
    assert!(
        fixes[0].preferred
            && fixes[0].kind == ActionKind::QuickFix
            && fixes[1..].iter().all(|a| !a.preferred)
    );
    let mended = after(
        "formula \"x\"\nphase A\n  glyzeri$0n  5 %\n  water  q.s.\n",
        "Change to \"",
    );
    assert_eq!(
        mended.to_lowercase(),
        "formula \"x\"\nphase a\n  glycerin  5 %\n  water  q.s.\n"
    );
}

#[test]
fn rescale_and_fill_up_each_once() {
    let text = "formula \"x$0\"\nphase A\n  water  60 %\n  glycerin  20 %\n";
    let (_, all) = offered(text);
    assert_eq!(
        all.iter()
            .filter(|a| a.title.ends_with("ring all rows to 100 %"))
            .count(),
        1,
        "{:?}",
        titles(&all)
    );
    assert_eq!(
        after(text, "Bring all rows"),
        "formula \"x\"\nphase A\n  water  75 %\n  glycerin  25 %\n"
    );
    assert_eq!(
        after(text, "Let water fill up"),
        "formula \"x\"\nphase A\n  water  q.s.\n  glycerin  20 %\n"
    );
    // From a row too, and thirds still add up.
    let thirds = after(
        "formula \"x\"\nphase A\n  water  1$0 %\n  glycerin  1 %\n  urea  1 %\n",
        "Rewrite: bring all rows",
    );
    assert_eq!(
        thirds,
        "formula \"x\"\nphase A\n  water  33.3333 %\n  glycerin  33.3333 %\n  urea  33.3334 %\n"
    );
}

#[test]
fn a_whole_formula_is_left_as_it_is() {
    let (_, all) = offered(&CREAM.replacen("Bench", "Bench$0", 1));
    assert!(
        !titles(&all)
            .iter()
            .any(|t| t.contains("bring all rows") || t.contains("let ")),
        "{:?}",
        titles(&all)
    );
}

#[test]
fn percent_to_grams_and_back() {
    let percent = "formula \"x$0\"\n  batch: 250 g\nphase A\n  water  q.s.\n  glycerin  5 %\n  lactic acid 80 %  q.s. to pH 5.2, about 0.5 %\n";
    let grams = after(percent, "Rewrite: all amounts in grams, for 250 g");
    assert_eq!(
        grams,
        "formula \"x\"\n  batch: 250 g\nphase A\n  water  q.s. to 250 g\n  glycerin  12.5 g\n  lactic acid 80 %  q.s. to pH 5.2, about 1.25 g\n"
    );
    let back = after(
        &grams.replacen("\"x\"", "\"x$0\"", 1),
        "Rewrite: all amounts in percent",
    );
    assert_eq!(back, percent.replace("$0", ""));
}

#[test]
fn weights_keep_their_batch() {
    let text = "formula \"x\"\nphase A\n  water  150$0 g\n  glycerin  50 g\n";
    assert_eq!(
        after(text, "Rewrite: all amounts in percent"),
        "formula \"x\"\n  batch: 200 g\nphase A\n  water  75 %\n  glycerin  25 %\n"
    );
    // Thirds do not end: nothing is rounded behind the maker's back.
    let (_, all) = offered("formula \"x\"\nphase A\n  water  2$0 g\n  glycerin  1 g\n");
    assert!(
        !titles(&all).contains(&"Rewrite: all amounts in percent"),
        "{:?}",
        titles(&all)
    );
}

#[test]
fn a_row_moves_to_the_phase_that_fits_it() {
    let text = "formula \"x\"\nphase A \"water\"\n  water  80 %\n  shea$0 butter  5 %  # melts\n\nphase B \"oil\"\n  rapeseed oil  15 %\n\nnotes\n  none\n";
    assert_eq!(
        after(text, "Move to phase B"),
        "formula \"x\"\nphase A \"water\"\n  water  80 %\n\nphase B \"oil\"\n  rapeseed oil  15 %\n  shea butter  5 %  # melts\n\nnotes\n  none\n"
    );
    // At the very end of a file without a last line break.
    let end = "formula \"x\"\nphase A \"water\"\n  water  80 %\n  shea$0 butter  5 %\nphase B \"oil\"\n  rapeseed oil  15 %";
    assert_eq!(
        after(end, "Move to phase B"),
        "formula \"x\"\nphase A \"water\"\n  water  80 %\nphase B \"oil\"\n  rapeseed oil  15 %\n  shea butter  5 %"
    );
}

#[test]
fn a_phase_that_is_missing_is_made() {
    let text = "formula \"x\"\nphase A \"water\" at 75 °C\n  water  80 %\n  shea$0 butter  5 %\n\nmethod\n  heat A to 75 °C\n";
    let moved = after(text, "Rewrite: move to a new phase B \"oil\" at 75 °C");
    assert_eq!(
        moved,
        "formula \"x\"\nphase A \"water\" at 75 °C\n  water  80 %\n\nphase B \"oil\" at 75 °C\n  shea butter  5 %\n\nmethod\n  heat A to 75 °C\n"
    );
    let (_, all) = offered(text);
    assert!(
        all.iter()
            .any(|a| a.title.ends_with("add it in the method too")),
        "{:?}",
        titles(&all)
    );
    // Where it fits, nothing is offered.
    let (_, all) = offered("formula \"x\"\nphase B \"oil\"\n  shea$0 butter  5 %\n");
    assert!(
        !titles(&all).iter().any(|t| t.starts_with("Move")),
        "{:?}",
        titles(&all)
    );
}

#[test]
fn an_exception_is_written_down_and_does_its_work() {
    let text = "formula \"x\"\n  product: face cream, leave-on\n  sold in: EU\nphase A\n  water  q.s.\n  hydroquin$0one  2 %\n";
    let written = after(
        text,
        "Write down why this is meant (exception to \"banned\"",
    );
    assert!(
        written.contains("  hydroquinone  2 %  # except banned: \n"),
        "{written}"
    );
    let with_reason = written.replace(
        "# except banned: ",
        "# except banned: for a pharmacy, on prescription",
    );
    let s = snapshot(FileKind::Formula, &with_reason);
    let banned = s
        .findings()
        .iter()
        .find(|f| f.code == "banned")
        .expect("law is never silenced");
    assert_eq!(banned.severity, Severity::Warning);
    assert!(banned.suppression_reason.is_some());
    // Beside a comment it goes on a line of its own.
    let beside = after(
        &text.replace("2 %\n", "2 %  # bleaches\n"),
        "Write down why this is meant (exception to \"banned\"",
    );
    assert!(
        beside.contains("  # except banned: \n  hydroquinone  2 %  # bleaches\n"),
        "{beside}"
    );
}

#[test]
fn what_cannot_be_read_is_not_excepted() {
    let (_, all) = offered("formula \"x\"\nphase A\n  water  q.s.\n  \"never clo$0sed  5 %\n");
    assert!(
        !all.iter()
            .any(|a| a.title.contains("exception to \"syntax\"")),
        "{:?}",
        titles(&all)
    );
}

#[test]
fn all_safe_fixes_at_once() {
    let text = "formula \"x\"\nphase A: water\n  water  q.s.  # except banned: a\n  glycerin$0  5 %\nmethod:\n  stir A\n";
    let (_, all) = offered(text);
    let one = all
        .iter()
        .find(|a| a.kind == ActionKind::FixAll)
        .unwrap_or_else(|| panic!("{:?}", titles(&all)));
    assert_eq!(
        one.title,
        "Repair what is safe to repair in the whole file (2 places)"
    );
    let mended = apply(&text.replace("$0", ""), &one.edits);
    // What a maker wrote stays, an exception that does nothing too.
    assert_eq!(
        mended,
        text.replace("$0", "")
            .replace("A: water", "A \"water\"")
            .replace("method:", "method")
    );
}

#[test]
fn titles_say_what_they_do_and_come_once() {
    for n in 0..CREAM.lines().count() as u32 {
        let s = snapshot(FileKind::Formula, CREAM);
        let all = actions(&s, n, n);
        for (i, a) in all.iter().enumerate() {
            assert!(a.title.len() > 5 && !a.edits.is_empty(), "{a:?}");
            assert!(
                !all[..i]
                    .iter()
                    .any(|b| b.title == a.title && b.edits == a.edits),
                "twice: {}",
                a.title
            );
        }
    }
}
