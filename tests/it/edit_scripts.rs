//! Scripts of random edits over the examples, as somebody types, pastes and deletes: after each edit the text as it was read
//! piece by piece is the text read fresh, with the same findings, fixes and layout, and nothing panics.
//!
//! A seeded generator; `PHASEWRIGHT_EDIT_SCRIPTS=2000` runs so many scripts, `PHASEWRIGHT_EDIT_SEED` begins elsewhere.

use crate::support::edits::{apply, examples};
use phasewright::ide::Snapshot;
use phasewright::ide::actions::{actions, fix_all};
use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::syntax::{FileKind, Tree, format, parse};
use phasewright::text::Document;
use std::ops::Range;
use std::path::Path;
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

/// A linear congruential generator (Knuth, MMIX): the same script for the same seed.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
    fn of<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all[self.below(all.len())]
    }
}

/// What people type, paste and slip on.
const TYPED: &[&str] = &[
    "a",
    " ",
    "\n",
    "\r\n",
    "\r",
    "%",
    "#",
    "\"",
    ":",
    ",",
    "-",
    "0",
    "9",
    ".",
    "é",
    "😀",
    "\u{FEFF}",
    "\t",
    "°C",
    "q.s.",
    "phase ",
    "phase A: water\n",
    "Water phase\n",
    "premix X, into A\n",
    "method\n",
    "Directions:\n",
    "notes\n",
    "formula \"x\"\n",
    "  glycerin  5 %\n",
    "glycerin 5 %",
    "  watr  q.s.\n",
    "  urea  -5 %\n",
    "  salt  99999999999999999999 %\n",
    "  \"x.formula\"  3 %\n",
    "  pH: 5\n",
    "  sold in: EU\n",
    "  # except banned: so\n",
    "  # except",
    "1,000",
    "1 500 g",
    "5-6 %",
    "<40 C",
    "heated to 75 C",
    "  add C\n",
    "  combine\n",
    "  mix everything\n",
    "  heat A and B to 75 °C\n",
    "  cool to 40 °C, add C\n",
];

fn edit(dice: &mut Dice, text: &str) -> (Range<usize>, String) {
    let boundary = |mut at: usize| {
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let starts: Vec<usize> = std::iter::once(0)
        .chain(text.match_indices('\n').map(|(n, _)| n + 1))
        .collect();
    let line = |dice: &mut Dice| starts[dice.below(starts.len())];
    match dice.below(8) {
        // A character or a few go.
        0 => {
            let at = boundary(dice.below(text.len() + 1));
            let end = boundary((at + 1 + dice.below(4)).min(text.len())).max(at);
            (at..end, String::new())
        }
        // Lines go.
        1 => {
            let (a, b) = (line(dice), line(dice));
            let end = a.max(b).min(a.min(b) + 300);
            (a.min(b)..boundary(end), String::new())
        }
        // A part is pasted elsewhere.
        2 => {
            let (a, b) = (line(dice), line(dice));
            let end = boundary(a.max(b).min(a.min(b) + 400));
            let at = line(dice);
            (at..at, text[a.min(b)..end].to_owned())
        }
        3 | 4 => {
            let at = line(dice);
            (at..at, dice.of(TYPED).to_owned())
        }
        _ => {
            let at = boundary(dice.below(text.len() + 1));
            (at..at, dice.of(TYPED).to_owned())
        }
    }
}

fn settings() -> Settings {
    Settings::on("2026-11-25".parse().expect("a day"))
}

fn look(kind: FileKind, tree: Tree) -> Snapshot {
    Snapshot::new(
        Path::new("bench.formula"),
        kind,
        tree,
        &KB,
        &settings(),
        &NoFiles,
    )
}

fn same(script: &str, typed: &Tree, fresh: &Tree) {
    assert_eq!(typed.lines.len(), fresh.lines.len(), "{script}");
    for (n, (a, b)) in typed.lines.iter().zip(&fresh.lines).enumerate() {
        assert_eq!(
            (a.start, &a.line),
            (b.start, &b.line),
            "{script}: line {}",
            n + 1
        );
    }
    assert_eq!(typed.sections, fresh.sections, "{script}");
    assert_eq!(typed.line_break, fresh.line_break, "{script}");
}

fn run(seed: u64, kind: FileKind, text: &str, edits: usize) {
    let mut dice = Dice(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let mut document = Document::new(text);
    let mut tree = parse(kind, text);
    let mut text = text.to_owned();
    for n in 0..edits {
        let script = format!("seed {seed}, edit {}", n + 1);
        let (range, new) = edit(&mut dice, &text);
        let change = document.edit(range.clone(), &new);
        tree.apply(change.old, &document.lines(change.new));
        text.replace_range(range, &new);
        assert_eq!(document.lines(0..document.line_count()), text, "{script}");
        same(&script, &tree, &parse(kind, &text));
    }
    let script = format!("seed {seed}, after its edits");
    let (typed, fresh) = (look(kind, tree), look(kind, parse(kind, &text)));
    assert_eq!(typed.findings(), fresh.findings(), "{script}");
    assert!(
        !typed.findings().iter().any(|f| f.code == "internal"),
        "{script}: a rule failed\n{text}"
    );
    // What is offered can be applied and read again; the layout stands once it is made.
    for a in actions(&typed, 0, u32::MAX)
        .iter()
        .take(12)
        .chain(&fix_all(&typed))
    {
        let after = apply(&text, &a.edits);
        drop(look(kind, parse(kind, &after)));
    }
    let once = format(&typed.tree);
    assert_eq!(
        format(&parse(kind, &once)),
        once,
        "{script}: the layout does not stand\n{text}"
    );
}

#[test]
fn whatever_is_typed_is_read_as_if_it_had_always_stood_there() {
    let number = |name: &str, or: u64| {
        std::env::var(name)
            .ok()
            .and_then(|v| v.parse().ok())
            .unwrap_or(or)
    };
    let scripts = number("PHASEWRIGHT_EDIT_SCRIPTS", 60);
    let first = number("PHASEWRIGHT_EDIT_SEED", 1);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let read = |name: &str| std::fs::read_to_string(root.join(name)).expect("the example is there");
    let mut texts: Vec<(FileKind, String)> = examples()
        .into_iter()
        .map(|(_, t)| (FileKind::Formula, t))
        .collect();
    texts.push((FileKind::Batch, read("hand-cream-031.batch")));
    texts.push((FileKind::Stock, read("shelf.stock")));
    for seed in first..first + scripts {
        let (kind, text) = &texts[seed as usize % texts.len()];
        // Every third file is written with other line breaks.
        let text = match seed % 6 {
            2 => text.replace('\n', "\r\n"),
            4 => text.replace('\n', "\r"),
            _ => text.clone(),
        };
        run(seed, *kind, &text, 12);
    }
}
