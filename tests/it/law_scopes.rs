//! Where on the body: each scope of the law with a formula on either side. Entries of Regulation (EC) No 1223/2009
//! stand beside the rows. And every limit of every market, exceeded by half in a product of its own scope.

use phasewright::analysis::law;
use phasewright::kb::Kb;
use phasewright::kb::read::read;
use phasewright::kb::schema::{Limit, ReviewStatus, SourceKind};
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::{Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use std::path::Path;

const OF_LAW: [&str; 4] = [
    "banned",
    "restricted-use",
    "above-legal-limit",
    "family-above-limit",
];

/// The loudest that the rules of law say of one material in a product of these words, in the EU.
fn said(words: &str, material: &str) -> (Option<Severity>, String) {
    said_in("EU", words, material)
}

fn said_in(market: &str, words: &str, material: &str) -> (Option<Severity>, String) {
    let text = format!(
        "formula \"x\"\n{words}\n  sold in: {market}\n\nphase A\n  water  q.s.\n  {material}\n"
    );
    let (kb, settings) = (
        Kb::bundled(),
        Settings::on("2027-06-01".parse().expect("a day")),
    );
    let tree = parse(FileKind::Formula, &text);
    let judged = analyze(tree, Path::new("near.formula"), &kb, &settings, &NoFiles);
    let heard: Vec<_> = judged
        .findings()
        .iter()
        .filter(|f| OF_LAW.contains(&f.code))
        .collect();
    let messages = heard
        .iter()
        .map(|f| [f.whole(), f.why.clone().unwrap_or_default()].join(" "))
        .collect::<Vec<_>>()
        .join(" / ");
    (heard.iter().map(|f| f.severity).max(), messages)
}

/// Words of the product, the material with its share, whether it is an error.
const SIDES: &[(&str, &str, bool)] = &[
    // Face only: homosalate, Annex VI, entry 3.
    (
        "  product: face cream, leave-on, sunscreen",
        "homosalate  7 % as uv-filter",
        false,
    ),
    (
        "  product: body lotion, leave-on, sunscreen",
        "homosalate  7 % as uv-filter",
        true,
    ),
    (
        "  product: face cream, leave-on, sunscreen\n  use: body",
        "homosalate  7 % as uv-filter",
        true,
    ),
    // Face and hand: kojic acid, Annex III, entry 374.
    (
        "  product: face cream, leave-on\n  use: hand",
        "kojic acid  1 %",
        false,
    ),
    ("  product: body lotion, leave-on", "kojic acid  1 %", true),
    (
        "  product: face cream, leave-on\n  use: body",
        "kojic acid  1 %",
        true,
    ),
    // Face 2 %, body 0.5 %: alpha-arbutin, Annex III, entry 377. Both at once: the lower.
    (
        "  product: face cream, leave-on",
        "alpha-arbutin  2 %",
        false,
    ),
    (
        "  product: body lotion, leave-on",
        "alpha-arbutin  2 %",
        true,
    ),
    (
        "  product: face cream, leave-on\n  use: body",
        "alpha-arbutin  2 %",
        true,
    ),
    (
        "  product: face cream, leave-on\n  use: body",
        "alpha-arbutin  0.5 %",
        false,
    ),
    // Body lotion 0.05 %, others 0.3 %: retinol, Annex III, entry 375.
    ("  product: face cream, leave-on", "retinol  0.3 %", false),
    ("  product: body lotion, leave-on", "retinol  0.3 %", true),
    (
        "  product: face cream, leave-on\n  use: body",
        "retinol  0.3 %",
        true,
    ),
    // Rinsed off only: methylisothiazolinone, Annex V, entry 57.
    (
        "  product: shampoo",
        "methylisothiazolinone  0.0015 %",
        false,
    ),
    (
        "  product: face cream, leave-on",
        "methylisothiazolinone  0.0015 %",
        true,
    ),
    // Mouth: benzoic acid 1.7 % there and 2.5 % in what else is rinsed off, Annex V, entry 1.
    (
        "  product: shower gel",
        "benzoic acid  2.5 % as preservative",
        false,
    ),
    (
        "  product: mouthwash",
        "benzoic acid  2.5 % as preservative",
        true,
    ),
    // Sprays: o-phenylphenol may not be breathed in, Annex V, entry 7.
    (
        "  product: body lotion, leave-on",
        "o-phenylphenol  0.1 % as preservative",
        false,
    ),
    (
        "  product: body lotion, leave-on\n  form: pump spray",
        "o-phenylphenol  0.1 % as preservative",
        true,
    ),
    // Under three years: salicylic acid, Annex III, entry 98, and Annex V, entry 3.
    (
        "  product: face cream, leave-on",
        "salicylic acid  0.4 % as preservative",
        false,
    ),
    (
        "  product: baby cream",
        "salicylic acid  0.4 % as preservative",
        true,
    ),
    // Under six years: methyl salicylate, Annex III, entry 324. Who is under three or under ten may be under six.
    (
        "  product: body lotion, leave-on",
        "methyl salicylate  0.05 %",
        false,
    ),
    (
        "  product: body lotion, leave-on\n  for: under 6",
        "methyl salicylate  0.05 %",
        true,
    ),
    (
        "  product: body lotion, leave-on\n  for: under 3",
        "methyl salicylate  0.05 %",
        true,
    ),
    (
        "  product: body lotion, leave-on\n  for: adults",
        "methyl salicylate  0.05 %",
        false,
    ),
    // Under ten years: ethyl lauroyl arginate in mouthwash, Annex V, entry 58.
    (
        "  product: mouthwash",
        "ethyl lauroyl arginate HCl  0.15 % as preservative",
        false,
    ),
    (
        "  product: mouthwash\n  for: under 10",
        "ethyl lauroyl arginate HCl  0.15 % as preservative",
        true,
    ),
];

/// A sunscreen of which the file does not say where it goes: a warning that asks.
#[test]
fn a_place_that_is_not_said_is_asked_for() {
    let (severity, messages) = said("  product: sunscreen", "homosalate  7 % as uv-filter");
    assert_eq!(severity, Some(Severity::Warning), "{messages}");
    assert!(messages.contains("use:"), "{messages}");
    let (severity, messages) = said(
        "  product: sunscreen\n  use: face",
        "homosalate  7 % as uv-filter",
    );
    assert!(severity < Some(Severity::Warning), "{messages}");
}

#[test]
fn each_scope_has_its_two_sides() {
    for (words, material, wrong) in SIDES {
        let (severity, messages) = said(words, material);
        let is_wrong = severity == Some(Severity::Error);
        assert_eq!(
            is_wrong, *wrong,
            "{words} / {material}: {severity:?} {messages}"
        );
    }
}

/// A product that lies in the scope of a limit and outside of what it excepts.
fn product_of(limit: &Limit) -> String {
    let mut words: Vec<&str> = limit
        .scope
        .iter()
        .filter_map(|w| w.split('|').next())
        .collect();
    if !words.iter().any(|w| ["leave-on", "rinse-off"].contains(w)) {
        let not = |w: &str| limit.not_scope.iter().any(|n| n == w);
        words.push(if not("leave-on") {
            "rinse-off"
        } else {
            "leave-on"
        });
    }
    format!("  product: {}", words.join(", "))
}

#[test]
fn no_limit_of_any_market_is_exceeded_in_silence() {
    let kb = Kb::bundled();
    let (base, faults) = read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("kb"));
    assert!(faults.is_empty(), "{faults:?}");
    let (mut asked, mut silent) = (0, Vec::new());
    for one in &base.laws {
        let limits = one.limit.iter();
        for limit in limits.filter(|l| l.from.as_deref().is_none_or(|d| d <= "2027-06-01")) {
            let Some(max) = limit.max_percent.map(|m| m.0) else {
                continue;
            };
            let firm = limit.review == ReviewStatus::Ok
                && kb
                    .source(&limit.source)
                    .is_some_and(|s| s.kind == SourceKind::Law);
            for substance in &limit.substances {
                let Some((_, entry)) = kb.substance(substance) else {
                    continue;
                };
                let Some(factor) = law::factor(&kb, entry, limit.r#as.as_deref()) else {
                    continue;
                };
                let Some(percent) = (max * Decimal::new(15, 1)).checked_div(factor) else {
                    continue;
                };
                if percent > Decimal::from(95) {
                    continue;
                }
                let purpose = limit
                    .purpose
                    .as_ref()
                    .map_or(String::new(), |p| format!(" as {p}"));
                let row = format!(
                    "{substance}  {} %{purpose}",
                    percent.round_dp(6).normalize()
                );
                asked += 1;
                let (severity, messages) = said_in(&one.market, &product_of(limit), &row);
                let least = if firm {
                    Severity::Warning
                } else {
                    Severity::Hint
                };
                if severity < Some(least) {
                    let (id, scope) = (&limit.id, product_of(limit));
                    silent.push(format!(
                        "{} {id}: {row} in{scope}: {severity:?} {messages}",
                        one.market
                    ));
                }
            }
        }
    }
    assert!(asked > 700, "only {asked} were asked about");
    assert!(
        silent.is_empty(),
        "{} of {asked} in silence:\n{}",
        silent.len(),
        silent.join("\n")
    );
}
