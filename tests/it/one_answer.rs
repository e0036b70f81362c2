//! One formula, one answer: check, label, card, compare, cost, hover and the colours of the text name the same allergens,
//! limits, bans and dates, over all formulas of the project, and through formulas made earlier and blends of the maker's own.

use phasewright::analysis::law::LimitHit;
use phasewright::ide::Snapshot;
use phasewright::ide::hover::hover;
use phasewright::ide::tokens::tokens;
use phasewright::kb::schema::{ReviewStatus, SourceKind};
use phasewright::kb::{Kb, Market};
use phasewright::model::component::ComponentKind;
use phasewright::model::file_loader::Disk;
use phasewright::model::product::Applies;
use phasewright::model::shelf::{File, Shelf};
use phasewright::model::{FileLoader, Settings};
use phasewright::papers::compare::{Version, compare};
use phasewright::papers::label::label;
use phasewright::papers::{FormulaContext, card, cost, label as labels};
use phasewright::rules::{Finding, Severity, analyze};
use phasewright::syntax::{FileKind, parse};
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

type Names = BTreeSet<String>;

const LEGAL: [&str; 4] = [
    "banned",
    "restricted-use",
    "above-legal-limit",
    "family-above-limit",
];

const SHELF: &str = "lot GLY-07 of glycerin\n  bought: 50 kg for 9.40 EUR\n";

/// What was compared, so that the comparison is known to have had something to compare.
#[derive(Debug, Default)]
struct Seen {
    allergens: usize,
    limits: usize,
    bans: usize,
    labels: usize,
    cards: usize,
    costs: usize,
    findings: usize,
}

fn settings() -> Settings {
    Settings::on("2026-11-25".parse().expect("a day"))
}

fn snapshot(path: &Path, text: &str, kb: &Kb, loader: &dyn FileLoader) -> Snapshot {
    Snapshot::new(
        path,
        FileKind::Formula,
        parse(FileKind::Formula, text),
        kb,
        &settings(),
        loader,
    )
}

/// Every question asked of one formula; its allergens.
fn alike(path: &Path, text: &str, kb: &Kb, loader: &dyn FileLoader, seen: &mut Seen) -> Names {
    let s = snapshot(path, text, kb, loader);
    let names = allergens(path, &s);
    seen.allergens += names.len();
    limits_of_papers(path, &s, seen);
    limits_of_the_check(path, &s, seen);
    in_the_editor(path, &s, seen);
    dates_and_findings(path, &s, loader, seen);
    names
}

/// A limit, as every paper can name it.
type Key = (Market, Decimal, Option<String>, Decimal);

/// With the percent to so many places.
fn key(l: &LimitHit, places: u32) -> Key {
    let from = l.status.from().map(|d| d.to_string());
    (
        l.market,
        l.max.normalize(),
        from,
        l.percent.round_dp(places).normalize(),
    )
}

/// The card shows the limits that are used most; a comparison with a formula that holds nothing shows all.
fn limits_of_papers(path: &Path, s: &Snapshot, seen: &mut Seen) {
    let shown = path.display();
    let all = s.law().limits().in_force_or_announced();
    let wanted: BTreeSet<Key> = all.iter().map(|l| key(l, 4)).collect();
    seen.limits += wanted.len();
    let work = FormulaContext::of(&s.analysis);

    let bare = "formula \"bare\"\n\nphase A\n  water  100 %\n";
    let bare = analyze(
        parse(FileKind::Formula, bare),
        Path::new("bare.formula"),
        &s.kb,
        &s.settings,
        &Disk,
    );
    let version = |work| Version {
        work,
        revision: None,
    };
    let compared = compare(version(FormulaContext::of(&bare)), version(work));
    let named: BTreeSet<Key> = compared
        .limits
        .iter()
        .filter_map(|l| {
            let percent = l.after_percent?;
            Some((l.market, l.max_percent, l.from.clone(), percent))
        })
        .collect();
    assert_eq!(named, wanted, "{shown}, compare");

    if let Ok(card) = card::card(&work) {
        seen.cards += 1;
        let named: BTreeSet<Key> = card
            .limits
            .iter()
            .map(|l| (l.market, l.max_percent, l.from.clone(), l.percent))
            .collect();
        let wanted: BTreeSet<Key> = all.iter().map(|l| key(l, 6)).collect();
        assert!(named.is_subset(&wanted), "{shown}, card: {named:?}");
        assert_eq!(
            card.limits.len() + card.limits_left_out,
            all.iter().filter(|l| !l.percent.is_zero()).count(),
            "{shown}, card"
        );
    }
}

