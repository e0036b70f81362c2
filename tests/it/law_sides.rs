//! Each row of each market's law from both sides: what it speaks of is said in a product that it means, and not said by this
//! row in a product that it does not mean. Products are made of the row's own scope words.

use phasewright::analysis::Analysis;
use phasewright::analysis::law;
use phasewright::kb::Kb;
use phasewright::kb::KbSource;
use phasewright::kb::read::read;
use phasewright::kb::schema::{Ban, Colour, Limit, ReviewStatus, SourceKind};
use phasewright::model::product::Applies;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

const TODAY: &str = "2027-06-01";

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);
static BASE: LazyLock<KbSource> = LazyLock::new(|| {
    let (base, faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    assert!(faults.is_empty(), "{faults:?}");
    base
});

/// Words for a place on the body.
const PLACES: [&str; 15] = [
    "face", "body", "hand", "foot", "hair", "scalp", "lip", "eye", "eyelash", "nail", "underarm",
    "intimate", "mucous", "mouth", "oral",
];

fn judged(market: &str, words: &BTreeSet<&str>, row: &str) -> Analysis {
    let words: Vec<&str> = words.iter().copied().collect();
    let text = format!(
        "formula \"x\"\n  product: {}\n  sold in: {market}\n\nphase A\n  water  q.s.\n  {row}\n",
        words.join(", ")
    );
    let settings = Settings::on(TODAY.parse().expect("a day"));
    let tree = parse(FileKind::Formula, &text);
    analyze(tree, Path::new("side.formula"), &KB, &settings, &NoFiles)
}

/// The first word of each "a|b", and whether the product stays on where the scope leaves it open.
fn product_of<'a>(scope: &'a [SmolStr], not_scope: &'a [SmolStr]) -> BTreeSet<&'a str> {
    let mut words: BTreeSet<&str> = scope.iter().filter_map(|w| w.split('|').next()).collect();
    if !words.contains("leave-on") && !words.contains("rinse-off") {
        let leave_on = !not_scope.iter().any(|n| n == "leave-on");
        words.insert(if leave_on { "leave-on" } else { "rinse-off" });
    }
    words
}

/// The product without what one part of the scope asks for: the other way of staying, another place, or the word left away.
fn outside<'a>(words: &BTreeSet<&'a str>, either: &str) -> Option<BTreeSet<&'a str>> {
    let meant: Vec<&str> = either.split('|').collect();
    let mut out: BTreeSet<&str> = words
        .iter()
        .copied()
        .filter(|w| !meant.contains(w))
        .collect();
    if meant.contains(&"leave-on") || meant.contains(&"rinse-off") {
        // A mixed alternative is left by one of its other words only.
        if meant.len() > 1 {
            return None;
        }
        out.insert(if meant[0] == "leave-on" {
            "rinse-off"
        } else {
            "leave-on"
        });
        return Some(out);
    }
    if meant.iter().any(|w| PLACES.contains(w)) {
        out.retain(|w| !PLACES.contains(w));
        let near = |place: &str| {
            meant
                .iter()
                .any(|w| *w == place || *w == "face" && ["eye", "lip"].contains(&place))
        };
        out.insert(["foot", "hair", "nail"].into_iter().find(|p| !near(p))?);
    }
    Some(out)
}

fn begun(from: Option<&str>) -> bool {
    from.is_none_or(|day| day <= TODAY)
}

