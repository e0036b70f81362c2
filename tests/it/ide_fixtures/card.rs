use phasewright::kb::card::Card;
use phasewright::kb::card::show::celsius;
use phasewright::kb::{Kb, Market};
use std::collections::BTreeSet;

fn all_markets() -> Vec<Market> {
    Market::ALL.to_vec()
}

fn card(id: &str, markets: &[&str]) -> Card {
    let kb = Kb::bundled();
    let markets: Vec<Market> = markets
        .iter()
        .filter_map(|m| Market::from_code(m))
        .collect();
    Card::of(
        &kb,
        kb.by_id(id)
            .unwrap_or_else(|| panic!("{id} is in the base")),
        &markets,
    )
}

#[test]
fn the_json_has_the_keys_of_the_contract() {
    let json =
        serde_json::to_value(card("sodium-benzoate", &["EU"])).expect("a card is plain data");
    assert_eq!(json["version"], 1);
    assert_eq!(json["id"], "sodium-benzoate");
    assert_eq!(json["inci"], "Sodium Benzoate");
    assert_eq!(json["cas"], serde_json::json!(["532-32-1"]));
    assert_eq!(json["roles"][0], "preservative");
    assert_eq!(json["phase"][0], "water");
    assert_eq!(json["dissolves"], "water");
    assert_eq!(json["pka"], serde_json::json!([4.2]));
    assert_eq!(json["molar_mass"], 144.1);
    assert_eq!(json["ph"]["works"], serde_json::json!([null, 5.0]));
    assert!(json.get("hlb").is_none(), "what is not known is absent");
    let leave_on = json["limits"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|l| l["scope"] == serde_json::json!(["leave-on"]))
        .expect("a limit for leave-on");
    assert_eq!(
        (
            &leave_on["market"],
            &leave_on["max_percent"],
            &leave_on["as"]
        ),
        (&"EU".into(), &"0.5".into(), &"benzoic-acid".into())
    );
    // 0.5 x 144.10 / 122.12, rounded down so that it is still allowed.
    assert_eq!(leave_on["of_this_percent"], "0.589");
    for key in [
        "names",
        "use",
        "composition",
        "banned_in",
        "allergens",
        "cautions",
        "sources",
    ] {
        assert!(json[key].is_array(), "{key}");
    }
}

#[test]
fn every_figure_names_a_source_that_is_listed() {
    let kb = Kb::bundled();
    let markets = all_markets();
    for id in kb.ids() {
        let c = Card::of(&kb, id, &markets);
        let listed: BTreeSet<&str> = c.sources.iter().map(|s| s.id.as_str()).collect();
        let mut named: Vec<&str> = c.basis.values().map(|source| source.as_str()).collect();
        named.extend(c.r#use.iter().map(|u| u.source.as_str()));
        named.extend(c.limits.iter().map(|l| l.source.as_str()));
        named.extend(c.bans.iter().map(|b| b.source.as_str()));
        named.extend(c.constituents.iter().map(|x| x.source.as_str()));
        for source in named {
            assert!(listed.contains(source), "{}: {source} is not listed", c.id);
        }
        let md = c.markdown(&celsius);
        // With what becomes of it here and four markets, nine lines.
        assert!(c.first(&celsius).lines().count() <= 4, "{md}");
        assert!(
            md.starts_with("**") && !md.contains('|') && !md.contains("  - \n"),
            "{md}"
        );
        let text = c.text(&celsius, 100);
        assert!(text.starts_with(c.name()), "{text}");
        // Hover and terminal say the same.
        for l in &c.limits {
            if let Some(max) = &l.max_percent {
                assert!(
                    text.contains(&format!("at most {max} %")),
                    "{}: {max}\n{text}",
                    c.id
                );
            }
        }
    }
}

#[test]
fn a_blend_shows_the_law_of_its_parts() {
    let c = card("benzyl-alcohol-dehydroacetic-acid", &["EU"]);
    let limit = c
        .limits
        .iter()
        .find(|l| l.substance.as_deref() == Some("benzyl-alcohol"))
        .expect("benzyl alcohol is limited");
    assert_eq!(limit.max_percent.as_deref(), Some("1"));
    let md = c.markdown(&celsius);
    assert!(
        md.contains("87 % Benzyl Alcohol") && md.contains("EU: benzyl alcohol at most 1 %"),
        "{md}"
    );
}

#[test]
fn a_ban_is_said_and_only_for_the_markets_asked() {
    let c = card("hydroquinone", &["EU"]);
    assert_eq!(c.banned_in, [Market::EuropeanUnion]);
    assert!(
        c.markdown(&celsius).contains("EU: banned"),
        "{}",
        c.markdown(&celsius)
    );
    assert!(card("hydroquinone", &[]).banned_in.is_empty());
    assert!(
        card("glycerin", &["EU"])
            .markdown(&celsius)
            .contains("no listed limit or ban for it; EU as of ")
    );
}

#[test]
fn an_essential_oil_names_its_allergens() {
    let c = card("lavender-oil", &["EU"]);
    let linalool = c
        .allergens
        .iter()
        .find(|a| a.name == "Linalool")
        .expect("lavender holds linalool");
    assert!(
        linalool.percent > 20.0 && linalool.percent < 50.0,
        "{linalool:?}"
    );
    assert!(c.markdown(&celsius).contains("allergens to name in EU: "));
}

#[test]
fn the_terminal_card_keeps_its_width() {
    for id in ["lavender-oil", "sodium-benzoate", "shea-butter"] {
        for line in card(id, &["EU", "US"]).text(&celsius, 80).lines() {
            assert!(
                line.chars().count() <= 80 || !line.trim().contains(' '),
                "{line}"
            );
        }
    }
}