/// Rows on which the check speaks of law, by its findings.
fn rows_of(s: &Snapshot, pick: impl Fn(&Finding) -> bool) -> BTreeSet<usize> {
    let found = s.findings().iter().filter(|f| pick(f));
    found.filter_map(|f| s.row_on(f.place.line)).collect()
}

fn limits_of_the_check(path: &Path, s: &Snapshot, seen: &mut Seen) {
    let shown = path.display();
    let law = s.law();
    let said = rows_of(s, |f| LEGAL.contains(&f.code));
    let over = |l: &&LimitHit| l.exceeded() && l.applies == Applies::Yes;
    for l in law.limits().in_force().filter(over) {
        let rows: BTreeSet<usize> = l.members.iter().map(|m| m.row).collect();
        assert!(
            !rows.is_disjoint(&said),
            "{shown}: {} in {} is exceeded, and the check is silent: {said:?}",
            l.limit.id,
            l.market
        );
    }
    for b in law.bans().in_force().filter(|b| b.applies == Applies::Yes) {
        seen.bans += 1;
        let row = b.member.row;
        assert!(
            said.contains(&row),
            "{shown}: line {} is banned in {}, and the check is silent",
            s.analysis.formula.rows[row].line + 1,
            b.market
        );
    }
    // Nothing is said of a limit that no table sets.
    let limited: BTreeSet<usize> = law
        .limits()
        .in_force_or_announced()
        .iter()
        .filter(|l| l.exceeded())
        .flat_map(|l| l.members.iter().map(|m| m.row))
        .collect();
    let of_limits = rows_of(s, |f| {
        f.code == "above-legal-limit" || f.code == "family-above-limit"
    });
    assert!(of_limits.is_subset(&limited), "{shown}: {of_limits:?}");
}

/// The colours of the text, and what each row says when it is pointed at.
fn in_the_editor(path: &Path, s: &Snapshot, seen: &mut Seen) {
    let shown = path.display();
    let f = &s.analysis.formula;
    let law = s.law();
    let coloured: BTreeSet<usize> = tokens(s, 0, u32::MAX)
        .iter()
        .filter(|t| t.modifiers.banned)
        .filter_map(|t| s.row_on(t.place.line))
        .collect();
    let banned: BTreeSet<usize> = law
        .bans()
        .in_force()
        .filter(|b| b.ban.review != ReviewStatus::NeedsReview)
        .map(|b| b.member.row)
        .collect();
    assert_eq!(coloured, banned, "{shown}, tokens");

    for (n, row) in f.rows.iter().enumerate() {
        let Some(said) = hover(s, row.line, row.name.span.start) else {
            continue;
        };
        let verdict = |market: Market| {
            let line = said.markdown.lines().find(|l| {
                let named = l.strip_prefix("- **").and_then(|l| l.split(":**").next());
                named.is_some_and(|n| n.split(", ").any(|m| m == market.code()))
            });
            line.unwrap_or_default().to_owned()
        };
        let holds = |id| {
            let shares = f.components_of(id).iter();
            shares
                .clone()
                .any(|x| x.row == n && x.kind != ComponentKind::Constituent)
        };
        for market in s.markets() {
            let bans = law.bans().in_force_or_announced().iter();
            let is_banned = bans
                .filter(|b| b.market == *market)
                .any(|b| b.member.row == n || holds(b.member.id));
            let limits = law.limits().in_force_or_announced().iter();
            let is_limited = limits
                .filter(|l| l.market == *market)
                .any(|l| l.members.iter().any(|m| m.row == n));
            let line = verdict(*market);
            assert_eq!(
                line.contains("banned"),
                is_banned,
                "{shown}, hover of line {} in {market}: {}",
                row.line + 1,
                said.markdown
            );
            if !is_banned {
                assert_eq!(
                    line.contains(" of at most "),
                    is_limited,
                    "{shown}, hover of line {} in {market}: {}",
                    row.line + 1,
                    said.markdown
                );
            }
            seen.findings += 1;
        }
    }
}

