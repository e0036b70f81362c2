//! What the editor is shown, on small formulas with the cursor at `$0`.

mod actions;
mod card;
mod complete;
mod first_letters;
mod half_typed;
mod hover;
mod outline;
mod record;

use phasewright::ide::Snapshot;
use phasewright::kb::{Kb, Market};
use phasewright::model::{FileLoader, NoFiles, Settings};
use phasewright::rules::Edit;
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

/// A file, and where the cursor is in it.
pub struct Cursor {
    pub snapshot: Snapshot,
    pub text: String,
    pub line: u32,
    pub byte: u32,
}

pub fn settings() -> Settings {
    Settings {
        markets: vec![Market::EuropeanUnion],
        ..Settings::on("2026-06-01".parse().expect("a day"))
    }
}

pub fn snapshot(kind: FileKind, text: &str) -> Snapshot {
    with_loader(kind, text, &NoFiles)
}

pub fn with_loader(kind: FileKind, text: &str, loader: &dyn FileLoader) -> Snapshot {
    Snapshot::new(
        Path::new("bench/cream.formula"),
        kind,
        parse(kind, text),
        &Kb::bundled(),
        &settings(),
        loader,
    )
}

/// Reads a formula with `$0` in it.
pub fn at(marked: &str) -> Cursor {
    at_in(FileKind::Formula, marked)
}

pub fn at_in(kind: FileKind, marked: &str) -> Cursor {
    let found = marked
        .find("$0")
        .expect("the fixture marks the cursor with $0");
    let text = format!("{}{}", &marked[..found], &marked[found + 2..]);
    let before = &marked[..found];
    let line = before.matches('\n').count() as u32;
    let byte = (before.len() - before.rfind('\n').map_or(0, |n| n + 1)) as u32;
    Cursor {
        snapshot: snapshot(kind, &text),
        text,
        line,
        byte,
    }
}

/// Applies edits from the last to the first.
pub fn apply(text: &str, edits: &[Edit]) -> String {
    let starts: Vec<usize> = std::iter::once(0)
        .chain(text.match_indices('\n').map(|(n, _)| n + 1))
        .collect();
    let place = |(line, byte): (u32, u32)| {
        starts
            .get(line as usize)
            .map_or(text.len(), |s| (s + byte as usize).min(text.len()))
    };
    let mut edits: Vec<&Edit> = edits.iter().collect();
    edits.sort_by_key(|e| std::cmp::Reverse((e.start, e.end)));
    let mut out = text.to_owned();
    for e in edits {
        out.replace_range(place(e.start)..place(e.end), &e.text);
    }
    out
}

/// A sound little cream, for what needs a whole formula.
pub const CREAM: &str = "\
formula \"Bench cream\"
  product: face cream, leave-on
  type: oil-in-water emulsion
  batch: 200 g
  pH: 5.0 to 5.5
  sold in: EU
  fill: 4 x 50 g

phase A \"water\" at 75 °C, hold 20 min
  water  q.s.
  glycerin  5 %

phase B \"oil\" at 75 °C
  rapeseed oil  12 %
  cetearyl alcohol  3 %
  glyceryl stearate citrate  3 %  # the emulsifier

phase C \"cool-down\" below 40 °C
  panthenol  1 %
  phenoxyethanol  0.8 %

method
  heat A and B to 75 °C, hold A 20 min
  pour A into B, blend 3 min
  cool to 38 °C
  add C, stir
  fill

notes
  Rubs in well.
";
