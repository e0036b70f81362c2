//! Law that is only announced is shown as that, everywhere: with its day, and never as a rule of today.

use crate::support::cli::{Folder, json};
use crate::support::schema::holds;
use phasewright::chem::date::Date;
use phasewright::ide::Snapshot;
use phasewright::ide::hover::hover;
use phasewright::ide::tokens::tokens;
use phasewright::kb::law::Status;
use phasewright::kb::{Kb, Market};
use phasewright::model::{NoFiles, Settings};
use phasewright::papers::{FormulaContext, card};
use phasewright::syntax::{FileKind, parse};
use std::path::Path;

fn settings(today: &str, market: Market) -> Settings {
    Settings {
        markets: vec![market],
        ..Settings::on(today.parse().expect("a day"))
    }
}

fn snapshot(text: &str, settings: &Settings) -> Snapshot {
    Snapshot::new(
        Path::new("x.formula"),
        FileKind::Formula,
        parse(FileKind::Formula, text),
        &Kb::bundled(),
        settings,
        &NoFiles,
    )
}

/// (EU) 2024/1328: cyclopentasiloxane stays below 0.1 % in leave-on products from 6 June 2027; free before.
const SILOXANE: &str = "formula \"Hair oil\"\n  product: hair oil, leave-on\n  type: anhydrous\n\nphase A\n  cyclopentasiloxane  5 %\n  sunflower oil  95 %\n";

#[test]
fn one_status_for_every_row_of_law() {
    let kb = Kb::bundled();
    let eu = kb
        .laws()
        .find(|l| l.market == Market::EuropeanUnion)
        .expect("the EU has a law");
    let one = eu
        .limit
        .iter()
        .find(|l| l.id == "cyclopentasiloxane-leave-on")
        .expect("it is limited");
    let on = |day: &str| Status::of(one, day.parse::<Date>().expect("a day"));
    let from = "2027-06-06".parse().expect("a day");
    assert_eq!(on("2027-06-05"), Status::From(from));
    assert_eq!(on("2027-06-06"), Status::InForce);
    assert!(!on("2026-11-25").is_in_force());
    let sold = eu
        .allergen
        .iter()
        .find(|a| a.sell_through.is_some())
        .expect("one is sold through");
    let until: Date = sold
        .sell_through
        .as_deref()
        .unwrap()
        .parse()
        .expect("a day");
    assert_eq!(Status::of(sold, until), Status::SellThrough(until));
    assert!(Status::of(sold, until).is_in_force());
    assert_eq!(
        Status::of(sold, until.plus_days(1).unwrap()),
        Status::InForce
    );
}

#[test]
fn the_card_and_the_hover_show_an_announced_limit_with_its_day() {
    let settings = settings("2026-11-25", Market::EuropeanUnion);
    let s = snapshot(SILOXANE, &settings);
    let work = FormulaContext::of(&s.analysis);
    let card = card::card(&work).unwrap_or_else(|h| panic!("{}", h.what));
    let said = card.limit_words().join("\n");
    assert!(
        said.contains("EU from 2027-06-06 on: ") && !said.contains("no listed limit"),
        "{said}"
    );
    let words = hover(&s, 5, 22).expect("a hover").markdown;
    assert!(
        words.contains("**EU, from 2027-06-06 on:**") && !words.contains("no listed limit"),
        "{words}"
    );
    // From that day on it is plain law.
    let later = self::settings("2027-06-06", Market::EuropeanUnion);
    let words = hover(&snapshot(SILOXANE, &later), 5, 22)
        .expect("a hover")
        .markdown;
    assert!(words.contains("**EU:** **above the limit**"), "{words}");
}

#[test]
fn compare_says_from_which_day_a_limit_holds() {
    let f = Folder::new();
    f.write("a.formula", SILOXANE);
    f.write(
        "b.formula",
        SILOXANE.replace("5 %\n", "4 %\n").replace("95 %", "96 %"),
    );
    let v = holds(
        "compare",
        &f.run(&["compare", "a.formula", "b.formula", "--json"]),
    );
    let limits = v["limits"].as_array().expect("limits");
    let eu = limits
        .iter()
        .find(|l| l["market"] == "EU")
        .expect("the EU limits it");
    let is_announced = f.run(&["label", "a.formula", "--json"]);
    let today = json(&is_announced)["today"].as_str().unwrap().to_owned();
    if today.as_str() < "2027-06-06" {
        assert_eq!(eu["from"], "2027-06-06", "{v}");
        let text = f
            .run(&["compare", "a.formula", "b.formula"])
            .out
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(text.contains("at most 0.1 % from 2027-06-06 on"), "{text}");
    } else {
        assert!(eu["from"].is_null(), "{v}");
    }
}

#[test]
fn a_draft_is_no_banned_colour() {
    let row = |text: &str, today: &str| {
        let s = snapshot(text, &settings(today, Market::UnitedKingdom));
        tokens(&s, 0, 99)
            .into_iter()
            .any(|t| t.place.line == 4 && t.modifiers.banned)
    };
    let text = |name: &str| {
        format!(
            "formula \"x\"\n  product: sunscreen, leave-on\n\nphase A\n  {name}  1 %\n  sunflower oil  99 %\n"
        )
    };
    // UK drafts of 2025, not seen as made; then what has long been banned.
    assert!(!row(&text("colloidal silver"), "2026-11-25"));
    assert!(!row(&text("4-methylbenzylidene camphor"), "2026-11-25"));
    assert!(row(&text("zinc pyrithione"), "2026-11-25"));
}
