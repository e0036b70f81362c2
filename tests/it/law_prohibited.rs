//! What no market lets pass in silence: Annex II of Regulation (EC) No 1223/2009 by its entries, poisons by the names
//! that old recipes use, and substances with a limit above it.
//!
//! The old names of poisons are general knowledge (memory), apart from the data; their entry numbers are for the reader and
//! are not checked. The counts of entries begin from the numbering of the Annex and the gaps of the agency's export.

use phasewright::kb::KbSource;
use phasewright::kb::read::read;
use phasewright::kb::schema::LawFile;
use phasewright::kb::{Id, Kb, Lookup};
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

static BASE: LazyLock<KbSource> = LazyLock::new(|| {
    let (base, faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    assert!(faults.is_empty(), "{faults:?}");
    base
});

pub fn law(market: &str) -> &'static LawFile {
    let mut laws = BASE.laws.iter();
    laws.find(|l| l.market == market)
        .unwrap_or_else(|| panic!("no law of {market}"))
}

/// The loudest finding of the rules of law on a cream that holds `percent` of something.
fn loudest(kb: &Kb, name: &str, percent: &str, market: &str) -> (Option<Severity>, String) {
    let text = format!(
        "formula \"x\"\n  product: face cream, leave-on\n  type: o/w\n  pH: 5.0 to 5.4\n  sold in: {market}\n\n\
         phase A\n  water  q.s.\n  {name}  {percent} %\n"
    );
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, &text);
    let judged = analyze(tree, Path::new("near.formula"), kb, &settings, &NoFiles);
    // The rest of such a cream (no preservative, no emulsifier) is not what is asked about here.
    let of_law = [
        "banned",
        "restricted-use",
        "above-legal-limit",
        "family-above-limit",
        "not-a-cosmetic",
    ];
    let heard: Vec<_> = judged
        .findings()
        .iter()
        .filter(|f| of_law.contains(&f.code))
        .collect();
    let words = heard
        .iter()
        .map(|f| [f.whole(), f.why.clone().unwrap_or_default()].join(" "))
        .collect::<Vec<_>>()
        .join(" / ");
    (heard.iter().map(|f| f.severity).max(), words)
}

/// Numbers of the entries that the rows of a law name: "Annex II, entry 1374 to 1378", "entry 617 and 1540".
pub fn entries(law: &LawFile, annex: &str) -> BTreeSet<u32> {
    let ats = (law.ban.iter().map(|r| &r.at))
        .chain(law.limit.iter().map(|r| &r.at))
        .chain(law.duty.iter().map(|r| &r.at))
        .chain(law.warning.iter().map(|r| &r.at))
        .chain(law.allergen.iter().map(|r| &r.at));
    let mut out = BTreeSet::new();
    for at in ats.flatten() {
        let Some((_, after)) = at.split_once(&format!("{annex}, entr")) else {
            continue;
        };
        let after = after.split([';', '(']).next().unwrap_or(after);
        let words: Vec<&str> = after.split([' ', ',']).collect();
        let mut last = None;
        let mut through = false;
        for word in words {
            match word.trim_end_matches(char::is_alphabetic).parse::<u32>() {
                Ok(n) if through => {
                    out.extend(last.unwrap_or(n)..=n);
                    (last, through) = (Some(n), false);
                }
                Ok(n) => {
                    out.insert(n);
                    last = Some(n);
                }
                Err(_) => through = word == "to",
            }
        }
    }
    out
}

/// Entries that the Annex no longer has, or that its text moved to another Annex.
const VACANT: [u32; 28] = [
    80, 116, 354, 382, 392, 415, 451, 615, 616, 672, 673, 698, 701, 703, 704, 710, 743, 1033, 1063,
    1110, 1129, 1130, 1170, 1171, 1182, 1192, 1427, 1669,
];

#[test]
fn every_entry_of_annex_ii_has_its_rows() {
    // The United Kingdom numbers on its own from what it kept at the end of 2020.
    for (market, annex, last) in [("EU", "Annex II", 1724), ("UK", "Annex 2", 1644)] {
        let wanted: BTreeSet<u32> = (1..=last).filter(|n| !VACANT.contains(n)).collect();
        let found = entries(law(market), annex);
        let missing: Vec<u32> = wanted.difference(&found).copied().collect();
        assert!(missing.is_empty(), "{market}: no row for {missing:?}");
    }
}

