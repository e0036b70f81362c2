//! The law rows against values typed here by hand from the acts: what a product of given words may hold.
//!
//! Each line names act and entry. EU: Regulation (EC) No 1223/2009, consolidated to 18 May 2026. GB: its assimilated
//! text with the instrument named. US: 21 CFR and the monographs. CA: Cosmetic Regulations to 12 April 2026 and the Hotlist.

use phasewright::kb::KbSource;
use phasewright::kb::number::Number;
use phasewright::kb::read::read;
use phasewright::kb::schema::{LawFile, Limit};
use smol_str::SmolStr;
use std::path::Path;
use std::sync::LazyLock;

static BASE: LazyLock<KbSource> = LazyLock::new(|| {
    let (base, faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    assert!(faults.is_empty(), "{faults:?}");
    base
});

fn law(market: &str) -> &'static LawFile {
    BASE.laws
        .iter()
        .find(|l| l.market == market)
        .unwrap_or_else(|| panic!("no law of {market}"))
}

fn number(text: &str) -> Number {
    Number(text.parse().expect("a decimal"))
}

/// Every word of `scope` is among `words`; "a|b" asks for either.
fn has_all(words: &[&str], scope: &[SmolStr]) -> bool {
    scope
        .iter()
        .all(|s| s.split('|').any(|one| words.contains(&one)))
}

fn applies(row: &Limit, substance: &str, purpose: Option<&str>, words: &[&str]) -> bool {
    row.substances.iter().any(|s| s == substance)
        && row.purpose.as_deref().is_none_or(|p| purpose == Some(p))
        && has_all(words, &row.scope)
        && !row.not_scope.iter().any(|w| words.contains(&w.as_str()))
}