/// The dates of the law on label and card, the findings of each market on its label, all findings on every paper.
fn dates_and_findings(path: &Path, s: &Snapshot, loader: &dyn FileLoader, seen: &mut Seen) {
    let shown = path.display();
    let work = FormulaContext::of(&s.analysis);
    let dates: Vec<(Market, String)> = s
        .law()
        .laws()
        .map(|l| (l.market, l.as_of.to_string()))
        .collect();
    let mut loud: Vec<(&str, u32)> = s
        .findings()
        .iter()
        .filter(|f| f.severity >= Severity::Warning)
        .map(|f| (f.code, f.place.line + 1))
        .collect();
    loud.sort_unstable();
    let told = |all: &[phasewright::papers::ReportDiagnostic]| {
        let mut all: Vec<(&str, u32)> = all.iter().map(|o| (o.code, o.line)).collect();
        all.sort_unstable();
        assert_eq!(all, loud, "{shown}");
    };
    if let Ok(card) = card::card(&work) {
        let on_card: Vec<(Market, String)> = card
            .law
            .iter()
            .map(|l| (l.market, l.as_of.clone()))
            .collect();
        assert_eq!(on_card, dates, "{shown}, card");
        told(&card.objections);
    }
    if let Ok(label) = label(&work, &labels::LabelOptions::default()) {
        seen.labels += 1;
        told(&label.objections);
        for l in &label.labels {
            assert!(
                dates.contains(&(l.market, l.law_as_of.clone())),
                "{shown}, label in {}",
                l.market
            );
            // Judged from the text again, by the law of this market.
            let mut alone = settings();
            alone.markets = vec![l.market];
            let lines: Vec<&str> = s.tree.lines.iter().map(|l| l.line.text.as_str()).collect();
            let tree = parse(FileKind::Formula, &lines.join("\n"));
            let again = analyze(tree, path, &s.kb, &alone, loader).for_markets(&[l.market]);
            let of_law = |f: &&Finding| {
                f.severity >= Severity::Warning
                    && f.basis.as_ref().is_some_and(|b| b.kind == SourceKind::Law)
            };
            let wanted: Vec<(&str, u32)> = again
                .findings()
                .iter()
                .filter(of_law)
                .map(|f| (f.code, f.place.line + 1))
                .collect();
            let on_label: Vec<(&str, u32)> =
                l.law_findings.iter().map(|o| (o.code, o.line)).collect();
            assert_eq!(on_label, wanted, "{shown}, label in {}", l.market);
        }
    }
    let tree = parse(FileKind::Stock, SHELF);
    let file = File {
        path: Path::new("shelf.stock"),
        tree: &tree,
    };
    let shelf = Shelf::read(&[file], &s.kb);
    let wish = cost::CostOptions {
        batch_g: Some(Decimal::ONE_HUNDRED),
        ..cost::CostOptions::default()
    };
    if let Ok(cost) = cost::cost(&work, &shelf, &wish) {
        seen.costs += 1;
        told(&cost.objections);
    }
}