/// Name as an old recipe has it, and the entry.
const POISONS: &[(&str, u32)] = &[
    ("white arsenic", 43),
    ("Fowler's solution", 43),
    ("orpiment", 43),
    ("Paris green", 43),
    ("aconite", 11),
    ("aconitine", 12),
    ("adrenaline", 14),
    ("tartar emetic", 40),
    ("black antimony", 40),
    ("deadly nightshade", 44),
    ("atropine sulfate", 45),
    ("barium chloride", 46),
    ("benzene", 47),
    ("beryllium oxide", 54),
    ("bromine", 55),
    ("brucine", 62),
    ("cadmium sulfide", 68),
    ("Spanish fly", 69),
    ("cantharidin", 70),
    ("carbon bisulfide", 73),
    ("chloral hydrate", 77),
    ("chlorine", 78),
    ("potassium dichromate", 97),
    ("chromium trioxide", 97),
    ("ergot", 98),
    ("hemlock", 99),
    ("colchicine", 102),
    ("meadow saffron", 104),
    ("croton oil", 107),
    ("curare", 109),
    ("prussic acid", 111),
    ("potassium cyanide", 111),
    ("digitalis", 134),
    ("foxglove", 134),
    ("ephedrine", 164),
    ("physostigmine", 166),
    ("hydrofluoric acid", 191),
    ("henbane", 211),
    ("iodine", 213),
    ("ipecac", 215),
    ("lobelia", 218),
    ("phenobarbital", 220),
    ("corrosive sublimate", 221),
    ("calomel", 221),
    ("vermilion", 221),
    ("mercurochrome", 221),
    ("nicotine", 246),
    ("amyl nitrite", 247),
    ("nitrobenzene", 249),
    ("nitroglycerin", 253),
    ("estriol", 260),
    ("picric acid", 268),
    ("yellow phosphorus", 279),
    ("pilocarpine", 283),
    ("sugar of lead", 289),
    ("white lead", 289),
    ("red lead", 289),
    ("litharge", 289),
    ("radium bromide", 293),
    ("savin", 294),
    ("scopolamine", 295),
    ("sodium selenite", 297),
    ("hydrocortisone", 300),
    ("triamcinolone acetonide", 300),
    ("thorn apple", 301),
    ("strychnine", 304),
    ("nux vomica", 305),
    ("opium", 306),
    ("cocaine hydrochloride", 306),
    ("sulfanilamide", 307),
    ("jaborandi", 311),
    ("carbon tetrachloride", 315),
    ("thallium acetate", 317),
    ("squill", 330),
    ("white hellebore", 333),
    ("vinyl chloride", 334),
    ("chloroform", 366),
    ("hexachlorophene", 371),
    ("poke root", 374),
    ("tretinoin", 375),
    ("gentian violet", 380),
    ("zirconium dioxide", 391),
    ("acetonitrile", 393),
    ("lidocaine", 399),
    ("pyrogallol", 409),
    ("asbestos", 762),
    ("hydroquinone", 1339),
    ("penicillin", 39),
    ("diethylstilbestrol", 260),
    ("testosterone", 37),
    ("procaine", 167),
];

#[test]
fn a_poison_by_its_old_name_is_an_error_in_europe_and_a_warning_elsewhere() {
    let kb = Kb::bundled();
    for (name, entry) in POISONS {
        assert!(
            matches!(kb.lookup(name), Lookup::Known { .. }),
            "{name} is not known"
        );
        for market in ["EU", "UK"] {
            let (severity, words) = loudest(&kb, name, "0.5", market);
            assert_eq!(
                severity,
                Some(Severity::Error),
                "{name}, entry {entry}, in {market}: {words}"
            );
        }
        for market in ["US", "CA"] {
            let (severity, words) = loudest(&kb, name, "0.5", market);
            assert!(
                severity >= Some(Severity::Warning),
                "{name}, entry {entry}, in {market}: {words}"
            );
        }
    }
}

