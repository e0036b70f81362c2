//! Names as makers write them, and what they mean.

use super::*;
use crate::kb::cache::CACHE_CAPACITY;

fn known(name: &str) -> (String, Option<Decimal>) {
    let kb = Kb::bundled();
    match kb.lookup(name) {
        Lookup::Known { id, strength } => (kb.get(id).id.to_string(), strength.map(|s| s.percent)),
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn by_name_inci_number_and_id() {
    for name in [
        "sodium benzoate",
        "Sodium Benzoate",
        "SODIUM-BENZOATE",
        "532-32-1",
        "benzoate of soda",
        "organic sodium benzoate",
    ] {
        assert_eq!(known(name), ("sodium-benzoate".into(), None), "{name}");
    }
}

#[test]
fn strength_in_the_name() {
    let eighty = Some(Decimal::from(20));
    for name in [
        "sodium benzoate 20 %",
        "sodium benzoate 20%",
        "20 % sodium benzoate",
        "sodium benzoate 20 % solution",
        "sodium benzoate solution 20 %",
    ] {
        assert_eq!(known(name), ("sodium-benzoate".into(), eighty), "{name}");
    }
}

/// A strength in the name of a mixture is that of what it holds so much of, or is asked about.
#[test]
fn strength_of_a_mixture() {
    let kb = Kb::bundled();
    assert_eq!(
        known("behentrimonium methosulfate 25 % (and) cetearyl alcohol"),
        ("behentrimonium-methosulfate-cetearyl-alcohol".into(), None)
    );
    assert_eq!(
        known("magnesium oil 20 %"),
        ("magnesium-chloride".into(), Some(Decimal::from(20)))
    );
    for asked in [
        "aloe vera gel (99%)",
        "behentrimonium methosulfate 40 % (and) cetearyl alcohol",
    ] {
        let found = kb.lookup(asked);
        assert!(matches!(found, Lookup::Ambiguous(_)), "{asked}: {found:?}");
    }
}

/// Nothing that a name says is dropped: what it holds besides is known to be in it, or asked about.
#[test]
fn nothing_in_a_name_is_passed_over() {
    let kb = Kb::bundled();
    for name in [
        "jojoba oil (retinol)",
        "squalane (retinol 1%)",
        "coconut oil (retinol 1 %)",
        "glycerin (salicylic acid 2%)",
        "water (with 5% lye)",
        "rose water (5% phenoxyethanol)",
        "lavender oil 5% in jojoba",
        "retinol 1% in squalane",
        "shea butter with 2% hydroquinone",
    ] {
        let found = kb.lookup(name);
        assert!(!matches!(found, Lookup::Known { .. }), "{name}: {found:?}");
    }
    assert_eq!(
        known("lactic acid (88%, USP)"),
        ("lactic-acid".into(), Some(Decimal::from(88)))
    );
    assert_eq!(known("aloe vera gel (xanthan 0.5%)").0, "aloe-vera-gel");
}

#[test]
fn words_that_change_the_material_are_kept() {
    let kb = Kb::bundled();
    for name in [
        "palm butter",
        "plant milk",
        "vegetable tallow",
        "vegetable gelatin",
        "plant retinol",
        "palm alcohol",
        "fragrance free",
        "alcohol free",
    ] {
        assert_eq!(kb.lookup(name), Lookup::Unknown, "{name}");
    }
    for (name, id) in [
        ("vegetable glycerin", "glycerin"),
        ("palm free stearic acid", "stearic-acid"),
        ("plant derived squalane", "squalane"),
        ("vegetable lecithin", "lecithin"),
    ] {
        assert_eq!(known(name).0, id, "{name}");
    }
}

#[test]
fn proof_is_half_as_much_by_volume() {
    let kb = Kb::bundled();
    let Lookup::Known {
        id,
        strength: Some(s),
    } = kb.lookup("ethanol 190 proof")
    else {
        panic!("{:?}", kb.lookup("ethanol 190 proof"));
    };
    assert_eq!(kb.get(id).id, "alcohol");
    assert_eq!(
        (s.percent, s.basis),
        (Decimal::from(95), StrengthBasis::ByVolume)
    );
}

/// What is remembered is what is found: every name of the base, and more than are remembered, asked twice and looked for afresh.
#[test]
fn a_name_met_before_means_what_it_meant() {
    let kb = Kb::bundled();
    let names: Vec<String> = kb.typed_names().map(|(n, _)| n.to_owned()).collect();
    let more = (0..CACHE_CAPACITY).map(|n| {
        format!(
            "{} {}.{} %",
            names[n % names.len()],
            n % 90 + 1,
            n / names.len()
        )
    });
    let all: Vec<String> = names.iter().cloned().chain(more).collect();
    for _ in 0..2 {
        for name in &all {
            assert_eq!(kb.lookup(name), kb.resolve_uncached(name), "{name}");
        }
    }
    assert!(kb.overlay.lookup_cache.len() <= CACHE_CAPACITY);
}

#[test]
fn a_slip_of_the_pen_is_near() {
    let kb = Kb::bundled();
    assert_eq!(kb.lookup("sodium benzoat"), Lookup::Unknown);
    assert_eq!(kb.nearest("sodium benzoat")[0].1, "sodium benzoate");
    assert!(kb.nearest("quartz watch").is_empty());
}
