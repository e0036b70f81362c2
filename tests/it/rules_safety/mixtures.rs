//! Limits and bans reached through what the maker does not weigh by itself: oils, extracts, blends, formulas made earlier.

use super::{KB, findings, product, says};
use phasewright::model::FileLoader;
use phasewright::model::Settings;
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn cream(row: &str) -> String {
    product(
        "product: body lotion, leave-on; type: oil-in-water; pH: 5.0 to 5.4",
        &["water  q.s.", row],
    )
}

fn of_code(found: &[Finding], code: &str) -> Option<Severity> {
    found
        .iter()
        .filter(|f| f.code == code)
        .map(|f| f.severity)
        .max()
}

#[track_caller]
fn level(text: &str, code: &str, wanted: Option<Severity>) {
    let found = findings(text);
    assert_eq!(
        of_code(&found, code),
        wanted,
        "{code} in\n{text}\n{found:?}"
    );
}

/// One formula that lies beside the one that is judged.
struct Beside(String);

impl FileLoader for Beside {
    fn read(&self, _: &Path) -> Result<String, String> {
        Ok(self.0.clone())
    }
}

fn with_part(text: &str, part: &str) -> Vec<Finding> {
    let settings = Settings::on("2026-11-01".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    analyze(
        tree,
        Path::new("whole.formula"),
        &KB,
        &settings,
        &Beside(part.to_owned()),
    )
    .findings()
    .to_vec()
}

/// Phenoxyethanol (and) caprylyl glycol is 65 % phenoxyethanol by its composition; the EU allows 1 %.
#[test]
fn through_a_blend_of_known_parts() {
    let of = |percent: &str| {
        cream(&format!(
            "phenoxyethanol (and) caprylyl glycol  {percent} %"
        ))
    };
    level(&of("1.6"), "above-legal-limit", Some(Severity::Error));
    level(&of("1.5"), "above-legal-limit", None);
}

/// Of a blend whose shares differ the least, the typical and the most are known by custom: DMDM hydantoin (and) iodopropynyl
/// butylcarbamate brings 0.5 to 5 % of the latter, of which the EU allows 0.01 % in what stays on.
#[test]
fn through_a_blend_of_which_only_a_range_is_known() {
    let of = |percent: &str| {
        let row = format!("DMDM hydantoin (and) iodopropynyl butylcarbamate  {percent} %");
        cream(&row).replace("body lotion", "face cream")
    };
    level(&of("0.15"), "above-legal-limit", None);
    // At the most 0.015 %, typically 0.0045 %.
    level(&of("0.3"), "above-legal-limit", Some(Severity::Warning));
    // At the least 0.011 %: as sure as custom is.
    level(&of("2.2"), "above-legal-limit", Some(Severity::Warning));
}

/// Each of the blends whose shares differ counts its limited part.
#[test]
fn no_blend_of_preservatives_hides_what_is_limited() {
    let mut asked = 0;
    for one in KB.ids().map(|id| KB.get(id)) {
        let blend = one.preservative.is_some() && one.names.iter().any(|n| n.contains("(and)"));
        let limited = |n: &str| {
            [
                "phenoxyethanol",
                "benzyl alcohol",
                "benzoic acid",
                "chlorphenesin",
                "iodopropynyl",
            ]
            .iter()
            .any(|l| n.to_lowercase().contains(l))
        };
        if !blend || !one.names.iter().any(|n| limited(n)) {
            continue;
        }
        asked += 1;
        let found = findings(&cream(&format!("{}  20 %", one.id)));
        let codes = [
            "above-legal-limit",
            "family-above-limit",
            "restricted-use",
            "banned",
        ];
        let loud = codes.iter().filter_map(|c| of_code(&found, c)).max();
        assert!(
            loud >= Some(Severity::Warning),
            "{} passes: {found:?}",
            one.id
        );
    }
    assert!(asked >= 20, "{asked}");
}

/// A balm made earlier holds 2 % of salicylic acid; half of it in a lotion is 1 %, of which the EU allows 0.5 % there.
#[test]
fn through_a_formula_made_earlier() {
    let balm = "formula \"Balm\"\n  product: skin balm, leave-on\n  type: anhydrous\n\nphase A\n  shea butter  98 %\n  salicylic acid  2 %  as preservative\n";
    let whole = |percent: &str| cream(&format!("\"balm.formula\"  {percent} %"));
    let loud = of_code(&with_part(&whole("50"), balm), "above-legal-limit");
    assert_eq!(loud, Some(Severity::Error));
    let within = of_code(&with_part(&whole("20"), balm), "above-legal-limit");
    assert_eq!(within, None);
}

/// What a formula made earlier brings and what the whole holds by itself are one sum.
#[test]
fn a_part_and_the_whole_are_summed() {
    let gel = "formula \"Gel\"\n  product: body gel, leave-on\n  type: gel\n\nphase A\n  water  98.8 %\n  phenoxyethanol  1.2 %\n";
    let whole = |own: &str| {
        product(
            "product: body lotion, leave-on; type: oil-in-water; pH: 5.0 to 5.4",
            &[
                "water  q.s.",
                "\"gel.formula\"  50 %",
                &format!("phenoxyethanol  {own} %"),
            ],
        )
    };
    let said = |own: &str| of_code(&with_part(&whole(own), gel), "above-legal-limit");
    assert_eq!(said("0.5"), Some(Severity::Error));
    assert_eq!(said("0.4"), None);
}

/// Safrole is prohibited but for traces of 0.01 % (Annex II, entry 360). Sassafras oil is three quarters safrole, by memory: a
/// warning is the most that such a figure may say.
#[test]
fn a_ban_reached_through_an_oil() {
    let oil = |row: &str| {
        product(
            "product: body oil, leave-on; type: anhydrous",
            &["caprylic/capric triglyceride  q.s.", row],
        )
    };
    let found = findings(&oil("sassafras oil  0.5 %"));
    assert!(
        found
            .iter()
            .any(|f| f.severity >= Severity::Warning && f.whole().contains("assafras")),
        "{found:?}"
    );
    // Nutmeg oil at 0.3 % brings less than the trace that the law lets pass.
    level(&oil("nutmeg oil  0.3 %"), "banned", None);
    // Arsenic in a blend of one's own is a ban through a formula made earlier.
    let part =
        "formula \"Powder\"\n  product: powder\n\nphase A\n  talc  99 %\n  arsenic trioxide  1 %\n";
    let whole = oil("\"powder.formula\"  1 %");
    assert_eq!(
        of_code(&with_part(&whole, part), "banned"),
        Some(Severity::Error)
    );
}

/// Cyclomethicone is a mixture of rings; the ring of four is prohibited, the ring of five limited in what is rinsed off.
#[test]
fn cyclomethicone_has_its_parts() {
    let one = KB.substance("cyclomethicone").expect("it is known").1;
    let parts: Vec<&str> = one.constituents.iter().map(|c| c.of.as_str()).collect();
    assert_eq!(
        parts,
        [
            "cyclotetrasiloxane",
            "cyclopentasiloxane",
            "cyclohexasiloxane"
        ]
    );
    let rinsed = |percent: &str| {
        product(
            "product: shampoo, rinse-off; pH: 5",
            &["water  q.s.", &format!("cyclomethicone  {percent} %")],
        )
    };
    says(&rinsed("5"), "banned", Severity::Warning);
    level(&rinsed("1"), "above-legal-limit", Some(Severity::Warning));
}
