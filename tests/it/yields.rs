//! One cause, one message: for each rule that yields to another, a formula in which both would speak of the same thing,
//! and only the one that is yielded to does. The table stands in `docs/rules/README.md`.

use phasewright::kb::Kb;
use phasewright::model::{NoFiles, Settings};
use phasewright::rules::page::{examples, markdown};
use phasewright::rules::{Finding, Rule, all, analyze, check_with};
use phasewright::syntax::{FileKind, parse};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::LazyLock;

static KB: LazyLock<Kb> = LazyLock::new(Kb::bundled);

/// Edges for which no formula was found that makes both speak of one thing: most rules keep quiet by themselves where the other
/// speaks. They stand for a formula that nobody thought of; whoever finds one puts it into `tests/yields`.
const NOT_SHOWN: &[(&str, &str)] = &[
    ("total-not-100", "no-room-for-qs"),
    ("no-room-for-qs", "given-twice"),
    ("total-not-100", "two-qs"),
    ("total-not-100", "mixed-units"),
    ("no-room-for-qs", "two-qs"),
    ("no-room-for-qs", "mixed-units"),
    ("unknown-ingredient", "missing-amount"),
    ("unknown-ingredient", "syntax"),
    ("above-usual-use", "family-above-limit"),
    ("above-skin-maximum", "family-above-limit"),
    ("above-skin-maximum", "restricted-use"),
    ("below-usual-use", "preservative-inactivated"),
    ("needs-solubilizer", "no-emulsifier"),
    ("preservative-too-low", "preservative-inactivated"),
    ("preservative-ph", "ph-conflict"),
    ("preservative-inactivated", "preservative-ph"),
    ("spectrum-gap", "preservative-inactivated"),
    ("nitrosamine-risk", "banned"),
    ("nitrosamine-risk", "restricted-use"),
    ("acid-too-strong", "banned"),
    ("emulsifier-low", "no-emulsifier"),
    ("hlb-mismatch", "no-emulsifier"),
    ("charge-clash", "incompatible"),
    ("salt-thins", "incompatible"),
    ("thickener-ph", "ph-conflict"),
    ("incompatible", "restricted-use"),
    ("never-added", "unknown-phase"),
    ("added-twice", "unknown-phase"),
    ("step-not-understood", "syntax"),
    ("step-not-understood", "unknown-phase"),
    ("phototoxic", "family-above-limit"),
    ("phototoxic", "restricted-use"),
    ("inhalation", "banned"),
    ("gas-pressure", "incompatible"),
    ("caution-pregnancy", "family-above-limit"),
    ("caution-caustic", "banned"),
    ("caution-nut", "banned"),
    ("caution-nut", "restricted-use"),
    ("caution-child", "family-above-limit"),
    // Records show these: `record_rules`, and the pages of the rules.
    ("weight-off", "unit-slip"),
    ("lot-short", "unit-slip"),
    ("lot-short", "weight-off"),
    ("lot-other-material", "lot-unknown"),
    ("lot-expired", "lot-unknown"),
    ("lot-expired", "lot-other-material"),
    ("lot-open-too-long", "lot-expired"),
    ("lot-soon", "lot-expired"),
    ("formula-changed", "row-missing"),
    ("old-version", "formula-changed"),
    ("no-ph", "log-not-understood"),
    ("no-yield", "log-not-understood"),
];

fn look<'r>(rules: impl Iterator<Item = &'r Rule>, text: &str) -> Vec<Finding> {
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    let tree = parse(FileKind::Formula, text);
    let path = Path::new("yields.formula");
    check_with(rules, &analyze(tree, path, &KB, &settings, &NoFiles))
}

/// All rules; those of one code yield to these alone.
fn rules(code: &str, yields_to: &'static [&'static str]) -> Vec<Rule> {
    all()
        .map(|r| {
            if r.code == code {
                Rule { yields_to, ..*r }
            } else {
                *r
            }
        })
        .collect()
}

/// The formulas: those of `tests/yields`, those of the pages, those with a planted fault, those of the literature.
fn texts() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut out = Vec::new();
    for folder in ["tests/yields", "tests/cases", "tests/published"] {
        let files =
            std::fs::read_dir(root.join(folder)).unwrap_or_else(|e| panic!("{folder}: {e}"));
        let mut paths: Vec<_> = files
            .map(|e| e.expect("a folder can be listed").path())
            .collect();
        paths.sort();
        let formulas = paths
            .iter()
            .filter(|p| p.extension().is_some_and(|e| e == "formula"));
        out.extend(formulas.map(|p| std::fs::read_to_string(p).expect("it was listed")));
    }
    out.extend(all().flat_map(|r| examples(&markdown(r))).map(|e| e.text));
    out
}

/// Whether, in this formula, the rule is silent only because the other speaks: left alone both do, and the edge makes one of two.
fn shows(text: &str, rule: &Rule, to: &'static str) -> bool {
    let count = |found: &[Finding], code: &str| found.iter().filter(|f| f.code == code).count();
    let alone = look(rules(rule.code, &[]).iter(), text);
    let edge: &'static [&'static str] = Box::leak(Box::new([to]));
    let yielding = look(rules(rule.code, edge).iter(), text);
    count(&alone, to) > 0
        && count(&yielding, to) == count(&alone, to)
        && count(&yielding, rule.code) < count(&alone, rule.code)
}

#[test]
fn every_yield_is_shown() {
    let texts = texts();
    let unyielding: Vec<Rule> = all()
        .map(|r| Rule {
            yields_to: &[],
            ..*r
        })
        .collect();
    let codes: Vec<BTreeSet<&'static str>> = texts
        .iter()
        .map(|t| look(unyielding.iter(), t).iter().map(|f| f.code).collect())
        .collect();
    let mut wrong = Vec::new();
    let mut edges = 0;
    for rule in all() {
        for to in rule.yields_to {
            edges += 1;
            let candidates = texts
                .iter()
                .zip(&codes)
                .filter(|(_, c)| c.contains(rule.code) && c.contains(to));
            let shown = candidates.map(|(t, _)| t).any(|t| shows(t, rule, to));
            let listed = NOT_SHOWN.iter().any(|(a, b)| *a == rule.code && b == to);
            match (shown, listed) {
                (false, false) => wrong.push(format!("{} -> {to}: no formula shows it", rule.code)),
                (true, true) => wrong.push(format!(
                    "{} -> {to}: is shown, and listed as not",
                    rule.code
                )),
                _ => {}
            }
        }
    }
    println!("{edges} edges, {} of them not shown", NOT_SHOWN.len());
    assert!(
        wrong.is_empty(),
        "{} of {edges}\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// No ring: of two that speak of one thing, one always does.
#[test]
fn yields_make_no_ring() {
    for start in all() {
        let mut open: Vec<&str> = start.yields_to.to_vec();
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        while let Some(code) = open.pop() {
            assert_ne!(
                code, start.code,
                "{} yields to itself by a detour",
                start.code
            );
            if seen.insert(code) {
                open.extend(all().filter(|r| r.code == code).flat_map(|r| r.yields_to));
            }
        }
    }
}
