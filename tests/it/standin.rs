//! What could stand in for an ingredient. The judgements are ours, made by hand as a formulator would: common practice, no source.

use crate::support::cli::Folder;
use crate::support::schema::holds;
use serde_json::Value;

const CREAM: &str = "formula \"Hand cream\"
  product: hand cream, leave-on
  type: oil-in-water emulsion
  pH: 5.0 to 5.4
  sold in: EU

phase A \"water\" at 75 °C
  water  q.s.
  glycerin  5 %
  xanthan gum  0.3 %

phase B \"oil\" at 75 °C
  rapeseed oil  9 %
  shea butter  4 %
  cetearyl alcohol  3 %
  glyceryl stearate citrate  3 %

phase C below 40 °C
  panthenol  1 %
  benzyl alcohol (and) dehydroacetic acid  0.9 %
  lactic acid 10 %  q.s. to pH 5.2, about 1 %
";

fn standins(of: &str, text: &str) -> Value {
    let f = Folder::new();
    f.write("cream.formula", text);
    holds(
        "standin",
        &f.run(&["standin", of, "--in", "cream.formula", "--json"]),
    )
}

fn names(v: &Value) -> Vec<&str> {
    v["suggestions"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|s| s["name"].as_str().expect("a name"))
        .collect()
}

#[test]
fn judged_by_hand() {
    for (of, first, among, never) in [
        // The two fatty alcohols that it is made of come before all others; a liquid oil thickens nothing.
        (
            "cetearyl alcohol",
            "cetyl alcohol",
            &["stearyl alcohol"][..],
            &["rapeseed oil", "sunflower oil", "beeswax"][..],
        ),
        // Another liquid plant oil; no butter, no wax.
        (
            "rapeseed oil",
            "sunflower oil",
            &["soybean oil"],
            &["shea butter", "beeswax", "water"],
        ),
        // Another butter of a like softness; no liquid oil.
        (
            "shea butter",
            "mango butter",
            &["cocoa butter"],
            &["sunflower oil", "glycerin"],
        ),
        // Another gum; a positive polymer would meet the negative emulsifier.
        (
            "xanthan gum",
            "",
            &["cellulose gum"],
            &["polyquaternium-10", "cetearyl alcohol"],
        ),
        // Another small humectant.
        (
            "glycerin",
            "",
            &["propanediol"],
            &["sunflower oil", "citric acid"],
        ),
        // Another acid, in the same dilution.
        (
            "lactic acid 10 %",
            "",
            &["citric acid"],
            &["sodium hydroxide", "glycerin"],
        ),
        // Another negative or nonionic emulsifier for oil in water; no positive one beside the gum, none for water in oil.
        (
            "glyceryl stearate citrate",
            "",
            &[],
            &[
                "behentrimonium methosulfate (and) cetearyl alcohol",
                "polyglyceryl-3 polyricinoleate",
            ],
        ),
    ] {
        let v = standins(of, CREAM);
        let found = names(&v);
        assert!(!found.is_empty(), "{of}: nothing");
        assert!(first.is_empty() || found[0] == first, "{of}: {found:?}");
        for name in among {
            assert!(
                found.contains(name),
                "{of}: {name} is missing among {found:?}"
            );
        }
        for name in never {
            assert!(
                !found.contains(name),
                "{of}: {name} is no stand-in: {found:?}"
            );
        }
        // What is in the formula already is no answer.
        assert!(
            !found.contains(&"water") && !found.contains(&of),
            "{of}: {found:?}"
        );
    }
}

#[test]
fn what_changes_is_said() {
    let v = standins("shea butter", CREAM);
    let mango = &v["suggestions"][0];
    assert_eq!(
        (mango["name"].as_str(), mango["rank"].as_u64()),
        (Some("mango butter"), Some(1))
    );
    let changes = mango["changes"].as_array().expect("a list");
    let label = changes
        .iter()
        .find(|c| c["what"] == "name on the label")
        .expect("the label changes");
    assert_eq!(
        (label["before"].as_str(), label["after"].as_str()),
        (
            Some("Butyrospermum Parkii Butter"),
            Some("Mangifera Indica Seed Butter")
        )
    );
    assert_eq!(v["percent"], "4");
}

#[test]
fn what_law_or_the_formula_forbids_is_left_out() {
    // 0.9 % of a preservative in a cream sold in the EU: methylparaben may be at most 0.4 % as acid (Annex V, entry 12), so whatever is
    // alike and over its limit at this level is not suggested, and the reason stands beside it.
    let v = standins(
        "phenoxyethanol",
        &CREAM.replace("benzyl alcohol (and) dehydroacetic acid", "phenoxyethanol"),
    );
    let found = names(&v);
    for name in [
        "methylparaben",
        "propylparaben",
        "methylisothiazolinone",
        "formaldehyde",
        "triclosan",
    ] {
        assert!(!found.contains(&name), "{name} at 0.9 %: {found:?}");
    }
    let left = v["left_out"].as_array().expect("a list");
    assert!(
        !left.is_empty()
            && left
                .iter()
                .all(|l| l["why"].as_str().is_some_and(|w| w.contains('('))),
        "{left:?}"
    );
    for s in v["suggestions"].as_array().expect("a list") {
        assert!(
            s["appeared"]
                .as_array()
                .is_some_and(|a| a.iter().all(|f| f["severity"] != "error")),
            "{s}"
        );
    }
}

#[test]
fn asked_for_what_is_not_there() {
    let f = Folder::new();
    f.write(
        "cream.formula",
        CREAM.replace("panthenol", "grandmother's secret"),
    );
    for (args, words) in [
        (
            &["standin", "beeswax", "--in", "cream.formula"][..],
            "\"beeswax\" is not in this formula; it holds water, glycerin",
        ),
        (
            &["standin", "grandmother's secret", "--in", "cream.formula"],
            "is not a material that is known",
        ),
        (
            &["standin", "glycerin", "--in", "gone.formula"],
            "there is no such file",
        ),
    ] {
        let a = f.run(args);
        assert_eq!((a.status, a.out.as_str()), (2, ""), "{args:?}");
        assert!(a.err.contains(words), "{args:?}: {}", a.err);
    }
    // By another of its names, and by the other name of the command.
    let text = f
        .run(&["substitute", "glycerol", "--in", "cream.formula"])
        .out;
    assert!(
        text.starts_with(
            "In place of: glycerin\nIn Hand cream, cream.formula\n\n  5 % of the formula\n"
        ),
        "{text}"
    );
}