/// Next to the poisons: what the law lets pass, or lets pass for a reason, draws no ban.
#[test]
fn what_stands_next_to_a_poison_is_left_alone() {
    let kb = Kb::bundled();
    for name in [
        "iron oxides",
        "zinc oxide",
        "titanium dioxide",
        "panthenol",
        "niacinamide",
        "lanolin",
        "petrolatum",
    ] {
        for market in ["EU", "UK", "US", "CA"] {
            let (severity, words) = loudest(&kb, name, "0.5", market);
            assert!(
                severity < Some(Severity::Warning),
                "{name} in {market}: {words}"
            );
        }
    }
    // A clean fraction of petroleum may be used; the formula cannot show that it is clean.
    let (severity, words) = loudest(&kb, "64742-48-9", "2", "EU");
    assert_eq!(severity, Some(Severity::Warning), "{words}");
    assert!(words.contains("benzene"), "{words}");
}

/// The maker's own file does not talk a poison away: neither its name nor its number.
#[test]
fn an_own_ingredient_with_the_number_of_a_poison_is_that_poison() {
    let own = "id = \"violet-drops\"\nnames = [\"violet drops\"]\ncas = [\"548-62-9\"]\nroles = [\"dye\"]\nphase = [\"water\"]\n";
    let named = "id = \"crows-eye\"\nnames = [\"nux vomica\"]\nroles = [\"extract\"]\nphase = [\"water\"]\n";
    let harmless = "id = \"my-blend\"\nnames = [\"my blend\"]\ncas = [\"56-81-5\"]\nroles = [\"humectant\"]\nphase = [\"water\"]\n";
    let files = [
        ("violet-drops", own),
        ("crows-eye", named),
        ("my-blend", harmless),
    ]
    .map(|(id, text)| {
        (
            Path::new("ingredients").join(format!("{id}.toml")),
            text.to_owned(),
        )
    });
    let (kb, faults) = Kb::with_user_entries(&files);
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(
        loudest(&kb, "violet drops", "0.1", "EU").0,
        Some(Severity::Error)
    );
    assert_eq!(
        loudest(&kb, "violet drops", "0.1", "US").0,
        Some(Severity::Warning)
    );
    assert_eq!(
        loudest(&kb, "nux vomica", "0.1", "EU").0,
        Some(Severity::Error)
    );
    assert!(loudest(&kb, "my blend", "1", "EU").0 < Some(Severity::Warning));
}

/// Numbers that look drawn by lot and are the same on every run (Lehmer, Communications of the ACM 31 (1988) 1192).
struct Lot(u64);

impl Lot {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as usize % n
    }
}

#[test]
fn two_thousand_pairs_of_what_is_prohibited_or_limited_are_never_passed_in_silence() {
    const MARKETS: [&str; 4] = ["EU", "UK", "US", "CA"];
    let kb = Kb::bundled();
    // Prohibited in every product in the EU or in the market itself.
    let everywhere = |l: &'static LawFile| {
        let bans = l
            .ban
            .iter()
            .filter(|b| b.in_scope.is_empty() && b.only_scope.is_empty() && b.purpose.is_none());
        bans.filter(|b| b.from.as_deref().is_none_or(|d| d <= "2026-11-25"))
            .flat_map(|b| &b.substances)
    };
    let prohibited: Vec<&str> = everywhere(law("EU")).map(|s| s.as_str()).collect();
    // Limited in every product, above the limit by half.
    let limited = |market: &str| -> Vec<(&'static str, String)> {
        let rows = law(market)
            .limit
            .iter()
            .filter(|l| l.scope.is_empty() && l.not_scope.is_empty());
        let rows = rows.filter(|l| l.purpose.is_none() && l.r#as.is_none());
        let rows = rows.filter(|l| l.from.as_deref().is_none_or(|d| d <= "2026-11-25"));
        rows.filter_map(|l| l.max_percent.map(|m| (l, m)))
            .filter(|(_, m)| m.0 < 60.into())
            .flat_map(|(l, m)| {
                l.substances
                    .iter()
                    .map(move |s| (s.as_str(), (m.0 * Decimal::new(15, 1)).to_string()))
            })
            .collect()
    };
    let mut lot = Lot(20_261_125);
    let (mut silent, mut asked) = (Vec::new(), 0);
    for n in 0..2_100 {
        let market = MARKETS[lot.below(4)];
        let of_limits = limited(market);
        let (id, percent) = if n % 4 == 0 && !of_limits.is_empty() {
            of_limits[lot.below(of_limits.len())].clone()
        } else {
            (
                prohibited[lot.below(prohibited.len())],
                ["0.01", "0.1", "1", "5"][lot.below(4)].to_owned(),
            )
        };
        // Where the market's own law says in which products the substance may be, that law is the judge.
        let own = law(market).ban.iter().filter(|b| !b.only_scope.is_empty());
        let scoped = own
            .clone()
            .flat_map(|b| &b.substances)
            .chain(law(market).limit.iter().flat_map(|l| &l.substances));
        if n % 4 != 0 && scoped.clone().any(|s| s == id) {
            continue;
        }
        asked += 1;
        let (severity, words) = loudest(&kb, id, &percent, market);
        if severity < Some(Severity::Warning) {
            silent.push(format!("{id} {percent} % in {market}: {words}"));
        }
    }
    assert!(asked >= 2_000, "only {asked} pairs were asked about");
    assert!(
        silent.is_empty(),
        "{} pairs pass in silence:\n{}",
        silent.len(),
        silent.join("\n")
    );
}

