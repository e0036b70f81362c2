//! A small formula, judged before the maker's own.

use crate::ide::Snapshot;
use crate::kb::Kb;
use crate::model::{NoFiles, Settings};
use crate::project;
use crate::syntax::{FileKind, parse};
use std::path::Path;

/// What makers commonly have on the shelf (practice, no source), a method, and a few things to find.
const WARM: &str = "\
formula \"x\"
  product: hand cream, leave-on
  type: oil-in-water emulsion
  pH: 5.0 to 5.4
  sold in: EU
  batch: 250 g
  fill: 5 x 50 g

phase A \"water\" at 75 °C, hold 20 min
  water  q.s.
  glycerin  4 %
  propanediol  1 %
  betaine  1 %
  urea  5 %
  allantoin  0.2 %
  sodium phytate  0.1 %
  xanthan gum  0.3 %

phase B \"oil\" at 75 °C
  sunflower oil  4 %
  almond oil  2 %
  rapeseed oil  1 %
  jojoba oil  1 %
  coconut oil  1 %
  squalane  1 %
  caprylic/capric triglyceride  2 %
  shea butter  3 %
  cocoa butter  1 %
  beeswax  1 %
  stearic acid  1 %
  cetyl alcohol  1 %
  cetearyl alcohol  2 %
  glyceryl stearate  1 %
  glyceryl stearate citrate  3 %
  tocopherol  0.5 %
  sunflower oil  1 %

phase C \"cool-down\" below 40 °C
  panthenol  1 %
  niacinamide  2 %
  sodium benzoate  0.3 %
  potassium sorbate  0.2 %
  benzyl alcohol (and) dehydroacetic acid  0.8 %
  phenoxyethanol  1.2 %
  lavender oil  0.1 %
  lactic acid  q.s. to pH 5.2, about 0.3 %
  citric acid  0.1 %

method
  heat A and B to 75 °C, hold A 20 min
  top up A with hot water to its starting weight
  pour A into B, blend 3 min
  cool to 38 °C, stirring
  add C
  measure pH
  fill
";

/// Bytes that the first formula may take beyond what the small one leaves.
const ROOM: usize = 64 * 1024;

/// Judges a small formula once `initialize` is answered: what is decoded once is then at hand for the first real one, and so is the
/// memory that it takes, for this is the thread that will judge it.
pub fn judge_a_small_formula() {
    let tree = parse(FileKind::Formula, WARM);
    let warmed = std::panic::catch_unwind(|| {
        Snapshot::new(
            Path::new("x.formula"),
            FileKind::Formula,
            tree,
            &Kb::bundled(),
            &Settings::on(project::today()),
            &NoFiles,
        )
    });
    if warmed.is_err() {
        eprintln!(
            "phasewright: the first judgement failed; this is a fault of the program, the server goes on"
        );
    }
    // What a longer text will take beyond that is fetched from the system now, and not while its maker waits.
    drop(std::hint::black_box(vec![1u8; ROOM]));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_warm_up_meets_known_materials_alone() {
        let snapshot = Snapshot::new(
            Path::new("x.formula"),
            FileKind::Formula,
            parse(FileKind::Formula, WARM),
            &Kb::bundled(),
            &Settings::on(project::today()),
            &NoFiles,
        );
        let codes: Vec<&str> = snapshot.findings().iter().map(|f| f.code).collect();
        assert!(codes.contains(&"above-legal-limit"), "{codes:?}");
        for unread in [
            "syntax",
            "unknown-ingredient",
            "ambiguous-name",
            "unknown-phase",
            "internal",
        ] {
            assert!(!codes.contains(&unread), "{codes:?}");
        }
    }
}
