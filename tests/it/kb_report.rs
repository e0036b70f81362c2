//! What the report counts, and the promises that it shows kept.

use phasewright::kb::KbSource;
use phasewright::kb::read::read;
use phasewright::kb::report::{figures, report};
use phasewright::kb::role::Role;
use phasewright::kb::schema::{Figure, Ingredient, Source, SourceKind};
use std::path::Path;

fn shipped() -> KbSource {
    let (base, faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    assert!(faults.is_empty(), "{faults:?}");
    base
}

/// Recalled figures stay a minority, and a rarity where a wrong one does harm.
#[test]
fn memory_stays_below_its_share() {
    let r = report(&shipped());
    println!("{r}");
    assert!(
        r.all.total() > 5000 && r.law.total() > 500 && r.preservatives.total() > 300,
        "{:?}",
        r.all
    );
    assert!(
        r.all.memory_percent() < 40.0,
        "all figures: {:.1} % from memory",
        r.all.memory_percent()
    );
    assert!(
        r.law.memory_percent() < 5.0,
        "law: {:.1} % from memory",
        r.law.memory_percent()
    );
    assert!(
        r.preservatives.memory_percent() < 5.0,
        "preservatives: {:.1} % from memory",
        r.preservatives.memory_percent()
    );
    // Where a wrong figure hurts: what was reached, so that it does not grow again. The aim is 5 %, and 20 % for contents of oils.
    for (name, most) in [
        ("phototoxic_max_percent", 0.0),
        ("law.ban", 1.0),
        ("law.limit", 2.0),
        ("thresholds", 0.0),
        ("preservative.effective", 0.0),
        ("skin_max", 29.0),
        ("constituents", 83.0),
    ] {
        let field = r.fields.iter().find(|f| f.name == name);
        let share = field.map(|f| f.kinds.memory_percent());
        assert!(
            share.is_some_and(|s| s <= most),
            "{name}: {share:?} % from memory"
        );
    }
}

#[test]
fn counts_add_up_and_gaps_come_worst_first() {
    let base = shipped();
    let r = report(&base);
    assert_eq!(
        r.families.iter().map(|(_, n)| n).sum::<usize>(),
        r.ingredients
    );
    assert_eq!(r.ingredients + r.prohibited, base.ingredients.len());
    for one in &r.coverage {
        assert!(
            !one.covers.is_empty() && !one.not_covered.is_empty(),
            "{}: which acts are in and which are not?",
            one.market
        );
    }
    assert_eq!(
        r.fields.iter().map(|f| f.kinds.total()).sum::<usize>(),
        r.all.total()
    );
    assert!(r.fields.iter().all(|f| f.entries <= f.kinds.total()));
    assert!(!r.gaps.is_empty());
    let shares: Vec<f64> = r
        .gaps
        .iter()
        .map(|g| g.missing.len() as f64 / g.of as f64)
        .collect();
    assert!(shares.is_sorted_by(|a, b| a >= b), "{shares:?}");
}

/// A base of two materials and three figures, counted by hand.
#[test]
fn a_base_counted_by_hand() {
    let source = |id: &str, kind| Source {
        id: id.into(),
        kind,
        title: id.into(),
        edition: None,
        date: None,
        r#where: None,
    };
    let figure = |value: i32, source: &str| Figure {
        value: phasewright::kb::number::Number(value.into()),
        source: source.into(),
        at: None,
    };
    let one = Ingredient {
        id: "one".into(),
        family: "emulsifiers".into(),
        names: vec!["one".into()],
        roles: vec![Role::Emulsifier].into(),
        hlb: Some(figure(4, "book").into()),
        molar_mass: Some(figure(100, "head").into()),
        ..Ingredient::default()
    };
    let two = Ingredient {
        id: "two".into(),
        family: "preservatives".into(),
        roles: vec![Role::Preservative].into(),
        pka: vec![figure(4, "book")],
        ..Ingredient::default()
    };
    assert_eq!(figures(&one), [("molar_mass", "head"), ("hlb", "book")]);
    let base = KbSource {
        ingredients: vec![one, two],
        sources: vec![
            source("book", SourceKind::Published),
            source("head", SourceKind::Unsourced),
        ],
        ..KbSource::default()
    };
    let r = report(&base);
    assert_eq!((r.all.published, r.all.memory, r.all.total()), (2, 1, 3));
    assert_eq!((r.preservatives.published, r.preservatives.total()), (1, 1));
    assert_eq!(r.law.total(), 0);
    let missing = |what: &str| {
        r.gaps
            .iter()
            .find(|g| g.what == what)
            .map(|g| g.missing.clone())
    };
    assert_eq!(
        missing("preservatives without a lowest effective level"),
        Some(vec!["two".to_owned()])
    );
    assert_eq!(
        missing("emulsifiers without charge"),
        Some(vec!["one".to_owned()])
    );
    assert_eq!(
        missing("preservatives without the pH in which they work"),
        None
    );
    let text = r.to_string();
    assert!(
        text.contains("2 ingredients") && text.contains("Gaps, worst first"),
        "{text}"
    );
}
