//! Sections and acts, each counted by its entries against the rows of the law.

use super::law_prohibited::{entries, law};

/// Entries of Annex III from 187 on that are hair dyes, which are not in, or gone.
const HAIR_DYES_OF_ANNEX_III: &[std::ops::RangeInclusive<u32>] = &[
    187..=193,
    195..=195,
    198..=216,
    218..=240,
    242..=256,
    258..=271,
    273..=285,
    288..=296,
    298..=305,
    311..=311,
    315..=319,
    326..=326,
];

#[test]
fn every_later_entry_of_annex_iii_has_its_rows() {
    let found = entries(law("EU"), "Annex III");
    let dye = |n: u32| HAIR_DYES_OF_ANNEX_III.iter().any(|r| r.contains(&n));
    let missing: Vec<u32> = (187..=381)
        .filter(|n| !dye(*n) && !found.contains(n))
        .collect();
    assert!(missing.is_empty(), "no row for {missing:?}");
    let idle: Vec<u32> = (187..=381)
        .filter(|n| dye(*n) && found.contains(n))
        .collect();
    assert!(idle.is_empty(), "rows for {idle:?} are there");
}

/// Sections of 21 CFR Part 700 that bar a substance, and of Part 740 that ask for words; the sunscreens of M020.10.
#[test]
fn every_section_of_the_us_rules_has_its_rows() {
    let us = law("US");
    let named = |at: &Option<smol_str::SmolStr>, section: &str| {
        let words = at.iter().flat_map(|at| at.split([' ', ',', ')', '(']));
        words.into_iter().any(|w| w == section)
    };
    for section in [
        "700.11", "700.13", "700.14", "700.15", "700.16", "700.18", "700.19", "700.23", "700.27",
        "250.250",
    ] {
        assert!(us.ban.iter().any(|b| named(&b.at, section)), "{section}");
    }
    for section in ["740.11", "740.12", "740.17", "740.19"] {
        assert!(
            us.warning.iter().any(|w| named(&w.at, section)),
            "{section}"
        );
    }
    // 21 CFR 352.10, as typed from its text of November 2024.
    let mut listed = [
        15.0, 3.0, 3.0, 3.0, 15.0, 5.0, 10.0, 7.5, 5.0, 6.0, 8.0, 4.0, 10.0, 25.0, 12.0, 25.0,
    ];
    let filters = us.limit.iter().filter(|l| named(&l.at, "352.10"));
    let mut most: Vec<f64> = filters
        .filter_map(|l| l.max_percent?.to_string().parse().ok())
        .collect();
    listed.sort_by(f64::total_cmp);
    most.sort_by(f64::total_cmp);
    assert_eq!(most, listed);
}

/// Acts of the Union and the entries that they added or rewrote, hair dyes left out.
const ACTS: &[(&str, &str, &[u32])] = &[
    ("(EU) 866/2014", "Annex III", &[286, 287]),
    ("(EU) 866/2014", "Annex V", &[44, 58, 59]),
    ("(EU) 2021/850", "Annex III", &[98, 321]),
    ("(EU) 2021/850", "Annex V", &[3]),
    ("(EU) 2021/850", "Annex VI", &[27]),
    ("(EU) 2021/1099", "Annex III", &[322]),
    ("(EU) 2022/135", "Annex III", &[323]),
    ("(EU) 2022/1176", "Annex VI", &[4, 10]),
    ("(EU) 2022/1531", "Annex III", &[324]),
    ("(EU) 2022/2195", "Annex III", &[325]),
    ("(EU) 2022/2195", "Annex VI", &[3, 34]),
    ("(EU) 2024/858", "Annex III", &[372]),
    ("(EU) 2024/996", "Annex II", &[1730]),
    (
        "(EU) 2024/996",
        "Annex III",
        &[373, 374, 375, 376, 377, 378],
    ),
    ("(EU) 2024/996", "Annex V", &[23, 25]),
];

#[test]
fn each_act_is_in_by_its_entries() {
    let eu = law("EU");
    for (act, annex, entries_of_act) in ACTS {
        let found = entries(eu, annex);
        let missing: Vec<&u32> = entries_of_act
            .iter()
            .filter(|n| !found.contains(n))
            .collect();
        assert!(missing.is_empty(), "{act}, {annex}: no row for {missing:?}");
    }
    // (EU) 2023/1545 adds the allergens 327 to 371 and numbers none twice.
    let new = (327..=371)
        .filter(|n| entries(eu, "Annex III").contains(n))
        .count();
    let named = eu.allergen.iter().filter(|a| {
        let at = a.at.as_deref().unwrap_or_default();
        (327..=371).any(|n| {
            at.ends_with(&format!("entry {n}"))
                || at.contains(&format!("entry {n} "))
                || at.contains(&format!("entry {n};"))
        })
    });
    assert_eq!((new, named.count()), (45, 45));
}
