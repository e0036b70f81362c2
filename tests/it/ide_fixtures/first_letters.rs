//! The plain name first: what is offered after four letters, held in a table that anyone can read.

use super::at;
use phasewright::ide::complete::{Completion, Trigger, complete};
use phasewright::kb::role::Role;
use phasewright::kb::{Kb, Lookup};
use std::fmt::Write;

const TABLE: &str = "tests/kb/completion_first_letters.txt";
const WRITE: &str = "PHASEWRIGHT_WRITE_DOCS";

fn offered(phase: &str, typed: &str) -> Vec<Completion> {
    let (product, heading) = match phase {
        "surfactant" => ("shampoo, rinse-off", "phase A \"surfactant\""),
        "powder" => ("face cream, leave-on", "phase A \"powder\" dry"),
        "oil" => ("face cream, leave-on", "phase A \"oil\" at 75 °C"),
        "cool-down" => ("face cream, leave-on", "phase A \"cool-down\" below 40 °C"),
        _ => ("face cream, leave-on", "phase A \"water\" at 75 °C"),
    };
    let c = at(&format!(
        "formula \"x\"\n  product: {product}\n{heading}\n  {typed}$0\n"
    ));
    complete(&c.snapshot, c.line, c.byte, Trigger::Typing)
}

/// A blank is no letter: "tea tree oil" is "tea t" by then.
fn four_letters(name: &str) -> &str {
    let fourth = name.char_indices().filter(|(_, c)| *c != ' ').nth(3);
    fourth.map_or(name, |(at, c)| &name[..at + c.len_utf8()])
}

/// Of 52 names at least 49 first or second, and of more as many in proportion. The table says what came.
#[test]
fn four_letters_offer_the_plain_name() {
    let path = format!("{}/{TABLE}", env!("CARGO_MANIFEST_DIR"));
    let table = std::fs::read_to_string(&path).expect("the table is there");
    let kb = Kb::bundled();
    let (mut now, mut asked, mut missed) = (String::new(), 0, Vec::new());
    for line in table.lines() {
        let cells: Vec<&str> = line.split('|').map(str::trim).collect();
        let [phase, name, ids, ..] = cells.as_slice() else {
            writeln!(now, "{line}").expect("a string takes all");
            continue;
        };
        if line.starts_with('#') {
            writeln!(now, "{line}").expect("a string takes all");
            continue;
        }
        let typed = four_letters(name);
        let found = offered(phase, typed);
        let label = |n: usize| found.get(n).map_or("", |c| c.label.as_str());
        let wanted = |id: &str| ids.split('/').any(|one| one == id);
        let means = match kb.lookup(typed) {
            Lookup::Known { id, .. } => vec![kb.get(id).id.as_str()],
            Lookup::Ambiguous(all) => all.iter().map(|id| kb.get(*id).id.as_str()).collect(),
            Lookup::Unknown => Vec::new(),
        };
        let row = match means.as_slice() {
            [] => format!(
                "{phase} | {name} | {ids} | {typed} | {} | {}",
                label(0),
                label(1)
            ),
            all => format!("{phase} | {name} | {ids} | {typed} | = {} |", all.join("/")),
        };
        writeln!(now, "{}", row.trim_end()).expect("a string takes all");
        asked += 1;
        let hit = |c: &Completion| c.id.as_deref().is_some_and(wanted);
        let is_meant = matches!(means.as_slice(), [one] if wanted(one));
        if !is_meant && !found.iter().take(2).any(hit) {
            let at = found.iter().position(hit);
            missed.push(format!("{name}: {} came, it is at {at:?}", row));
        }
    }
    assert!(asked >= 52, "{asked} names");
    assert!(
        missed.len() * 52 <= asked * 3,
        "{} of {asked} missed:\n{}\n\n{now}",
        missed.len(),
        missed.join("\n")
    );
    if std::env::var_os(WRITE).is_some() {
        std::fs::write(path, &now).expect("the table can be written");
        return;
    }
    let trimmed: Vec<&str> = table.lines().map(str::trim_end).collect();
    assert_eq!(
        trimmed,
        now.lines().collect::<Vec<_>>(),
        "{TABLE} says otherwise; write it with {WRITE}=1 cargo test --test it first_letters"
    );
}

/// What is typed, in which phase, and the entry that has to come first.
#[test]
fn half_a_name_offers_what_a_maker_expects() {
    for (typed, phase, first) in [
        ("e-wa", "oil", "emulsifying-wax-nf"),
        ("olive", "oil", "olive-oil"),
        ("shea bu", "oil", "shea-butter"),
        ("citric ac", "cool-down", "citric-acid"),
        ("citr", "cool-down", "citric-acid"),
        ("citr", "water", "citric-acid"),
        ("lavender o", "cool-down", "lavender-oil"),
        ("lecithi", "oil", "lecithin"),
        ("jojoba o", "oil", "jojoba-oil"),
        ("panth", "water", "panthenol"),
        ("watr", "water", "water"),
        ("wate", "water", "water"),
    ] {
        let found = offered(phase, typed);
        let ids: Vec<&str> = found.iter().filter_map(|c| c.id.as_deref()).collect();
        assert_eq!(ids.first(), Some(&first), "{typed}: {ids:?}");
    }
}

/// What nobody means in a face cream stays far down.
#[test]
fn hair_waving_and_the_like_never_come_high() {
    let kb = Kb::bundled();
    for phase in ["water", "oil", "cool-down"] {
        for typed in ["gly", "glyc", "sod", "sodi", "amm", "pot", "cal"] {
            let found = offered(phase, typed);
            for c in found.iter().take(20) {
                let id = kb.by_id(c.id.as_deref().expect("an ingredient"));
                let one = kb.get(id.expect("of the base"));
                assert!(
                    !one.roles.primary_is(Role::Reducer) && one.family != "hair-dyes",
                    "{typed} offers {} in {phase}",
                    c.label
                );
            }
        }
        let sod = offered(phase, "sod");
        assert_ne!(sod[0].id.as_deref(), Some("sodium-pyrithione"));
        assert_eq!(offered(phase, "gly").len().min(2), 2);
    }
}