/// Half above the limit as the law counts; none where that is more than fits.
fn above(limit: &Limit, substance: &str) -> Option<String> {
    let (_, entry) = KB.substance(substance)?;
    let factor = law::factor(&KB, entry, limit.r#as.as_deref())?;
    let percent = (limit.max_percent?.decimal() * Decimal::new(15, 1)).checked_div(factor)?;
    let purpose = limit
        .purpose
        .as_ref()
        .map_or(String::new(), |p| format!(" as {p}"));
    (percent < Decimal::from(95)).then(|| {
        format!(
            "{substance}  {} %{purpose}",
            percent.round_dp(6).normalize()
        )
    })
}

fn speaks(analysis: &Analysis, id: &str) -> bool {
    let mut all = analysis.law().limits().in_force();
    all.any(|hit| hit.limit.id == id && hit.applies == Applies::Yes)
}

/// Every scope word of every limit, with a formula on each side.
#[test]
fn each_scope_word_of_each_limit_has_its_two_sides() {
    let (mut sides, mut wrong) = (0, Vec::new());
    let mut words_seen: BTreeSet<String> = BTreeSet::new();
    for one in &BASE.laws {
        for limit in one.limit.iter().filter(|l| begun(l.from.as_deref())) {
            let Some(row) = limit.substances.iter().find_map(|s| above(limit, s)) else {
                continue;
            };
            let inside = product_of(&limit.scope, &limit.not_scope);
            if !speaks(&judged(&one.market, &inside, &row), &limit.id) {
                wrong.push(format!("{} {}: silent in {inside:?}", one.market, limit.id));
                continue;
            }
            for either in &limit.scope {
                let Some(out) = outside(&inside, either) else {
                    continue;
                };
                let analysis = judged(&one.market, &out, &row);
                // A kind of product brings words of its own: a shower gel is rinsed off, whatever else is said.
                if either.split('|').any(|w| analysis.formula.product.has(w)) {
                    continue;
                }
                sides += 1;
                words_seen.insert(either.to_string());
                if speaks(&analysis, &limit.id) {
                    wrong.push(format!("{} {}: speaks in {out:?}", one.market, limit.id));
                }
            }
            for word in limit.not_scope.iter().flat_map(|w| w.split('|')) {
                let mut out = inside.clone();
                if PLACES.contains(&word) {
                    out.retain(|w| !PLACES.contains(w));
                }
                out.insert(word);
                // An exception cannot be met where it takes away what the scope asks for.
                let meets = |s: &SmolStr| s.split('|').any(|w| out.contains(w));
                if !limit.scope.iter().all(meets) {
                    continue;
                }
                sides += 1;
                words_seen.insert(format!("not {word}"));
                if speaks(&judged(&one.market, &out, &row), &limit.id) {
                    wrong.push(format!("{} {}: speaks in {out:?}", one.market, limit.id));
                }
            }
        }
    }
    println!("{sides} sides of {} scope words", words_seen.len());
    assert!(
        sides > 500 && words_seen.len() > 60,
        "{sides} of {words_seen:?}"
    );
    assert!(
        wrong.is_empty(),
        "{} of {sides}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// A product that lies outside of everything that a ban allows.
fn not_allowed(only: &[SmolStr]) -> BTreeSet<&'static str> {
    let allows = |w: &str| only.iter().any(|s| s.split('|').any(|one| one == w));
    let place = ["body", "foot", "hair"]
        .into_iter()
        .find(|p| !allows(p))
        .unwrap_or("nail");
    let stays = if allows("leave-on") {
        "rinse-off"
    } else {
        "leave-on"
    };
    BTreeSet::from([place, stays])
}

fn loudest(analysis: &Analysis) -> Option<Severity> {
    const OF_LAW: [&str; 5] = [
        "banned",
        "restricted-use",
        "above-legal-limit",
        "family-above-limit",
        "not-a-cosmetic",
    ];
    let said = analysis
        .findings()
        .iter()
        .filter(|f| OF_LAW.contains(&f.code));
    said.map(|f| f.severity).max()
}

fn firm(ban: &Ban) -> bool {
    let law = KB
        .source(&ban.source)
        .is_some_and(|s| s.kind == SourceKind::Law);
    law && ban.review == ReviewStatus::Ok
}

/// Every substance of every ban, in a product that the ban means: of the long lists every seventh.
#[test]
fn no_ban_of_any_market_passes_in_silence() {
    let (mut asked, mut silent) = (0, Vec::new());
    for one in &BASE.laws {
        for (n, ban) in one
            .ban
            .iter()
            .filter(|b| begun(b.from.as_deref()))
            .enumerate()
        {
            let everywhere = ban.in_scope.is_empty() && ban.only_scope.is_empty();
            if everywhere && n % 7 != 0 {
                continue;
            }
            let words = if ban.only_scope.is_empty() {
                product_of(&ban.in_scope, &[])
            } else {
                not_allowed(&ban.only_scope)
            };
            for substance in ban.substances.iter().filter(|s| KB.substance(s).is_some()) {
                let purpose = ban
                    .purpose
                    .as_ref()
                    .map_or(String::new(), |p| format!(" as {p}"));
                let row = format!("{substance}  2 %{purpose}");
                asked += 1;
                let least = if firm(ban) {
                    Severity::Warning
                } else {
                    Severity::Hint
                };
                let said = loudest(&judged(&one.market, &words, &row));
                if said < Some(least) {
                    let (market, id) = (&one.market, &ban.id);
                    silent.push(format!("{market} {id}: {row} in {words:?}: {said:?}"));
                }
            }
        }
    }
    assert!(asked > 600, "only {asked} were asked about");
    assert!(
        silent.is_empty(),
        "{} of {asked}:\n{}",
        silent.len(),
        silent.join("\n")
    );
}

/// What a ban allows only somewhere passes there.
#[test]
fn what_is_allowed_somewhere_passes_there() {
    let (mut asked, mut wrong) = (0, Vec::new());
    for one in &BASE.laws {
        for ban in one.ban.iter().filter(|b| !b.only_scope.is_empty()) {
            let words = product_of(&ban.only_scope, &[]);
            for substance in ban.substances.iter().filter(|s| KB.substance(s).is_some()) {
                let purpose = ban
                    .purpose
                    .as_ref()
                    .map_or(String::new(), |p| format!(" as {p}"));
                let analysis = judged(
                    &one.market,
                    &words,
                    &format!("{substance}  0.01 %{purpose}"),
                );
                asked += 1;
                let mut hits = analysis.law().bans().in_force();
                if hits.any(|hit| hit.ban.id == ban.id && hit.applies == Applies::Yes) {
                    wrong.push(format!(
                        "{} {}: {substance} in {words:?}",
                        one.market, ban.id
                    ));
                }
            }
        }
    }
    assert!(asked >= 15, "{asked}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Where a colourant may not go, and one product where it may.
fn forbidden(row: &Colour) -> Vec<(&'static [&'static str], &'static str)> {
    let mut out: Vec<(&[&str], &str)> = Vec::new();
    if row.eye == Some(false) {
        out.push((&["leave-on", "eye", "makeup"], "eye"));
    }
    if row.lip == Some(false) {
        out.push((&["leave-on", "lip", "lipstick"], "lip"));
    }
    if row.rinse_off_only {
        out.push((&["leave-on", "body"], "leave-on"));
    }
    if row.external == Some(false) {
        out.push((&["leave-on", "body"], "skin"));
    }
    out
}

#[test]
fn each_colourant_is_held_to_its_areas() {
    let (mut asked, mut wrong) = (0, Vec::new());
    for one in &BASE.laws {
        for colour in &one.colour {
            let Some(substance) = colour.substances.iter().find(|s| KB.substance(s).is_some())
            else {
                continue;
            };
            let percent = colour.max_percent.map_or("0.1".to_owned(), |m| {
                (m.decimal() / Decimal::TWO).normalize().to_string()
            });
            let row = format!("{substance}  {percent} % as colourant");
            let says = |words: &[&str], row: &str| {
                let words: BTreeSet<&str> = words.iter().copied().collect();
                let analysis = judged(&one.market, &words, row);
                let mut said = analysis.findings().iter();
                said.any(|f| ["restricted-use", "banned"].contains(&f.code))
            };
            let areas = forbidden(colour);
            for (words, area) in &areas {
                asked += 1;
                if !says(words, &row) {
                    wrong.push(format!("{} {}: silent, {area}", one.market, colour.id));
                }
            }
            // Somewhere it may go: a shower gel, unless the row speaks of nails and hair alone.
            let free = colour.external != Some(false) && colour.conditions.is_none();
            if free && says(&["rinse-off", "body"], &row) {
                wrong.push(format!(
                    "{} {}: speaks in a shower gel",
                    one.market, colour.id
                ));
            }
            if let Some(max) = colour
                .max_percent
                .filter(|m| m.decimal() < Decimal::from(50))
            {
                asked += 1;
                let above = (max.decimal() * Decimal::new(15, 1)).normalize();
                let row = format!("{substance}  {above} % as colourant");
                if !says(&["rinse-off", "body"], &row) {
                    wrong.push(format!("{} {}: {above} % passes", one.market, colour.id));
                }
            }
        }
    }
    assert!(asked > 80, "{asked}");
    assert!(
        wrong.is_empty(),
        "{} of {asked}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