/// The lowest share that any row allows, with what it is counted as.
fn lowest<'a>(
    law: &'a LawFile,
    substance: &str,
    purpose: Option<&str>,
    words: &[&str],
) -> Option<(Number, Option<&'a str>)> {
    law.limit
        .iter()
        .filter(|row| applies(row, substance, purpose, words))
        .filter_map(|row| row.max_percent.map(|m| (m, row.r#as.as_deref())))
        .min_by_key(|(m, _)| m.0)
}

const P: Option<&str> = Some("preservative");
const UV: Option<&str> = Some("uv-filter");

const BODY: &[&str] = &["leave-on", "body", "lotion", "body lotion"];
const FACE: &[&str] = &["leave-on", "face", "cream", "face cream"];
const HAND: &[&str] = &["leave-on", "hand", "cream", "hand cream"];
const LIP: &[&str] = &["leave-on", "lip", "balm", "stick", "lip balm"];
const SHAMPOO: &[&str] = &["rinse-off", "hair", "scalp", "shampoo"];
const DANDRUFF: &[&str] = &[
    "rinse-off",
    "hair",
    "scalp",
    "dandruff",
    "anti-dandruff shampoo",
];
const LEAVE_IN: &[&str] = &["leave-on", "hair", "leave-in conditioner"];
const SHOWER: &[&str] = &["rinse-off", "body", "shower gel"];
const HAND_WASH: &[&str] = &["rinse-off", "hand", "hand wash"];
const DEODORANT: &[&str] = &["leave-on", "underarm", "deodorant"];
const ROLL_ON: &[&str] = &[
    "leave-on",
    "underarm",
    "deodorant",
    "roll-on",
    "liquid",
    "roll-on deodorant",
];
const MOUTHWASH: &[&str] = &[
    "rinse-off",
    "oral",
    "mouth",
    "mucous",
    "mouthwash",
    "liquid",
];
const TOOTHPASTE: &[&str] = &["rinse-off", "oral", "mouth", "mucous", "toothpaste"];
const PERFUME: &[&str] = &[
    "leave-on",
    "body",
    "fragrance",
    "liquid",
    "spray",
    "pump-spray",
    "perfume",
];
const TOILET: &[&str] = &[
    "leave-on",
    "body",
    "fragrance",
    "liquid",
    "spray",
    "pump-spray",
    "eau de toilette",
];
const SUN: &[&str] = &["leave-on", "face", "body", "sunscreen"];
const TANNER: &[&str] = &[
    "leave-on",
    "face",
    "body",
    "self-tanner",
    "bronzing",
    "self-tanner",
];
const MASCARA: &[&str] = &["leave-on", "eye", "eyelash", "makeup", "mascara"];
const DEPILATORY: &[&str] = &["rinse-off", "body", "depilatory"];

/// Market, substance, purpose, words of the product, share in percent and what it is counted as, entry.
type Row = (
    &'static str,
    &'static str,
    Option<&'static str>,
    &'static [&'static str],
    Option<(&'static str, Option<&'static str>)>,
    &'static str,
);

/// Market, substance, purpose, words of the product, prohibited or not, entry.
type Ban = (
    &'static str,
    &'static str,
    Option<&'static str>,
    &'static [&'static str],
    bool,
    &'static str,
);
/// Market, substance, eye, lip, external, entry.
type Areas = (
    &'static str,
    &'static str,
    Option<bool>,
    Option<bool>,
    Option<bool>,
    &'static str,
);

#[rustfmt::skip]
const ROWS: &[Row] = &[
    // European Union, Annex V
    ("EU", "sodium-benzoate", P, BODY, Some(("0.5", Some("benzoic-acid"))), "Annex V, 1, leave-on"),
    ("EU", "sodium-benzoate", P, SHAMPOO, Some(("2.5", Some("benzoic-acid"))), "Annex V, 1, rinse-off"),
    ("EU", "benzoic-acid", P, MOUTHWASH, Some(("1.7", Some("benzoic-acid"))), "Annex V, 1, oral"),
    ("EU", "potassium-benzoate", P, BODY, Some(("0.5", Some("benzoic-acid"))), "Annex V, 1a"),
    ("EU", "potassium-sorbate", P, BODY, Some(("0.6", Some("sorbic-acid"))), "Annex V, 4"),
    ("EU", "sodium-dehydroacetate", P, FACE, Some(("0.6", Some("dehydroacetic-acid"))), "Annex V, 13"),
    ("EU", "methylparaben", P, FACE, Some(("0.4", Some("4-hydroxybenzoic-acid"))), "Annex V, 12, single ester"),
    ("EU", "propylparaben", P, FACE, Some(("0.14", Some("4-hydroxybenzoic-acid"))), "Annex V, 12a"),
    ("EU", "phenoxyethanol", P, BODY, Some(("1.0", None)), "Annex V, 29"),
    ("EU", "benzyl-alcohol", P, FACE, Some(("1.0", None)), "Annex V, 34"),
    ("EU", "chlorphenesin", P, FACE, Some(("0.3", None)), "Annex V, 50"),
    ("EU", "dmdm-hydantoin", P, SHAMPOO, Some(("0.6", None)), "Annex V, 33"),
    ("EU", "imidazolidinyl-urea", P, FACE, Some(("0.6", None)), "Annex V, 27"),
    ("EU", "diazolidinyl-urea", P, FACE, Some(("0.5", None)), "Annex V, 46"),
    ("EU", "2-bromo-2-nitropropane-1-3-diol", P, SHAMPOO, Some(("0.1", None)), "Annex V, 21"),
    ("EU", "methylisothiazolinone", P, SHAMPOO, Some(("0.0015", None)), "Annex V, 57"),
    ("EU", "iodopropynyl-butylcarbamate", P, SHAMPOO, Some(("0.02", None)), "Annex V, 56(a)"),
    ("EU", "iodopropynyl-butylcarbamate", P, FACE, Some(("0.01", None)), "Annex V, 56(b)"),
    ("EU", "iodopropynyl-butylcarbamate", P, DEODORANT, Some(("0.0075", None)), "Annex V, 56(c)"),
    ("EU", "benzalkonium-chloride", P, FACE, Some(("0.1", None)), "Annex V, 54"),
    ("EU", "polyaminopropyl-biguanide", P, FACE, Some(("0.1", None)), "Annex V, 28"),
    ("EU", "piroctone-olamine", P, SHAMPOO, Some(("1.0", None)), "Annex V, 35"),
    ("EU", "climbazole", P, FACE, Some(("0.2", None)), "Annex V, 32(b)"),
    ("EU", "climbazole", Some("anti-dandruff"), DANDRUFF, Some(("2.0", None)), "Annex III, 310"),
    ("EU", "chlorhexidine-digluconate", P, FACE, Some(("0.3", Some("chlorhexidine"))), "Annex V, 42"),
    ("EU", "triclosan", P, DEODORANT, Some(("0.3", None)), "Annex V, 25"),
    // European Union, Annex III
    ("EU", "retinyl-palmitate", None, BODY, Some(("0.05", Some("retinol"))), "Annex III, 376(a)"),
    ("EU", "retinol", None, FACE, Some(("0.3", Some("retinol"))), "Annex III, 376(b)"),
    ("EU", "salicylic-acid", None, SHAMPOO, Some(("3.0", None)), "Annex III, 98(a)"),
    ("EU", "salicylic-acid", None, FACE, Some(("2.0", None)), "Annex III, 98(b)"),
    ("EU", "salicylic-acid", None, BODY, Some(("0.5", None)), "Annex III, 98(c)"),
    ("EU", "salicylic-acid", None, MASCARA, Some(("0.5", None)), "Annex III, 98(c)"),
    ("EU", "salicylic-acid", None, ROLL_ON, Some(("0.5", None)), "Annex III, 98(c)"),
    ("EU", "salicylic-acid", P, FACE, Some(("0.5", Some("salicylic-acid"))), "Annex V, 3"),
    ("EU", "kojic-acid", None, HAND, Some(("1", None)), "Annex III, 375"),
    ("EU", "alpha-arbutin", None, FACE, Some(("2", None)), "Annex III, 377(a)"),
    ("EU", "alpha-arbutin", None, BODY, Some(("0.5", None)), "Annex III, 377(b)"),
    ("EU", "arbutin", None, FACE, Some(("7", None)), "Annex III, 378"),
    ("EU", "triethanolamine", None, BODY, Some(("2.5", None)), "Annex III, 62(a)"),
    ("EU", "triethanolamine", None, SHAMPOO, None, "Annex III, 62(b): no share"),
    ("EU", "hydrogen-peroxide", None, LEAVE_IN, Some(("12", Some("hydrogen-peroxide"))), "Annex III, 12(a)"),
    ("EU", "hydrogen-peroxide", None, FACE, Some(("4", Some("hydrogen-peroxide"))), "Annex III, 12(b)"),
    ("EU", "bht", None, FACE, Some(("0.8", None)), "Annex III, 325(c)"),
    ("EU", "bht", None, MOUTHWASH, Some(("0.001", None)), "Annex III, 325(a)"),
    ("EU", "cetrimonium-chloride", None, SHAMPOO, Some(("2.5", None)), "Annex III, 286(a)"),
    ("EU", "cetrimonium-chloride", None, LEAVE_IN, Some(("1.0", None)), "Annex III, 286(b)"),
    ("EU", "behentrimonium-chloride", None, SHAMPOO, Some(("5.0", None)), "Annex III, 287(a)"),
    ("EU", "zinc-gluconate", None, FACE, Some(("1", Some("zinc"))), "Annex III, 24"),
    ("EU", "hydroxycitronellal", None, FACE, Some(("1.0", None)), "Annex III, 72(b)"),
    ("EU", "isoeugenol", None, FACE, Some(("0.02", None)), "Annex III, 73(b)"),
    ("EU", "methyl-eugenol", None, FACE, Some(("0.0002", None)), "Annex III, 102"),
    ("EU", "methyl-eugenol", None, SHOWER, Some(("0.001", None)), "Annex III, 102"),
    ("EU", "methyl-eugenol", None, TOILET, Some(("0.004", None)), "Annex III, 102"),
    ("EU", "methyl-salicylate", None, FACE, Some(("0.06", None)), "Annex III, 324(a)"),
    ("EU", "methyl-salicylate", None, HAND_WASH, Some(("0.6", None)), "Annex III, 324(h)"),
    ("EU", "methyl-salicylate", None, TOOTHPASTE, Some(("2.52", None)), "Annex III, 324(k)"),
    ("EU", "hexyl-salicylate", None, FACE, Some(("0.3", None)), "Annex III, 380(c)"),
    ("EU", "hexyl-salicylate", None, PERFUME, Some(("2", None)), "Annex III, 380(a)"),
    ("EU", "citral", None, LIP, Some(("0.11", None)), "Annex III, 70(a)"),
    ("EU", "citral", None, FACE, Some(("0.15", None)), "Annex III, 70(e)"),
    ("EU", "benzyl-salicylate", None, BODY, Some(("0.7", None)), "Annex III, 75(f)"),
    ("EU", "dihydroxyacetone", None, TANNER, Some(("10", None)), "Annex III, 322(b)"),
    ("EU", "thioglycolic-acid", None, DEPILATORY, Some(("5", Some("thioglycolic-acid"))), "Annex III, 2a(b)"),
    ("EU", "selenium-sulfide", None, DANDRUFF, Some(("1", None)), "Annex III, 49"),
    ("EU", "safrole", None, FACE, Some(("0.01", None)), "Annex II, 360: 100 ppm"),
    // European Union, Annex VI
    ("EU", "butyl-methoxydibenzoylmethane", UV, SUN, Some(("5", None)), "Annex VI, 8"),
    ("EU", "ethylhexyl-salicylate", UV, SUN, Some(("5", None)), "Annex VI, 20"),
    ("EU", "zinc-oxide", UV, SUN, Some(("25", None)), "Annex VI, 30"),
    ("EU", "benzophenone-3", UV, BODY, Some(("2.2", None)), "Annex VI, 4(b)"),
    ("EU", "benzophenone-3", UV, LIP, Some(("6", None)), "Annex VI, 4(a)"),
    ("EU", "homosalate", UV, FACE, Some(("7.34", None)), "Annex VI, 3"),
    ("EU", "strontium-chloride", None, FACE, Some(("2.1", Some("strontium"))), "Annex III, 57(b)"),
    ("EU", "quinine", None, SHAMPOO, Some(("0.5", None)), "Annex III, 21(a)"),
    ("EU", "sodium-sulfide", None, DEPILATORY, Some(("2", None)), "Annex III, 23(a)"),
    ("EU", "zinc-glycinate", None, FACE, Some(("1", Some("zinc"))), "Annex III, 24"),
    ("EU", "benzylidene-camphor-sulfonic-acid", UV, SUN, Some(("6", None)), "Annex VI, 9"),
    ("EU", "sodium-percarbonate", None, FACE, Some(("4", Some("hydrogen-peroxide"))), "Annex III, 12(b)"),
    // Great Britain
    ("UK", "salicylic-acid", None, BODY, Some(("0.5", None)), "SI 2022/659, Annex 3, 98"),
    ("UK", "methyl-salicylate", None, TOOTHPASTE, Some(("2.5", None)), "SI 2025/413, Annex 3, 324"),
    ("UK", "methyl-salicylate", None, MOUTHWASH, Some(("0.4", None)), "SI 2025/413, Annex 3, 324"),
    ("UK", "bht", None, FACE, Some(("0.8", None)), "SI 2024/455, Annex 3, 322"),
    ("UK", "retinol", None, BODY, None, "no British instrument"),
    ("UK", "phenoxyethanol", P, FACE, Some(("1.0", None)), "Annex 5, 29"),
    // United States
    ("US", "salicylic-acid", None, FACE, None, "no federal limit without an acne claim"),
    ("US", "phenoxyethanol", P, FACE, None, "no federal limit"),
    ("US", "zinc-oxide", UV, SUN, Some(("25", None)), "21 CFR 352.10"),
    ("US", "ethylhexyl-methoxycinnamate", UV, SUN, Some(("7.5", None)), "21 CFR 352.10"),
    ("US", "benzophenone-3", UV, SUN, Some(("6", None)), "21 CFR 352.10"),
    // Canada
    ("CA", "retinyl-palmitate", None, BODY, Some(("0.2", Some("retinol"))), "Hotlist, February 2025"),
    ("CA", "retinol", None, FACE, Some(("1.0", Some("retinol"))), "Hotlist, February 2025"),
    ("CA", "glycolic-acid", None, FACE, Some(("18", None)), "Hotlist, May 2024"),
    ("CA", "azelaic-acid", None, FACE, Some(("14", None)), "Hotlist, August 2022"),
    ("CA", "hydrogen-peroxide", None, LEAVE_IN, Some(("10", None)), "Hotlist, February 2025"),
];

#[test]
fn shares_as_in_the_acts() {
    let mut wrong = Vec::new();
    for (market, substance, purpose, words, expected, act) in ROWS {
        let found = lowest(law(market), substance, *purpose, words);
        let expected = expected.map(|(share, counted)| (number(share), counted));
        if found.map(|(n, c)| (n.0, c)) != expected.map(|(n, c)| (n.0, c)) {
            wrong.push(format!(
                "{market} {substance} in {words:?} ({act}): expected {expected:?}, found {found:?}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn banned(law: &LawFile, substance: &str, purpose: Option<&str>, words: &[&str]) -> bool {
    law.ban.iter().any(|b| {
        b.substances.iter().any(|s| s == substance)
            && b.purpose.as_deref().is_none_or(|p| purpose == Some(p))
            && has_all(words, &b.in_scope)
            && (b.only_scope.is_empty() || !has_all(words, &b.only_scope))
    })
}

#[test]
fn prohibitions_as_in_the_acts() {
    let scent = Some("fragrance");
    #[rustfmt::skip]
    let rows: &[Ban] = &[
        ("EU", "hydroquinone", None, FACE, true, "Annex II, 1339"),
        ("EU", "sodium-borate", None, FACE, true, "Annex II, 1396"),
        ("EU", "lead-acetate", None, SHAMPOO, true, "Annex II, 289"),
        ("EU", "butylphenyl-methylpropional", scent, FACE, true, "Annex II, 1666"),
        ("EU", "zinc-pyrithione", P, DANDRUFF, true, "Annex II, 1670"),
        ("EU", "formaldehyde", P, SHAMPOO, true, "Annex II, 1577"),
        ("EU", "isobutylparaben", P, FACE, true, "Annex II, 1375"),
        ("EU", "methylisothiazolinone", P, FACE, true, "Annex V, 57: rinse-off only"),
        ("EU", "methylisothiazolinone", P, SHAMPOO, false, "Annex V, 57"),
        ("EU", "verbena-oil", scent, FACE, true, "Annex II, 450"),
        ("EU", "verbena-absolute", scent, FACE, false, "Annex III, 196"),
        ("EU", "kojic-acid", None, BODY, true, "Annex III, 375: face and hand only"),
        ("EU", "triclosan", P, MOUTHWASH, true, "Annex V, 25"),
        ("EU", "phenoxyethanol", P, FACE, false, "Annex V, 29"),
        ("EU", "triclosan", P, FACE, true, "Annex V, 25"),
        ("EU", "quinine", None, FACE, true, "Annex III, 21: hair only"),
        ("EU", "sodium-sulfide", None, FACE, true, "Annex III, 23: depilatories only"),
        ("EU", "strontium-chloride", None, BODY, true, "Annex III, 57"),
        ("EU", "dihydroxyacetone", None, FACE, true, "Annex III, 322"),
        ("EU", "dihydroxyacetone", None, TANNER, false, "Annex III, 322"),
        ("EU", "dibutyl-phthalate", None, FACE, true, "Annex II, 675"),
        ("EU", "methyldibromo-glutaronitrile", P, FACE, true, "Article 14(1)(d)"),
        ("EU", "ci-20170", Some("colourant"), FACE, true, "Article 14(1)(c)"),
        ("EU", "benzophenone-8", UV, SUN, true, "Article 14(1)(e)"),
        ("US", "benzophenone-8", UV, SUN, false, "21 CFR 352.10"),
        ("UK", "dihydroxyacetone", None, FACE, false, "no British instrument"),
        ("UK", "zinc-pyrithione", P, DANDRUFF, true, "SI 2022/659"),
        ("US", "chloroform", None, FACE, true, "21 CFR 700.18"),
        ("US", "mercuric-chloride", None, FACE, true, "21 CFR 700.13"),
        ("US", "ethylhexyl-triazone", UV, SUN, true, "not in 21 CFR 352.10"),
        ("CA", "chloroform", None, FACE, true, "Cosmetic Regulations, s. 15(a)"),
        ("CA", "estradiol", None, FACE, true, "Cosmetic Regulations, s. 15(b)"),
        ("CA", "tretinoin", None, FACE, true, "Hotlist"),
        ("CA", "ci-42090", None, MASCARA, true, "Cosmetic Regulations, s. 14(1)"),
    ];
    for (market, substance, purpose, words, expected, act) in rows {
        assert_eq!(
            banned(law(market), substance, *purpose, words),
            *expected,
            "{market} {substance}: {act}"
        );
    }
}

#[test]
fn allergens_labels_and_order() {
    // Annex III: 24 substances of old and those of Regulation (EU) 2023/1545; both thresholds.
    let eu = law("EU");
    for a in &eu.allergen {
        assert_eq!(
            (a.leave_on_percent.0, a.rinse_off_percent.0),
            (number("0.001").0, number("0.01").0),
            "{}",
            a.name
        );
    }
    assert_eq!(eu.allergen.iter().filter(|a| a.from.is_none()).count(), 24);
    let rose = eu
        .allergen
        .iter()
        .find(|a| a.name == "Rose Flower Oil/Extract")
        .expect("Annex III, 366");
    assert_eq!(
        (rose.from.as_deref(), rose.sell_through.as_deref()),
        (Some("2026-08-01"), Some("2028-07-31"))
    );
    assert!(
        eu.allergen
            .iter()
            .any(|a| a.name == "Linalyl Acetate" && a.substances == ["linalyl-acetate"])
    );
    assert_eq!(law("UK").allergen.len(), 24, "the 24 of old only");
    assert!(law("US").allergen.is_empty(), "no federal rule yet");
    let linalool = law("CA")
        .allergen
        .iter()
        .find(|a| a.name == "Linalool")
        .expect("s. 21.4");
    assert_eq!(
        linalool.from.as_deref(),
        Some("2026-04-12"),
        "Cosmetic Regulations, s. 21.4(4)"
    );
    // The share below which the order is free: EU "less than", US 701.3(f) and Canada s. 21.4(2) "or less".
    for (market, inclusive) in [("EU", false), ("UK", false), ("US", true), ("CA", true)] {
        let l = law(market);
        assert_eq!(
            (l.free_order_percent.0, l.free_order_inclusive),
            (number("1").0, inclusive),
            "{market}"
        );
    }
    let vitamin = eu
        .warning
        .iter()
        .find(|w| w.substances.iter().any(|s| s == "retinol"))
        .expect("Annex III, 376");
    assert_eq!(
        vitamin.text,
        "Contains Vitamin A. Consider your daily intake before use"
    );
    let ammonia = eu
        .warning
        .iter()
        .find(|w| w.text == "Contains ammonia")
        .expect("Annex III, 4");
    assert_eq!(ammonia.above_percent.map(|n| n.0), Some(number("2").0));
}

#[test]
fn colours_by_area() {
    #[rustfmt::skip]
    let rows: &[Areas] = &[
        ("US", "ultramarines", Some(true), Some(false), Some(true), "21 CFR 73.2725"),
        ("US", "ferric-ferrocyanide", Some(true), Some(false), Some(true), "21 CFR 73.2299"),
        ("US", "iron-oxides-red", Some(true), Some(true), Some(true), "21 CFR 73.2250"),
        ("US", "guaiazulene", Some(false), Some(false), Some(true), "21 CFR 73.2180"),
        ("EU", "ultramarines", Some(true), Some(true), Some(true), "Annex IV, CI 77007"),
        ("EU", "ci-26100", Some(false), Some(false), Some(true), "Annex IV, CI 26100"),
        ("EU", "ci-15510", Some(false), Some(true), Some(true), "Annex IV, CI 15510"),
    ];
    for (market, substance, eye, lip, external, act) in rows {
        let colour = law(market)
            .colour
            .iter()
            .find(|c| c.substances.iter().any(|s| s == substance));
        let colour = colour.unwrap_or_else(|| panic!("{market} {substance}: {act}"));
        assert_eq!(
            (colour.eye, colour.lip, colour.external),
            (*eye, *lip, *external),
            "{market} {substance}: {act}"
        );
    }
}

/// How far each figure was read: little may rest on memory.
#[test]
fn memory_stays_small() {
    let (mut all, mut memory) = (0_u32, 0_u32);
    for l in &BASE.laws {
        let sources = (l.limit.iter().map(|x| &x.source))
            .chain(l.ban.iter().map(|x| &x.source))
            .chain(l.allergen.iter().map(|x| &x.source))
            .chain(l.colour.iter().map(|x| &x.source))
            .chain(l.warning.iter().map(|x| &x.source))
            .chain(l.medicine.iter().map(|x| &x.source))
            .chain(l.duty.iter().map(|x| &x.source));
        for s in sources {
            all += 1;
            memory += u32::from(s == "memory");
        }
    }
    assert!(all > 1200, "{all} rows");
    assert!(memory * 20 < all, "{memory} of {all} rows rest on memory");
}