/// The allergens of check, label, card and hover.
fn allergens(path: &Path, s: &Snapshot) -> Names {
    let f = &s.analysis.formula;
    let work = FormulaContext::of(&s.analysis);
    let hits = s.law().allergens();
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
    let said = s.findings().iter().find(|f| f.code == "allergen-label");
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
    if let Ok(label) = label(&work, &labels::LabelOptions::default()) {
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
            hover(s, row.line, row.amount.span.start).map_or_else(String::new, |h| h.markdown);
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
fn every_formula_of_the_project_gets_one_answer() {
    let kb = Kb::bundled();
    let mut seen = Seen::default();
    let (mut formulas, mut with_some) = (0, 0);
    for folder in [
        "examples",
        "examples/instructive",
        "tests/cases",
        "tests/published",
        "tests/yields",
    ] {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        for entry in std::fs::read_dir(&root).expect("the folder is there") {
            let path = entry.expect("it can be listed").path();
            if path.extension().is_some_and(|e| e == "formula") {
                let text = std::fs::read_to_string(&path).expect("it can be read");
                formulas += 1;
                with_some += usize::from(!alike(&path, &text, &kb, &Disk, &mut seen).is_empty());
            }
        }
    }
    assert!(
        formulas > 150 && with_some > 20,
        "{with_some} of {formulas}"
    );
    assert!(seen.allergens > 100 && seen.limits > 300 && seen.bans > 10);
    assert!(seen.labels > 150 && seen.cards > 150 && seen.costs > 100);
    assert!(seen.findings > 2000, "{}", seen.findings);
}

/// Formulas by name.
struct Made(Vec<(&'static str, String)>);

impl FileLoader for Made {
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

/// A blend without a name for the label: its parts stand in the list.
const PRESERVER: &str = "id = \"house-preserver\"\nnames = [\"house preserver\"]\nroles = [\"preservative\"]\ncomposition = [{ of = \"phenoxyethanol\", percent = 70 }, { of = \"benzoic-acid\", percent = 20 }, { of = \"salicylic-acid\", percent = 10 }]\n";

fn own() -> Kb {
    let own = [("meadow-blend", BLEND), ("house-preserver", PRESERVER)];
    let own = own.map(|(id, text)| {
        let path = PathBuf::from(format!("ingredients/{id}.toml"));
        (path, text.to_owned())
    });
    let (kb, faults) = Kb::with_user_entries(&own);
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
        &mut Seen::default(),
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
            &mut Seen::default(),
        );
        assert_eq!(
            names.contains("Linalool"),
            share != "0.001 %",
            "{share}: {names:?}"
        );
    }
}

#[test]
fn two_hundred_formulas_with_blends_and_formulas_in_them_get_one_answer() {
    let kb = own();
    let materials = [
        "lavender oil",
        "meadow blend",
        "house preserver",
        "sweet orange oil",
        "linalool",
        "geranium oil",
        "citral",
        "phenoxyethanol",
        "salicylic acid",
        "benzyl alcohol",
        "zinc oxide",
        "hydroquinone",
        "cyclopentasiloxane",
        "kojic acid",
        "glycolic acid",
        "methylparaben",
        "propylparaben",
        "tea tree oil",
        "sunflower oil",
        "glycerin",
    ];
    let products = [
        "body lotion, leave-on",
        "shampoo, rinse-off",
        "soap",
        "lip balm",
        "mouthwash",
        "face cream, leave-on",
    ];
    // A small generator of its own, so that a failure can be seen again.
    let mut state = 20_261_125u64;
    let mut next = |n: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % n
    };
    let mut seen = Seen::default();
    for _ in 0..200 {
        let mut rows = |many: u64| -> String {
            (0..many)
                .map(|_| {
                    let material = materials[next(materials.len() as u64) as usize];
                    format!("  {material}  {}.{:03} %\n", next(3), next(1000) + 1)
                })
                .collect()
        };
        let innermost = format!("formula \"c\"\n\nphase A\n  water  q.s.\n{}", rows(2));
        let inner = format!(
            "formula \"b\"\n\nphase A\n  water  q.s.\n  \"c.formula\"  20 %\n{}",
            rows(2)
        );
        let outer_rows = rows(2);
        let product = products[next(products.len() as u64) as usize];
        let sold = [
            "",
            "  sold in: EU\n",
            "  sold in: UK, US\n",
            "  sold in: CA\n",
        ];
        let sold = sold[next(4) as usize];
        let outer = format!(
            "formula \"a\"\n  product: {product}\n{sold}\nphase A\n  water  q.s.\n  \"b.formula\"  30 %\n{outer_rows}"
        );
        let made = Made(vec![("b.formula", inner), ("c.formula", innermost)]);
        alike(Path::new("a.formula"), &outer, &kb, &made, &mut seen);
    }
    let enough = seen.allergens > 300 && seen.limits > 300 && seen.bans > 20;
    assert!(enough && seen.labels > 100 && seen.cards > 100, "{seen:?}");
    assert!(seen.costs > 100, "{seen:?}");
}