/// Found by name and number, proposed nowhere: neither among the ingredients, nor as the nearest to a slip of the pen.
#[test]
fn the_lists_are_found_and_never_proposed() {
    let kb = Kb::bundled();
    let listed: BTreeSet<Id> = kb.ids().collect();
    let all: Vec<Id> = kb.all_ids().collect();
    let behind: Vec<Id> = all
        .iter()
        .copied()
        .filter(|id| !listed.contains(id))
        .collect();
    assert_eq!(behind.len() + listed.len(), all.len());
    assert!(behind.len() > 3_900, "{}", behind.len());
    for id in behind.iter().copied().step_by(13) {
        let one = kb.get(id);
        for name in one.names.iter().chain(&one.cas) {
            assert_eq!(
                kb.lookup(name),
                Lookup::Known { id, strength: None },
                "{name}"
            );
        }
    }
    assert!(
        kb.nearest("strychnin")
            .iter()
            .all(|(id, _)| listed.contains(id))
    );
}

/// Entries of the Annex that are gone or stand in another Annex, and those of hair dyes, which are not in.
const NO_ROWS_OF_ANNEX_V: [u32; 8] = [5, 6, 8, 10, 31, 36, 40, 41];
const NO_ROWS_OF_ANNEX_VI: [u32; 4] = [1, 5, 18, 19];

#[test]
fn every_preservative_and_filter_of_the_annexes_has_its_rows() {
    let law = law("EU");
    for (annex, last, gone) in [
        ("Annex V", 60, &NO_ROWS_OF_ANNEX_V[..]),
        ("Annex VI", 34, &NO_ROWS_OF_ANNEX_VI[..]),
    ] {
        let found = entries(law, annex);
        let missing: Vec<u32> = (1..=last)
            .filter(|n| !gone.contains(n) && !found.contains(n))
            .collect();
        assert!(missing.is_empty(), "{annex}: no row for {missing:?}");
    }
}

/// Entries of Annex III up to 186 that are gone or stand in another Annex, and two of hair dyes, which are not in.
const NO_ROWS_OF_ANNEX_III: [u32; 21] = [
    1, 7, 10, 13, 19, 20, 55, 64, 68, 79, 83, 93, 101, 158, 160, 161, 162, 163, 165, 167, 168,
];

#[test]
fn every_restricted_substance_that_is_no_hair_dye_has_its_rows() {
    let found = entries(law("EU"), "Annex III");
    let gone = &NO_ROWS_OF_ANNEX_III;
    let missing: Vec<u32> = (1..=186)
        .filter(|n| !gone.contains(n) && !found.contains(n))
        .collect();
    assert!(missing.is_empty(), "no row for {missing:?}");
}
