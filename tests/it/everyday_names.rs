//! Names as makers write them, by kind of product, from general knowledge: each finds its material, or is asked back.

use phasewright::kb::{Kb, Lookup};
use rust_decimal::Decimal;

/// What a name must come to.
enum Meant<'a> {
    One(&'a str),
    Asked(Vec<&'a str>),
}

/// The rows "name -> id" and "name -> ask: id, id"; "#" starts a heading.
fn rows(text: &str) -> Vec<(&str, Meant<'_>)> {
    text.lines()
        .filter(|l| !l.trim().is_empty() && !l.starts_with('#'))
        .map(|l| {
            let (name, meant) = l
                .rsplit_once(" -> ")
                .unwrap_or_else(|| panic!("no -> in {l}"));
            let meant = match meant.strip_prefix("ask: ") {
                Some(ids) => Meant::Asked(ids.split(", ").collect()),
                None => Meant::One(meant.trim()),
            };
            (name.trim(), meant)
        })
        .collect()
}

/// What a name comes to, in words, where that is not what is meant.
fn miss(kb: &Kb, name: &str, meant: &Meant) -> Option<String> {
    let id = |id| kb.get(id).id.to_string();
    match (kb.lookup(name), meant) {
        (Lookup::Known { id: found, .. }, Meant::One(one)) if id(found) == *one => None,
        (Lookup::Ambiguous(ids), Meant::Asked(all))
            if all.iter().all(|one| ids.iter().any(|i| id(*i) == *one)) =>
        {
            None
        }
        (Lookup::Known { id: found, .. }, _) => Some(format!("{name}: {}", id(found))),
        (Lookup::Ambiguous(ids), _) => {
            let ids: Vec<String> = ids.into_iter().map(id).collect();
            Some(format!("{name}: asked back, {}", ids.join(", ")))
        }
        (Lookup::Unknown, _) => Some(format!("{name}: not found")),
    }
}

#[test]
fn everyday_names_find_their_material_or_are_asked_back() {
    let kb = Kb::bundled();
    let all = rows(include_str!("../kb/everyday_names.txt"));
    assert!(all.len() >= 1500, "only {} names", all.len());
    for (name, meant) in &all {
        let ids = match meant {
            Meant::One(id) => vec![*id],
            Meant::Asked(ids) => ids.clone(),
        };
        for id in ids {
            assert!(
                kb.by_id(id).is_some(),
                "{name}: no material has the id {id}"
            );
        }
    }
    let missed: Vec<String> = all
        .iter()
        .filter_map(|(name, meant)| miss(&kb, name, meant))
        .collect();
    let share = 100.0 * (all.len() - missed.len()) as f64 / all.len() as f64;
    println!(
        "{} of {} names: {share:.1} %",
        all.len() - missed.len(),
        all.len()
    );
    println!("{}", missed.join("\n"));
    assert!(
        share >= 97.0,
        "{share:.1} % come right:\n{}",
        missed.join("\n")
    );
}

fn known(name: &str) -> (String, Option<Decimal>) {
    let kb = Kb::bundled();
    match kb.lookup(name) {
        Lookup::Known { id, strength } => (kb.get(id).id.to_string(), strength.map(|s| s.percent)),
        other => panic!("{name}: {other:?}"),
    }
}

/// A strength in brackets is the strength of the material; what else a bracket holds so much of must be in it.
#[test]
fn strengths_in_brackets_are_read_or_asked_about() {
    let percent = |n: i64| Some(Decimal::from(n));
    for (name, id, strength) in [
        ("lactic acid (80%)", "lactic-acid", percent(80)),
        ("lactic acid (80 %)", "lactic-acid", percent(80)),
        ("Lactic Acid (80% in water)", "lactic-acid", percent(80)),
        ("sodium hydroxide (50%)", "sodium-hydroxide", percent(50)),
        ("glycolic acid (70% solution)", "glycolic-acid", percent(70)),
        ("aloe vera gel (0.5% xanthan)", "aloe-vera-gel", None),
        ("green tea extract (50% EGCG)", "green-tea-extract", None),
        ("shea butter (organic)", "shea-butter", None),
        ("iron oxide (red)", "iron-oxides-red", None),
        ("vitamin E (tocopherol)", "tocopherol", None),
        ("lime essential oil (distilled)", "lime-oil-distilled", None),
    ] {
        assert_eq!(known(name), (id.to_owned(), strength), "{name}");
    }
    let kb = Kb::bundled();
    for name in [
        "jojoba oil (10% retinol)",
        "shea butter (2% hydroquinone)",
        "aloe vera juice (5% nonsense)",
    ] {
        assert_eq!(kb.lookup(name), Lookup::Unknown, "{name}");
    }
}

/// No offer loses the strength that was written.
#[test]
fn what_is_offered_keeps_the_strength() {
    use phasewright::model::{NoFiles, Settings};
    use phasewright::syntax::{FileKind, parse};
    let kb = Kb::bundled();
    let settings = Settings::on("2026-11-25".parse().expect("a day"));
    for (name, offered) in [
        ("lye solution 30 %", "sodium hydroxide 30 %"),
        ("vitamin E (10%)", "tocopherol 10 %"),
        ("lactik acid 80 %", "lactic acid 80 %"),
        ("glycolc acid (70%)", "glycolic acid 70 %"),
    ] {
        let text = format!("formula \"x\"\n\nphase A\n  water  q.s.\n  {name}  1 %\n");
        let tree = parse(FileKind::Formula, &text);
        let path = std::path::Path::new("x.formula");
        let judged = phasewright::rules::analyze(tree, path, &kb, &settings, &NoFiles);
        let texts: Vec<String> = judged
            .findings()
            .iter()
            .filter(|f| ["ambiguous-name", "unknown-ingredient"].contains(&f.code))
            .flat_map(|f| {
                f.fixes
                    .iter()
                    .flat_map(|x| x.edits.iter().map(|e| e.text.clone()))
            })
            .collect();
        assert!(texts.iter().any(|t| t == offered), "{name}: {texts:?}");
        for text in texts {
            assert!(text.ends_with(" %"), "{name}: {text} loses the strength");
        }
    }
}

/// Words in another order, and a powder that is one anyhow; what would be another material is not guessed.
#[test]
fn words_turned_round_and_powders() {
    for (name, id) in [
        ("grapefruit pink essential oil", "grapefruit-oil"),
        ("chamomile, roman essential oil", "roman-chamomile-oil"),
        ("xanthan gum, soft", "xanthan-gum"),
        ("guar gum powder", "guar-gum"),
        ("mandelic acid powder", "mandelic-acid"),
        ("calendula infused oil (olive)", "calendula-olive-oil"),
        ("goat milk powder", "goat-milk-powder"),
    ] {
        assert_eq!(known(name).0, id, "{name}");
    }
    let kb = Kb::bundled();
    for name in [
        "glycerin oil powder",
        "sunflower oil powder",
        "oil of powder",
    ] {
        assert_eq!(kb.lookup(name), Lookup::Unknown, "{name}");
    }
}

/// A blend goes by its parts, in whatever order and with whatever sign between them.
#[test]
fn blends_by_their_parts() {
    let blend = "benzyl-alcohol-salicylic-acid-glycerin-sorbic-acid";
    for name in [
        "benzyl alcohol (and) salicylic acid (and) glycerin (and) sorbic acid",
        "benzyl alcohol, salicylic acid, glycerin, sorbic acid",
        "sorbic acid, glycerine, benzyl alcohol & salicylic acid",
    ] {
        assert_eq!(known(name).0, blend, "{name}");
    }
    assert_eq!(
        Kb::bundled().lookup("benzyl alcohol, salicylic acid, glycerin, shea butter"),
        Lookup::Unknown
    );
}
