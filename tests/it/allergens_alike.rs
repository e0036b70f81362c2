//! Check, label, card and hover name the same allergens: over all formulas of the project, and through formulas made earlier and
//! blends of the maker's own.

use phasewright::ide::Snapshot;
use phasewright::ide::hover::hover;
use phasewright::kb::Kb;
use phasewright::model::library::Disk;
use phasewright::model::{Library, Settings, law};
use phasewright::papers::label::{Wish, label};
use phasewright::papers::{Work, card};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

type Names = BTreeSet<String>;

/// Every question asked of one formula; how many allergens it has.
fn alike(path: &Path, text: &str, kb: &Kb, library: &dyn Library) -> Names {
    let settings = Settings {
        today: "2026-11-25".into(),
        ..Settings::default()
    };
    let s = Snapshot::new(
        path,
        FileKind::Formula,
        parse(FileKind::Formula, text),
        kb,
        &settings,
        library,
    );
    let f = s.formula.as_ref().expect("a formula");
    let work = Work {
        path,
        tree: &s.tree,
        formula: f,
        findings: &s.findings,
        kb,
        settings: &settings,
    };
    let markets = law::markets(f, &settings);
    let hits = law::allergens(f, kb, markets, settings.day());
    let all: Names = hits
        .in_force()
        .map(|h| h.allergen.name.to_string())
        .collect();
    let shown = path.display();

    // The check names what is not in the list by itself: up to eight, and how many more.
    let wanted: Names = hits
        .in_force()
        .filter(|h| !h.listed)
        .map(|h| h.allergen.name.to_string())
        .collect();
    let is_off = f.product.leave_on().is_none() && wanted.is_empty();
    let said = s.findings.iter().find(|f| f.code == "allergen-label");
    assert_eq!(
        said.is_some(),
        !wanted.is_empty() && !is_off,
        "{shown}: {wanted:?}"
    );
    if let Some(said) = said {
        let told = said.why.clone().unwrap_or_default();
        let spelled = wanted.iter().filter(|n| told.contains(n.as_str())).count();
        if wanted.len() > 12 {
            assert!(
                told.contains(&format!("{} more", wanted.len() - 12)),
                "{shown}: {}",
                told
            );
            assert!(spelled >= 12, "{shown}: {}", told);
        } else {
            assert_eq!(spelled, wanted.len(), "{shown}: {}", told);
        }
    }

    // The label, market by market.
    if let Ok(label) = label(&work, &Wish::default()) {
        for l in &label.labels {
            let here: Names = hits
                .in_force()
                .filter(|h| h.market == l.market)
                .map(|h| h.allergen.name.to_string())
                .collect();
            let named: Names = l.allergens.iter().map(|a| a.name.clone()).collect();
            assert_eq!(named, here, "{shown}, label in {}", l.market);
            for name in &here {
                let stands = l
                    .ingredients
                    .iter()
                    .any(|i| i.to_lowercase().contains(&name.to_lowercase()));
                assert!(
                    stands,
                    "{shown}: {name} is not in the list of {}: {:?}",
                    l.market, l.ingredients
                );
            }
        }
    }

    if let Ok(card) = card::card(&work) {
        let named: Names = card.allergens.iter().map(|a| a.name.clone()).collect();
        assert_eq!(named, all, "{shown}, card");
    }

    for (n, row) in f
        .rows
        .iter()
        .enumerate()
        .filter(|(_, r)| r.percent.is_some())
    {
        let wanted: Names = hits
            .in_force()
            .filter(|h| h.rows.contains(&n))
            .map(|h| h.allergen.name.to_string())
            .collect();
        let words =
            hover(&s, row.line, row.amount.span.start).map_or_else(String::new, |h| h.markdown);
        let line = words
            .lines()
            .find(|l| l.contains("Allergens for the label"));
        assert_eq!(
            line.is_some(),
            !wanted.is_empty(),
            "{shown}, hover of line {}: {words}",
            row.line + 1
        );
        for name in &wanted {
            let plain = line.unwrap_or_default().replace('\\', "");
            assert!(
                plain.contains(name.as_str()),
                "{shown}, hover of line {}: {plain}",
                row.line + 1
            );
        }
    }
    all
}

