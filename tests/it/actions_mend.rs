//! What the editor offers to do: it mends what it claims, loses nothing that a maker wrote, and writes as the file is written.

use crate::support::edits::{apply, examples};
use phasewright::ide::Snapshot;
use phasewright::ide::actions::{Action, ActionKind, actions, fix_all};
use phasewright::kb::Kb;
use phasewright::model::Settings;
use phasewright::model::file_loader::Disk;
use phasewright::syntax::{FileKind, parse};
use std::path::Path;
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

fn look(path: &Path, text: &str) -> Snapshot {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    Snapshot::new(path, FileKind::Formula, tree, &KB, &settings, &Disk)
}

fn of(text: &str) -> Snapshot {
    look(Path::new("bench.formula"), text)
}

/// Letters and digits of a text: what its maker wrote, but for signs and blanks.
fn words(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).collect()
}

/// What is wrong after all that is safe has been mended; none where nothing is offered.
fn harm_of_fix_all(path: &Path, text: &str) -> Option<String> {
    let before = look(path, text);
    let mended = apply(text, &fix_all(&before)?.edits);
    let after = look(path, &mended);
    if words(&mended) != words(text) {
        return Some(format!("words went: {mended:?}"));
    }
    let comments = |s: &Snapshot| -> Vec<String> {
        let lines = s.tree.lines.iter().map(|at| &at.line);
        lines
            .filter_map(|l| Some(l.text_of(l.comment?).to_owned()))
            .collect()
    };
    if comments(&before) != comments(&after) {
        return Some("a comment went".to_owned());
    }
    let codes = |s: &Snapshot| {
        let mut codes: Vec<&str> = s.findings().iter().map(|f| f.code).collect();
        codes.sort_unstable();
        codes
    };
    let (old, new) = (codes(&before), codes(&after));
    let added = new.iter().find(|code| {
        let count = |all: &[&str]| all.iter().filter(|c| c == code).count();
        count(&new) > count(&old)
    });
    added.map(|code| format!("\"{code}\" was added"))
}

/// A heading that was just typed, with its comment, and nothing under it yet.
#[test]
fn a_heading_just_typed_stays_when_all_that_is_safe_is_mended() {
    let text = "formula \"Balm\"\n\nphase A\n  beeswax  20 %\n  olive oil  80 %\n\nphase B \"scent\" below 40 °C  # still to choose\n\nmethod\n  melt A\n  add B\n  fill\n";
    let s = of(text);
    assert!(s.findings().iter().any(|f| f.code == "empty-phase"));
    assert_eq!(fix_all(&s), None);
    let note = "formula \"Gel\"\n\nphase A\n  water  99 %  # except banned: asked the supplier\n  glycerin  1 %\n";
    let s = of(note);
    assert!(s.findings().iter().any(|f| f.code == "exception-unused"));
    assert_eq!(fix_all(&s), None);
}

#[test]
fn what_is_understood_already_is_written_as_the_language_has_it() {
    let text = "formula \"Balm\"\n\nphase A: oils\n  beeswax  20 %\n  olive oil  80 %\n\nmethod:\n  melt A  # slowly\n  fill\n";
    let mended = apply(text, &fix_all(&of(text)).expect("two places").edits);
    assert_eq!(
        mended,
        text.replace("A: oils", "A \"oils\"")
            .replace("method:", "method")
    );
    assert_eq!(harm_of_fix_all(Path::new("bench.formula"), text), None);
}

/// Every beginning of every example, line by line and (of a few) character by character, with its colons and quotes slipped.
#[test]
fn mending_what_is_safe_loses_nothing_on_any_beginning_of_any_example() {
    let mut wrong = Vec::new();
    let mut offered = 0;
    for (n, (path, text)) in examples().into_iter().enumerate() {
        let slipped = text
            .replace("\nmethod\n", "\nmethod:\n")
            .replace("\nnotes\n", "\nnotes:\n")
            .replace("\nphase B \"", "\nphase B: \"");
        for text in [&text, &slipped] {
            let by_line = text.match_indices('\n').map(|(at, _)| at + 1);
            let by_character = text.char_indices().map(|(at, _)| at).filter(|_| n % 8 == 0);
            for end in by_line.chain(by_character.step_by(3)) {
                let beginning = &text[..end];
                offered += usize::from(fix_all(&look(&path, beginning)).is_some());
                if let Some(harm) = harm_of_fix_all(&path, beginning) {
                    wrong.push(format!("{} up to byte {end}: {harm}", path.display()));
                }
            }
        }
    }
    assert!(offered > 100, "offered {offered} times only");
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n"));
}

