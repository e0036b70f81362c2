//! Settings and own ingredients are found by where a file lies: not by the folder that a command runs in, and not by the
//! folder that an editor has open.

use crate::support::cli::{Folder, json};
use phasewright::chem::date::Date;
use phasewright::kb::Market;
use phasewright::project::{Home, Project, Projects};

const BLEND: &str = "id = \"hedge-blend\"\ninci = \"Hedge Rose Scent\"\nnames = [\"hedge blend\"]\nroles = [\"aroma\"]\ncomposition = [{ of = \"lavender-oil\", percent = 60 }, { of = \"linalool\", percent = 40 }]\n";
const CREAM: &str = "formula \"Cream\"\n  product: face cream, leave-on\n\nphase A\n  water  q.s.\n  hedge blend  0.5 %\n";

fn day() -> Date {
    "2026-11-25".parse().expect("a day")
}

/// A house with ingredients, and a cream two folders down.
fn house() -> Folder {
    let f = Folder::new();
    f.write("house/ingredients/hedge-blend.toml", BLEND);
    f.write("house/creams/day/cream.formula", CREAM);
    f
}

fn codes(answer: &serde_json::Value) -> Vec<String> {
    let files = answer["files"].as_array().expect("files");
    files
        .iter()
        .flat_map(|file| file["findings"].as_array().expect("findings"))
        .map(|x| x["code"].as_str().expect("a code").to_owned())
        .collect()
}

#[test]
fn a_cream_is_judged_alike_from_every_folder() {
    let f = house();
    let whole = f.path().join("house/creams/day/cream.formula");
    let from = [
        (".", "house/creams/day/cream.formula"),
        ("house", "creams/day/cream.formula"),
        ("house/creams", "day/cream.formula"),
        ("house/creams/day", "cream.formula"),
        ("house/creams/day", "../day/cream.formula"),
        ("house/ingredients", whole.to_str().expect("UTF-8")),
    ];
    let mut seen: Vec<Vec<String>> = Vec::new();
    for (folder, path) in from {
        let mut command = f.command(&["check", path, "--json"]);
        command.current_dir(f.path().join(folder));
        let out = command.output().expect("the program starts");
        let said = codes(&json(&crate::support::cli::answer(out)));
        assert!(
            !said.contains(&"unknown-ingredient".to_owned()),
            "from {folder}: {said:?}"
        );
        seen.push(said);
    }
    assert!(seen.iter().all(|s| *s == seen[0]), "{seen:?}");
    assert!(seen[0].contains(&"allergen-label".to_owned()), "{seen:?}");
}

#[test]
fn the_nearest_settings_come_first_with_the_ingredients_beside_them() {
    let f = house();
    let cream = f.path().join("house/creams/day/cream.formula");
    let found = Home::of(&cream);
    assert_eq!(found.settings, None);
    let ingredients = found.ingredients.expect("they are found upward");
    assert!(
        ingredients.ends_with("house/ingredients"),
        "{ingredients:?}"
    );
    // Settings in between have no ingredients beside them.
    f.write("house/creams/phasewright.toml", "markets = [\"UK\"]\n");
    let found = Project::find(&cream, day());
    assert_eq!(found.settings.markets, [Market::UnitedKingdom]);
    assert_eq!(found.settings.today, day());
    assert!(found.kb.substance("hedge-blend").is_none());
    // A file of ingredients belongs where the folder of ingredients lies.
    let own = f.path().join("house/ingredients/hedge-blend.toml");
    assert_eq!(Home::of(&own).ingredients, Some(ingredients));
}

#[test]
fn what_cannot_be_read_is_kept_with_its_reason() {
    let f = house();
    f.write("house/ingredients/torn.toml", b"id = \"torn\" # \xff\xfe\n");
    f.write(
        "house/ingredients/wrong.toml",
        "id = \"wrong\"\nnmaes = []\n",
    );
    let cream = f.path().join("house/creams/day/cream.formula");
    let project = Project::find(&cream, day());
    let of = |name: &str| {
        let mut own = project.own.iter();
        own.find(|o| o.path.ends_with(name)).expect("it is kept")
    };
    let torn = of("torn.toml").text.as_ref().expect_err("no text");
    assert_eq!(torn.line, Some(1));
    assert!(torn.what.contains("UTF-8"), "{}", torn.what);
    assert!(!of("wrong.toml").findings.is_empty());
    assert!(!of("hedge-blend.toml").is_wrong());
    assert!(project.kb.substance("hedge-blend").is_some());
}

#[test]
fn a_project_is_read_again_on_another_day_and_when_a_file_changes() {
    let f = house();
    let cream = f.path().join("house/creams/day/cream.formula");
    let mut projects = Projects::on(day());
    let looks_again = |projects: &mut Projects, today| {
        let news = projects.known().look(today);
        projects.take(news)
    };
    let first = projects.of(&cream);
    assert!(std::sync::Arc::ptr_eq(&first, &projects.of(&cream)));
    assert!(!looks_again(&mut projects, day()));
    let next = day().plus_days(1).expect("a day");
    assert!(looks_again(&mut projects, next));
    assert_eq!(projects.of(&cream).settings.today, next);
    assert!(!looks_again(&mut projects, next));
    f.write(
        "house/ingredients/hedge-blend.toml",
        format!("{BLEND}# longer\n"),
    );
    assert!(looks_again(&mut projects, next));
    projects.of(&cream);
    f.write("house/phasewright.toml", "markets = [\"CA\"]\n");
    assert!(looks_again(&mut projects, next));
    projects.of(&cream);
    let settings = &projects.of(&cream).settings;
    assert_eq!(settings.markets, [Market::Canada]);
}