#[test]
fn the_same_allergens_in_every_formula_of_the_project() {
    let kb = Kb::bundled();
    let (mut formulas, mut with_some) = (0, 0);
    for folder in ["examples", "tests/cases", "tests/published"] {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        for entry in std::fs::read_dir(&root).expect("the folder is there") {
            let path = entry.expect("it can be listed").path();
            if path.extension().is_some_and(|e| e == "formula") {
                let text = std::fs::read_to_string(&path).expect("it can be read");
                formulas += 1;
                with_some += usize::from(!alike(&path, &text, &kb, &Disk).is_empty());
            }
        }
    }
    assert!(
        formulas > 150 && with_some > 20,
        "{with_some} of {formulas}"
    );
}

/// Formulas by name.
struct Made(Vec<(&'static str, String)>);

impl Library for Made {
    fn read(&self, path: &Path) -> Result<String, String> {
        let name = path
            .file_name()
            .and_then(|n| n.to_str())
            .unwrap_or_default();
        let found = self.0.iter().find(|(n, _)| *n == name);
        found
            .map(|(_, text)| text.clone())
            .ok_or_else(|| "no such file".to_owned())
    }
}

const BLEND: &str = "id = \"meadow-blend\"\ninci = \"Meadow Flower Scent\"\nnames = [\"meadow blend\"]\nroles = [\"aroma\"]\ncomposition = [{ of = \"lavender-oil\", percent = 60 }, { of = \"linalool\", percent = 25 }, { of = \"citral\", percent = 15 }]\n";

fn own() -> Kb {
    let (kb, faults) = Kb::with_own(&[(
        PathBuf::from("ingredients/meadow-blend.toml"),
        BLEND.to_owned(),
    )]);
    assert!(faults.is_empty(), "{faults:?}");
    kb
}

fn lotion(row: &str) -> String {
    format!(
        "formula \"Lotion\"\n  product: body lotion, leave-on\n  sold in: EU, UK, CA\n\nphase A\n  water  q.s.\n  {row}\n"
    )
}

#[test]
fn an_own_blend_with_a_name_and_a_composition_brings_its_allergens() {
    let kb = own();
    let names = alike(
        Path::new("x.formula"),
        &lotion("meadow blend  0.5 %"),
        &kb,
        &Made(Vec::new()),
    );
    // By hand: 25 % of 0.5 % is 0.125 % linalool, 15 % of 0.5 % is 0.075 % citral; both far above 0.001 %.
    assert!(
        names.contains("Linalool") && names.contains("Citral"),
        "{names:?}"
    );
}

#[test]
fn a_formula_made_earlier_brings_its_allergens() {
    let kb = own();
    let inner = "formula \"Scent base\"\n\nphase A\n  water  q.s.\n  lavender oil  10 %\n  meadow blend  5 %\n";
    let made = Made(vec![("scent.formula", inner.to_owned())]);
    for share in ["10 %", "1 %", "0.1 %", "0.001 %"] {
        let names = alike(
            Path::new("x.formula"),
            &lotion(&format!("\"scent.formula\"  {share}")),
            &kb,
            &made,
        );
        assert_eq!(
            names.contains("Linalool"),
            share != "0.001 %",
            "{share}: {names:?}"
        );
    }
}

#[test]
fn blends_and_formulas_one_in_the_other_agree_at_every_share() {
    let kb = own();
    let oils = [
        "lavender oil",
        "meadow blend",
        "sweet orange oil",
        "linalool",
        "geranium oil",
        "citral",
    ];
    // A small generator of its own, so that a failure can be seen again.
    let mut state = 20_261_125u64;
    let mut next = |n: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % n
    };
    let mut seen = 0;
    for _ in 0..60 {
        let mut rows = |many: u64| -> String {
            (0..many)
                .map(|_| {
                    format!(
                        "  {}  {}.{:03} %\n",
                        oils[next(6) as usize],
                        next(3),
                        next(1000) + 1
                    )
                })
                .collect()
        };
        let product = ["body lotion, leave-on", "shampoo, rinse-off", "soap"];
        let innermost = format!("formula \"c\"\n\nphase A\n  water  q.s.\n{}", rows(2));
        let inner = format!(
            "formula \"b\"\n\nphase A\n  water  q.s.\n  \"c.formula\"  5 %\n{}",
            rows(1)
        );
        let outer_rows = rows(1);
        let product = product[(outer_rows.len() + inner.len()) % 2];
        let outer = format!(
            "formula \"a\"\n  product: {product}\n\nphase A\n  water  q.s.\n  \"b.formula\"  10 %\n{outer_rows}"
        );
        let made = Made(vec![("b.formula", inner), ("c.formula", innermost)]);
        seen += alike(Path::new("a.formula"), &outer, &kb, &made).len();
    }
    assert!(seen > 100, "{seen}");
}