/// Each action of each line, applied and judged again: the finding that it claims is gone.
#[test]
fn an_action_claims_only_a_finding_that_is_gone_when_it_is_applied() {
    let mut wrong = Vec::new();
    let mut claims = 0;
    let mut texts = examples();
    texts.extend(
        FAULTY
            .iter()
            .map(|t| ("examples/bench.formula".into(), (*t).to_owned())),
    );
    for (path, text) in texts {
        let before = look(&path, &text);
        for action in actions(&before, 0, u32::MAX) {
            let Some(place) = action.mends else { continue };
            claims += 1;
            let code = action.code.expect("what is mended has a code");
            let after = look(&path, &apply(&text, &action.edits));
            let count = |s: &Snapshot| s.findings().iter().filter(|f| f.code == code).count();
            if count(&after) >= count(&before) {
                wrong.push(format!(
                    "{}:{}: \"{}\" leaves {code}",
                    path.display(),
                    place.line + 1,
                    action.title
                ));
            }
        }
    }
    assert!(claims > 100, "{claims} claims only");
    assert!(
        wrong.is_empty(),
        "{} of {claims}\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// Two rows misspelt: each fix claims its own.
#[test]
fn of_two_findings_of_one_code_each_action_claims_its_own() {
    let s = of("formula \"x\"\nphase A\n  watr  90 %\n  glyzerin  10 %\n");
    let fixes = |line: u32| -> Vec<Action> {
        actions(&s, line, line)
            .into_iter()
            .filter(|a| a.kind == ActionKind::QuickFix && a.code == Some("unknown-ingredient"))
            .collect()
    };
    assert!(!fixes(2).is_empty() && !fixes(3).is_empty());
    for line in [2, 3] {
        assert!(
            fixes(line)
                .iter()
                .all(|a| a.mends.is_some_and(|p| p.line == line))
        );
    }
}

/// A ban stays as a warning under an exception: the action claims nothing.
#[test]
fn an_exception_to_law_does_not_claim_the_finding() {
    let text = "formula \"Cream\"\n  product: face cream, leave-on\n  sold in: EU\n\nphase A\n  water  98 %\n  hydroquinone  2 %\n";
    let s = of(text);
    let banned = s
        .findings()
        .iter()
        .find(|f| f.code == "banned")
        .expect("it is banned");
    let all = actions(&s, banned.place.line, banned.place.line);
    let exception = all
        .iter()
        .find(|a| a.title.contains("exception to \"banned\""));
    assert_eq!(exception.expect("it is offered").mends, None);
}

#[test]
fn scaling_never_writes_nothing() {
    let text = "formula \"x\"\nphase A\n  water  1000000 %\n  glycerin  1 %\n  panthenol  0.01 %\n";
    let s = of(text);
    for a in actions(&s, 0, u32::MAX) {
        assert!(
            a.edits.iter().all(|e| e.text != "0 %"),
            "\"{}\" writes 0 %",
            a.title
        );
    }
}

/// Every edit of every action is written with the breaks of the file.
#[test]
fn line_ends_stay_as_they_are() {
    let mut texts: Vec<String> = examples().into_iter().map(|(_, t)| t).collect();
    texts.extend(FAULTY.iter().map(|t| (*t).to_owned()));
    let mut with_breaks = 0;
    for text in texts {
        for line_break in ["\r\n", "\r"] {
            let written = text.replace('\n', line_break);
            let s = of(&written);
            for a in actions(&s, 0, u32::MAX) {
                with_breaks += usize::from(a.edits.iter().any(|e| e.text.contains('\r')));
                let after = apply(&written, &a.edits);
                let others = after.replace(line_break, "");
                assert!(
                    !others.contains(['\r', '\n']),
                    "\"{}\" mixes line ends: {after:?}",
                    a.title
                );
            }
            let laid_out = phasewright::syntax::format(&s.tree);
            assert!(!laid_out.replace(line_break, "").contains(['\r', '\n']));
        }
    }
    assert!(
        with_breaks > 20,
        "only {with_breaks} edits write a line break"
    );
}

const FAULTY: [&str; 5] = [
    "formula \"Cream\"\n  product: face cream, leave-on\n  type: oil-in-water\n  pH: 8 to 9\n  prodct: x\n\nphase A at 75 °C\n  watr  60 %\n  glycerin  5-6 %\n  glycerin  5 gr\n  ascorbic acid  1,000 %\n\nphase B at 75 °C\n  rapeseed oil  20 %\n  olive oil  0 %\n  panthenol  1 %\n\nphase C below 40 °C\n\nmethod\n  heat A and B to 75 °C\n  pour B into A\n",
    "formula \"Peel\"\n  product: face cream, leave-on\n  sold in: EU\n\nphase A\n  water  80 %\n  glycolic acid  20 %\n  phenoxyethanol  3 %\n",
    "formula \"Toner\"\n  product: face toner, leave-on\n  pH: 6.5 to 7\n  batch: 50 g\n\nphase A\n  water  q.s.\n  sodium benzoate  0.5 %\n  lavender oil  2 %\n  xanthan gum  0.005 %\n  water  10 %\n",
    "formula \"Serum\"\n  type: gel\n  batch: 200 g\n  sold in: EU\n\nphase A at 80 °C\n  water  q.s.\n  niacinamide  4 %\n  panthenol  2 %\n\npremix X\n  glycerin  5 %\n  xanthan gum  0.3 %\n\nmethod:\n  heat A\n  add Q\n  fill\n",
    "formula \"Balm\"\n  product: lip balm\n  type: anhydrous\n\nphase A\n  beeswax  20 %\n  shea buttr  30 %\n  sunflower oil  50 %  # except banned: old\n  olive oil\n",
];
